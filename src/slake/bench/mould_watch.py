"""Mould watch: a tub or a piece looked at day by day; when mould is first seen, as an interval between two looks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Rows, Scalar

DAY = Scalar(
    name="day",
    label="day of the look",
    unit="day",
    low=0.0,
    high=400.0,
    mend="count days from when it was put away; half days are fine",
)
GRADE = Scalar(
    name="mould_grade",
    label="mould seen",
    unit="grade",
    low=0.0,
    high=5.0,
    whole=True,
    help="0 nothing; 1 under a lens; 2 a tenth; 3 up to half; 4 more than half; 5 all over",
    mend="a whole number from 0 to 5",
)
KEPT = Choice(
    name="kept",
    label="kept",
    words={"warm": "at 20 to 25 C", "cold": "in the fridge", "other": "elsewhere"},
    typical="warm",
)
FIRST = "mould_first_day"
SEEN_FROM = 1
STOP_AT = 2
LOOK_SD_S = to_si(0.25, "day")
USUAL_GAP_S = to_si(1, "day")


def _looks(raw: Raw) -> list[tuple[float, int]]:
    """(seconds, grade) in the order of days. Raises DoesNotFit for two looks on one day that say different things."""
    found = sorted((row[DAY.name], int(row[GRADE.name])) for row in raw.rows)
    for (one, before), (other, after) in pairwise(found):
        if one == other and before != after:
            raise DoesNotFit(
                f"day {from_si(one, 'day'):g} has grade {before} and grade {after}: keep one of them, or give half days"
            )
    return found


def between(raw: Raw) -> tuple[float, float | None]:
    """Seconds of the last clean look and of the first look with mould; None while it is clean."""
    looks = _looks(raw)
    first = next((at for at, grade in looks if grade >= SEEN_FROM), None)
    clean = [at for at, grade in looks if grade < SEEN_FROM and (first is None or at < first)]
    return (clean[-1] if clean else 0.0), first


def headline(raw: Raw) -> Headline:
    clean_s, first_s = between(raw)
    worst = max(int(row[GRADE.name]) for row in raw.rows)
    if first_s is None:
        return Headline(name=FIRST, value=from_si(clean_s, "day"), unit="day", words="still clean: later than this")
    days = [from_si(at, "day") for at in (clean_s, first_s)]
    words = f"between day {days[0]:g} and day {days[1]:g}; worst grade {worst}"
    return Headline(name=FIRST, value=sum(days) / 2, unit="day", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """First visible mould: between the last clean and the first mouldy look, or above the last look."""
    clean_s, first_s = between(raw)
    if first_s is None:
        note = "clean so far: it only says “later than this”"
        return _evidence(Kind.ABOVE, clean_s, None, note)
    note = "the day lies between the two looks: look daily to know it better"
    if first_s <= 0 or clean_s >= first_s:
        return _evidence(
            Kind.BELOW, None, max(first_s, LOOK_SD_S), "there at the first look: it only says “before this”"
        )
    return _evidence(Kind.BETWEEN, clean_s, first_s, note if first_s - clean_s > USUAL_GAP_S else "")


def _evidence(kind: Kind, low: float | None, high: float | None, note: str) -> Evidence:
    return Evidence(informs="mould_first_s", kind=kind, low=low, high=high, scatter=LOOK_SD_S, on_log=False, note=note)


def says(raw: Raw, context: Context) -> Sequence[str]:
    _, first_s = between(raw)
    if first_s is None:
        return ["keep looking; smell comes before sight, and gas or slime ends it sooner"]
    return ["throw it out closed, in a bag; do not smell at it, and wash what it touched"]


def goes_on(raw: Raw) -> str:
    """What the watch waits for: looks, until there is enough mould to stop."""
    worst = max(int(row[GRADE.name]) for row in raw.rows)
    return "" if worst >= STOP_AT else "look again every day, and add the look to these"


def forward(mould_first_s: float, context: Context) -> float:
    return from_si(mould_first_s, "day")


def quick(day: float) -> Raw:
    """A day alone: clean half a day before, seen half a day after."""
    at = DAY.take(day)
    half = min(USUAL_GAP_S / 2, at)
    rows = ({DAY.name: at - half, GRADE.name: 0.0}, {DAY.name: at + half, GRADE.name: 1.0})
    return Raw(words={KEPT.name: "warm"}, rows=rows, typed={FIRST: f"{day:.10g}"})


TEST = BenchTest(
    id="mould_watch",
    version=1,
    title="Mould watch",
    about=About.BATCH,
    also_about=(About.LOT,),
    procedure=(
        "Put a closed tub of the paste and a dried piece where you keep such things.",
        "Look at it every day in good light, through the closed lid. Take a photo.",
        "Write down the day and the grade, 0 when there is nothing.",
        "Stop at grade 2, and throw it out closed.",
    ),
    inputs=(KEPT,),
    rows=Rows(name="looks", label="looks", columns=(DAY, GRADE), at_least=1, at_most=30),
    informs="mould_first_s",
    notebook_name=FIRST,
    notebook_unit="day",
    brief_words="day mould is first seen",
    floor=DAY.low,
    ceiling=DAY.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    goes_on=goes_on,
    says=says,
    scatter_absolute=0.5,
    scatter_share=0.0,
    validity="What the eye sees, in this tub at this temperature. A clean tub is not clean of germs, and the scale of "
    "grades is borrowed from a test of materials, not followed.",
    sources=("iso846", "practice"),
    cautions=("Do not open a mouldy tub, and do not smell at it: spores harm lungs.", "Raw waste: gloves."),
    minutes=1.0,
)
