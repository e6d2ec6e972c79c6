"""Oven moisture of a lot: dry a small sample until it stops losing mass."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from slake.ground.evidence import Evidence, above, exact
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si
from slake.paste.lot import oven_moisture

from .declaration import About, BenchTest, Context, Headline, Raw, Rows, Scalar

TARE = Scalar(
    name="tare_g", label="empty dish", unit="g", low=0.0, high=5000.0, mend="weigh the dry, empty dish in grams"
)
WET = Scalar(
    name="wet_mass_g",
    label="wet sample with its dish",
    unit="g",
    low=0.1,
    high=6000.0,
    help="what the scale shows with the dish on it",
    mend="weigh dish and sample together, in grams",
)
STEP = Scalar(
    name="scale_step_g",
    label="smallest step of the scale",
    unit="g",
    low=0.0001,
    high=5.0,
    typical=0.1,
    mend="read the last digit the scale shows",
)
OVEN = Scalar(
    name="oven_c",
    label="oven temperature",
    unit="C",
    low=30.0,
    high=130.0,
    typical=105.0,
    mend="dry at 103 to 105 C, or at 60 C and say so",
)
HOURS = Scalar(
    name="hours", label="hours since it went in", unit="h", low=0.1, high=500.0, mend="count from the first oven hour"
)
MASS = Scalar(
    name="mass_g",
    label="dish and sample now",
    unit="g",
    low=0.1,
    high=6000.0,
    mend="weigh dish and sample together, in grams",
)
APART_S = to_si(0.5, "h")
SAMPLE_SD = 0.003
COOL_OVEN_SD = 0.01
"""One reading: 0.2 to 0.5 points between samples. An oven under 100 C may leave about a point. Practice, no source."""


def headline(raw: Raw) -> Headline:
    """Moisture on wet basis from the last weighing. Raises DoesNotFit where times or masses do not follow."""
    hours_s = [row[HOURS.name] for row in raw.rows]
    if any(later <= before for before, later in pairwise(hours_s)):
        raise DoesNotFit("the hours do not rise from one weighing to the next: put the rows in the order of time")
    found = oven_moisture(raw.numbers[TARE.name], raw.numbers[WET.name], [row[MASS.name] for row in raw.rows])
    words = "dry" if _is_dry(raw) else "may not be dry: at least this much"
    return Headline(name="moisture_percent", value=from_si(found.wet_basis, "%"), unit="%", words=words)


def _is_dry(raw: Raw) -> bool:
    """Last two weighings half an hour or more apart, and different by less than 0.5 % of the dry mass."""
    if len(raw.rows) < 2 or raw.rows[-1][HOURS.name] - raw.rows[-2][HOURS.name] < APART_S * (1 - 1e-9):
        return False
    return oven_moisture(raw.numbers[TARE.name], raw.numbers[WET.name], [r[MASS.name] for r in raw.rows]).constant


def inverse(raw: Raw, context: Context) -> Evidence:
    """Moisture on wet basis; above while the sample still loses mass or was weighed only once."""
    wet_basis = to_si(headline(raw).value, "%")
    net_kg = raw.numbers[WET.name] - raw.numbers[TARE.name]
    scatter = math.hypot(SAMPLE_SD, raw.numbers[STEP.name] / math.sqrt(6) / net_kg)
    shared = {} if raw.numbers[OVEN.name] >= to_si(100, "C") else {"oven_below_100_c": COOL_OVEN_SD}
    cool = "dried under 100 C: about a point of water may remain" if shared else ""
    if _is_dry(raw):
        found = exact("moisture_wet_basis", wet_basis, scatter, on_log=False, **shared)
        return replace(found, note=cool)
    found = above("moisture_wet_basis", wet_basis, scatter, on_log=False, **shared)
    again = "may not be dry: at least this much; weigh again half an hour later until it stays"
    return replace(found, note="; ".join(filter(None, (again, cool))))


def forward(wet_basis: float, context: Context) -> float:
    """The percentage read is the moisture itself."""
    return from_si(wet_basis, "%")


MOISTURE = Scalar(name="moisture_percent", label="moisture, % of the wet mass", unit="%", low=0.0, high=99.0)


def quick(moisture_percent: float) -> Raw:
    """A percentage alone: as from a 10 g sample on a scale of 0.1 g, dry."""
    wet_kg = to_si(10, "g")
    dry = {MASS.name: wet_kg * (1 - MOISTURE.take(moisture_percent))}
    return Raw(
        numbers={
            TARE.name: 0.0,
            WET.name: wet_kg,
            STEP.name: STEP.typical_si(),
            OVEN.name: OVEN.typical_si(),
        },
        rows=({HOURS.name: to_si(23, "h"), **dry}, {HOURS.name: to_si(24, "h"), **dry}),
        typed={MOISTURE.name: f"{moisture_percent:g}"},
    )


TEST = BenchTest(
    id="oven_moisture",
    version=1,
    title="Oven moisture of a lot",
    about=About.LOT,
    procedure=(
        "Weigh the empty dish.",
        "Add 5 g or more of the lot, spread thin. Weigh dish and sample.",
        "Oven at 103 to 105 C. Let it cool under a lid before each weighing.",
        "Weigh after some hours, then again half an hour later, until it stays.",
    ),
    inputs=(TARE, WET, STEP, OVEN),
    rows=Rows(name="weighings", label="weighings after drying", columns=(HOURS, MASS), at_least=1, at_most=12),
    informs="moisture_wet_basis",
    notebook_name=MOISTURE.name,
    notebook_unit="%",
    brief_words="water in the lot, of its wet mass",
    floor=0.0,
    ceiling=MOISTURE.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=0.3,
    scatter_share=0.0,
    validity="Dried at 103 to 105 C until two weighings half an hour apart differ by less than 0.5 % of the dry mass. "
    "Oils and acids that boil off count as water. A cooler oven leaves some water in.",
    sources=("iso18134", "practice"),
    cautions=("Hot dish and oven: gloves.", "Do not leave dusty or oily powder in a hot oven unwatched."),
    minutes=10.0,
)
