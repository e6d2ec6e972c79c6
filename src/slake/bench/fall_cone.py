"""Fall cone: how deep a light cone sinks into paste, read as its yield stress."""

from __future__ import annotations

import math
from collections.abc import Mapping

from slake.ground.evidence import Z80, Evidence, Kind
from slake.ground.units import from_si
from slake.paste.flow import ConeFactor, cone_factor, fall_cone_depth_m, fall_cone_yield_stress_pa

from .calibration import Calibration
from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

DEPTH = Scalar(
    name="cone_depth_mm",
    label="depth the cone sank (middle of 3 spots)",
    unit="mm",
    low=1.5,
    high=40.0,
    help="7 to 20 mm reads best",
    mend="read it again; take a heavier cone when it hardly marks the paste, a lighter one when it sinks to the cup",
)
MASS = Scalar(
    name="cone_mass_g",
    label="mass of the cone, all that falls",
    unit="g",
    low=5.0,
    high=500.0,
    typical=30.0,
    mend="weigh the cone with its ballast",
)
ANGLE = Choice(name="cone_angle", label="cone angle", words={"30": "30 deg", "60": "60 deg"}, typical="30")
BEST_MM = (7.0, 20.0)
READING_MM = 0.5
ANGLE_SD_LOG = 0.15
"""What the factors of two angles differ by beyond their own ratio; the rest is how far a cone's stress is from another
test's, which every cone shares. Practice, no source."""
OWN_SD_LOG = 0.1
"""Own part of the factor's error: tip, angle and guide of one printed cone. Practice, no source; so is 0.5 mm."""


def factor_sd_log(factor: ConeFactor) -> float:
    """Half the log of the published spread, taken as the 80 % range: that reading of the spread is ours."""
    return math.log(factor.high / factor.low) / (2 * Z80)


def factor_shared(angle: str, context: Context) -> Mapping[str, float]:
    """The factor's error as readings have it in common: most of it by all cones, a little by those of one angle."""
    total = factor_sd_log(cone_factor(float(angle)))
    of_angle = min(ANGLE_SD_LOG, total)
    all_cones = math.sqrt(total**2 - of_angle**2)
    calibration = Calibration(common_key="cone_factor", kind="cone", total=all_cones, own=OWN_SD_LOG)
    return {**calibration.shared(context.with_which), f"cone_factor_{angle}": of_angle}


def headline(raw: Raw) -> Headline:
    return Headline(name=DEPTH.name, value=from_si(raw.numbers[DEPTH.name], "mm"), unit="mm")


def inverse(raw: Raw, context: Context) -> Evidence:
    """Yield stress (von Mises). Most of the factor's error is shared by all cones, a part only by those of one angle,
    and a part by the very same cone.
    """
    factor = cone_factor(float(raw.words[ANGLE.name]))
    pascals = fall_cone_yield_stress_pa(raw.numbers[MASS.name], raw.numbers[DEPTH.name], factor.mid)
    depth_mm = headline(raw).value
    return Evidence(
        informs="yield_stress_pa",
        kind=Kind.EXACT,
        low=pascals,
        high=pascals,
        scatter=2 * READING_MM / depth_mm,
        shared=factor_shared(raw.words[ANGLE.name], context),
        note=_note(depth_mm, raw.words[ANGLE.name]),
    )


def _note(depth_mm: float, angle: str) -> str:
    notes = []
    if depth_mm < BEST_MM[0]:
        notes.append(f"{depth_mm:g} mm is shallower than the 7 mm this test reads well from: take a heavier cone")
    if depth_mm > BEST_MM[1]:
        notes.append(f"{depth_mm:g} mm is deeper than the 20 mm this test reads well to: take a lighter cone")
    if angle == "60":
        notes.append("the spread of the 60 deg factor is a guess from the 30 deg one")
    return "; ".join(notes)


def forward(yield_stress_pa: float, context: Context) -> float:
    """Depth in mm expected with the cone named in context.instrument, else the typical one."""
    instrument: Mapping[str, float | str] = context.instrument
    mass_kg = float(instrument.get(MASS.name, MASS.typical_si()))
    factor = cone_factor(float(instrument.get(ANGLE.name, "30")))
    return from_si(fall_cone_depth_m(mass_kg, yield_stress_pa, factor.mid), "mm")


def quick(depth_mm: float) -> Raw:
    """A depth alone: the typical cone, 30 g and 30 deg."""
    numbers = {DEPTH.name: DEPTH.take(depth_mm), MASS.name: MASS.typical_si()}
    return Raw(numbers=numbers, words={ANGLE.name: "30"}, typed={DEPTH.name: f"{depth_mm:g}"})


TEST = BenchTest(
    id="fall_cone",
    version=1,
    title="Fall cone",
    about=About.BATCH,
    procedure=(
        "Fill a cup at least 40 mm wide and 35 mm deep. No holes. Level the top.",
        "Lower the cone until its tip just touches.",
        "Let go for 5 seconds, hold, read the depth.",
        "Wipe the cone. Do 3 spots, 15 mm apart. Write down the middle one.",
    ),
    inputs=(DEPTH, MASS, ANGLE),
    informs="yield_stress_pa",
    notebook_name=DEPTH.name,
    notebook_unit="mm",
    brief_words="how deep the cone sinks",
    floor=DEPTH.low,
    ceiling=DEPTH.high,
    reads_well=lambda raw: BEST_MM,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=READING_MM,
    scatter_share=0.0,
    validity="Depths of 7 to 20 mm in a smooth paste without holes. Comparisons with one cone are good to about "
    "10 %; pascals only to a factor of about 1.6, because published cone factors differ that much.",
    sources=("hansbo1957", "iso17892_6", "cone2019", "practice"),
    cautions=("The tip is sharp: keep fingers out from under it.",),
    sample_ml=45.0,
    minutes=2.0,
)
