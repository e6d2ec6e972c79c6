"""Ageing series: the cone read again and again on one covered paste; how fast it stiffens, and its pot life."""

from __future__ import annotations

import math
from collections.abc import Mapping

from slake.ground.evidence import Evidence, Kind
from slake.ground.units import from_si, to_si
from slake.paste.ageing import LEVELLING, Ageing, PotLife, fit_ageing, pot_life
from slake.paste.flow import cone_factor, fall_cone_depth_m, fall_cone_yield_stress_pa

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Rows, Scalar
from .fall_cone import BEST_MM, READING_MM

AGE = Scalar(
    name="age_min",
    label="minutes since first water",
    unit="min",
    low=1.0,
    high=6000.0,
    mend="count the minutes since the first water touched the powder",
)
DEPTH = Scalar(
    name="depth_mm",
    label="depth the cone sank",
    unit="mm",
    low=1.5,
    high=40.0,
    mend="read it again in a fresh spot, with a heavier or lighter cone",
)
MASS = Scalar(
    name="mass_g",
    label="mass of the cone",
    unit="g",
    low=5.0,
    high=500.0,
    typical=30.0,
    mend="weigh the cone with its ballast",
)
ANGLE = Choice(name="series_angle", label="cone angle", words={"30": "30 deg", "60": "60 deg"}, typical="30")
AT_S = to_si(60, "min")
OUTSIDE_SD = 2.0
"""The rate is told at an hour, when paste is usually read; a depth outside 7 to 20 mm counts with twice its reading
error. Practice, no source."""


def _fitted(raw: Raw) -> Ageing:
    """Raises NotEnoughEvidence or DoesNotFit where the rows are no series."""
    factor = cone_factor(float(raw.words[ANGLE.name])).mid
    depths_mm = [from_si(row[DEPTH.name], "mm") for row in raw.rows]
    return fit_ageing(
        [row[AGE.name] for row in raw.rows],
        [fall_cone_yield_stress_pa(row[MASS.name], row[DEPTH.name], factor) for row in raw.rows],
        [2 * READING_MM / depth * (OUTSIDE_SD if _outside(depth) else 1.0) for depth in depths_mm],
    )


def _outside(depth_mm: float) -> bool:
    return not BEST_MM[0] <= depth_mm <= BEST_MM[1]


def _told_at_s(raw: Raw) -> float:
    """An hour after first water, or the nearest age that was read."""
    return min(max(AT_S, raw.rows[0][AGE.name]), raw.rows[-1][AGE.name])


def headline(raw: Raw) -> Headline:
    """Growth rate an hour after first water, with shape and pot life in words."""
    fitted, at_s = _fitted(raw), _told_at_s(raw)
    rate, _ = fitted.rate_per_s(at_s)
    curve = "levels off, " if fitted.shape is LEVELLING else ""
    words = curve + _pot_words(pot_life(fitted, at_s), at_s)
    return Headline(name=RATE.name, value=from_si(rate, "%/h"), unit="%/h", words=words)


def _pot_words(found: PotLife, at_s: float) -> str:
    """A quarter stiffer after so many minutes, with the 80 % range; open sides said as such."""
    age, seen = (f"{from_si(x, 'min'):.0f}" for x in (at_s, found.seen_s))
    if found.usual_s is None:
        least = found.short_s if found.short_s is not None else found.seen_s
        return f"pot life from {age} min on: over {from_si(least, 'min'):.0f} min"
    short, usual = (f"{from_si(x or 0.0, 'min'):.0f}" for x in (found.short_s, found.usual_s))
    late = f"over {seen}" if found.long_s is None else f"{from_si(found.long_s, 'min'):.0f}"
    return f"pot life from {age} min on: {usual} min ({short} to {late})"


def inverse(raw: Raw, context: Context) -> Evidence:
    """Growth of ln(yield stress) per second. The cone's factor cancels, so no calibration is shared."""
    fitted, at_s = _fitted(raw), _told_at_s(raw)
    rate, sd = fitted.rate_per_s(at_s)
    return Evidence(
        informs="stiffening_rate_per_s",
        kind=Kind.EXACT,
        low=rate,
        high=rate,
        scatter=max(sd, to_si(LEAST_SD, "%/h")),
        on_log=False,
        note=_note(raw),
    )


def _note(raw: Raw) -> str:
    outside = [row for row in raw.rows if _outside(from_si(row[DEPTH.name], "mm"))]
    notes = []
    if outside:
        said = ", ".join(_row_words(row) for row in outside)
        notes.append(
            f"outside the 7 to 20 mm the cone reads well: {said}; counted half, take a heavier or lighter cone"
        )
    if not raw.rows[0][AGE.name] <= AT_S <= raw.rows[-1][AGE.name]:
        notes.append(f"not read around an hour: the rate is that at {from_si(_told_at_s(raw), 'min'):.0f} min")
    return "; ".join(notes)


def _row_words(row: Mapping[str, float]) -> str:
    return f"{from_si(row[DEPTH.name], 'mm'):g} mm at {from_si(row[AGE.name], 'min'):.0f} min"


def forward(rate_per_s: float, context: Context) -> float:
    """The rate read is the property itself."""
    return from_si(rate_per_s, "%/h")


LEAST_SD = 2.0
RATE = Scalar(
    name="stiffening_percent_per_h",
    label="stiffening an hour",
    unit="%/h",
    low=-150.0,
    high=300.0,
    mend="read the cone again at the same spots, an hour apart",
)
USUAL_MIN = (30.0, 60.0, 90.0)
USUAL_PA = 1000.0


def quick(stiffening_percent_per_h: float) -> Raw:
    """A rate alone: as from the typical cone at 30, 60 and 90 minutes in a paste of 1 kPa at an hour."""
    rate, mass_kg, factor = RATE.take(stiffening_percent_per_h), MASS.typical_si(), cone_factor(30).mid
    rows = tuple(
        {AGE.name: to_si(age, "min"), DEPTH.name: _depth_m(rate * to_si(age - 60, "min"), mass_kg, factor)}
        | {MASS.name: mass_kg}
        for age in USUAL_MIN
    )
    return Raw(words={ANGLE.name: "30"}, rows=rows, typed={RATE.name: f"{stiffening_percent_per_h:g}"})


def _depth_m(grown: float, mass_kg: float, factor: float) -> float:
    return fall_cone_depth_m(mass_kg, USUAL_PA, factor) * math.exp(-grown / 2)


TEST = BenchTest(
    id="ageing_series",
    version=1,
    title="Ageing series",
    about=About.BATCH,
    procedure=(
        "Fill a wide cup, level it, keep it covered between readings.",
        "Read the cone at 15, 30, 60, 120 and 240 minutes, each time in a fresh spot.",
        "Note minutes and depth. Change to a heavier cone when it sinks under 7 mm.",
        "The same for a second cup kept cold, if you mean to keep it overnight.",
    ),
    inputs=(ANGLE,),
    rows=Rows(name="series", label="cone readings", columns=(AGE, DEPTH, MASS), at_least=3, at_most=12),
    informs="stiffening_rate_per_s",
    notebook_name=RATE.name,
    notebook_unit="%/h",
    brief_words="how fast it stiffens at an hour",
    floor=RATE.low,
    ceiling=RATE.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=6.0,
    scatter_share=0.15,
    validity="One covered paste, undisturbed, at one warmth. 22 %/h is a quarter stiffer in an hour: the rate is that "
    "of the logarithm. Depths outside 7 to 20 mm count half and are named. A straight line or a levelling curve, "
    "whichever has the smaller corrected Akaike criterion; levelling needs five readings. Pot life is the time to 25 % "
    "stiffer from an hour on, looked for to twice the last age read.",
    sources=("hansbo1957", "practice"),
    cautions=("The tip is sharp: keep fingers out from under it.", "Paste that smells or gasses is thrown away."),
    sample_ml=45.0,
    minutes=12.0,
)
