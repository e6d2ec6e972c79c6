"""Line-shrinkage bar: marks on a printed bar, measured wet and dry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, Kind, above
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si
from slake.paste.drying import linear_shrinkage

from .declaration import About, BenchTest, Context, Headline, Raw, Rows, Scalar

WET = Scalar(
    name="wet_mm",
    label="between the marks, wet",
    unit="mm",
    low=10.0,
    high=500.0,
    typical=100.0,
    mend="measure between the needle marks, in mm",
)
DRY = Scalar(
    name="dry_mm",
    label="between the marks, dry",
    unit="mm",
    low=4.0,
    high=505.0,
    mend="measure between the same marks, in mm",
    later=True,
)


def _side(name: str, label: str) -> Scalar:
    """One side of the bar that need not be measured."""
    return Scalar(
        name=name,
        label=label,
        unit="mm",
        low=0.0,
        high=505.0,
        typical=0.0,
        open_means="not measured",
        mend="measure the same side in mm, or leave both its boxes empty",
        further=True,
    )


ALONG = (WET, DRY)
ACROSS = (_side("wet_across_mm", "width, wet"), _side("dry_across_mm", "width, dry"))
UPRIGHT = (_side("wet_height_mm", "height, wet"), _side("dry_height_mm", "height, dry"))
SIDES = {"along": ALONG, "across": ACROSS, "in height": UPRIGHT}
READING_M = to_si(0.3, "mm")
"""Two caliper readings on needle marks: a dry length longer by more than this is no reading error. Practice."""
TYPICAL_SD = 0.002
TYPICAL_COUNT = 4
"""0.2 points between bars of one batch, worth four bars until own repeats say otherwise: practice, no source."""
MOST_FAITHFUL = 0.25
WHEN_DRY = "measure the dry length when dry"
NOTHING = f"nothing yet: {WHEN_DRY}"


def shrinkages(raw: Raw, side: tuple[Scalar, Scalar] = ALONG) -> list[float]:
    """Shrinkage of each bar that is measured dry. Raises DoesNotFit where a bar grew by more than a reading error."""
    found = []
    for number, row in enumerate(raw.rows, 1):
        wet_m, dry_m = (row.get(item.name, 0.0) for item in side)
        if wet_m == 0 and dry_m > 0:
            raise DoesNotFit(f"bar {number}: {side[1].label} is given and {side[0].label} is not: {side[0].mend}")
        if dry_m > wet_m + READING_M:
            raise DoesNotFit(
                f"bar {number} is {from_si(dry_m, 'mm'):.4g} mm dry and {from_si(wet_m, 'mm'):.4g} mm wet, longer by "
                "more than a reading error of 0.3 mm: measure both again, or swap them"
            )
        if dry_m > 0:
            found.append(linear_shrinkage(wet_m, dry_m))
    return found


def pooled_sd(values: Sequence[float], typical_sd: float, typical_count: int) -> float:
    """Scatter of one specimen: the typical one and the repeats' own, weighed by their numbers."""
    mean = sum(values) / len(values)
    own = sum((value - mean) ** 2 for value in values)
    return math.sqrt((typical_count * typical_sd**2 + own) / (typical_count + len(values) - 1))


def headline(raw: Raw) -> Headline:
    """Mean shrinkage along the bar; the wet marks while no bar is measured dry."""
    by_side = {words: shrinkages(raw, side) for words, side in SIDES.items()}
    found = by_side["along"]
    if not found:
        wet_mm = from_si(sum(row[WET.name] for row in raw.rows) / len(raw.rows), "mm")
        return Headline(name=WET.name, value=wet_mm, unit="mm", words=f"wet marks of {_bars(len(raw.rows))}; {NOTHING}")
    return Headline(name=SHRINKAGE.name, value=from_si(_mean(found), "%"), unit="%", words=_bars(len(found)))


def goes_on(raw: Raw) -> str:
    """What a bar that is still wet waits for."""
    wet = sum(DRY.name not in row for row in raw.rows)
    return f"{WHEN_DRY} ({_bars(wet)} still wet)" if wet else ""


def _bars(count: int) -> str:
    return f"{count} bar{'s' if count > 1 else ''}"


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Mean shrinkage as a fraction of the wet length, with the scatter of that mean; no more than the least any bar
    shrinks while none is measured dry.
    """
    found = shrinkages(raw)
    if not found:
        least = to_si(SHRINKAGE.low, SHRINKAGE.unit)
        return replace(above("linear_shrinkage", least, TYPICAL_SD, on_log=False), note=NOTHING)
    mean = _mean(found)
    return Evidence(
        informs="linear_shrinkage",
        kind=Kind.EXACT,
        low=mean,
        high=mean,
        scatter=pooled_sd(found, TYPICAL_SD, TYPICAL_COUNT) / math.sqrt(len(found)),
        on_log=False,
        note=_note(raw, mean),
    )


def _note(raw: Raw, mean: float) -> str:
    notes = []
    if min(row[WET.name] for row in raw.rows) < to_si(50, "mm"):
        notes.append("marks under 50 mm apart read coarsely: set them 100 mm apart")
    if mean > MOST_FAITHFUL:
        notes.append("over 25 % the bar mostly warps or cracks: measure along the bend, and look at the recipe")
    return "; ".join(notes)


def says(raw: Raw, context: Context) -> Sequence[str]:
    """Each side that was measured wet and dry, what to draw it larger by, and how unlike the sides are."""
    means = {words: _mean(found) for words, side in SIDES.items() if (found := shrinkages(raw, side))}
    lines = [
        f"{words} it dries {from_si(mean, '%'):.2g} % shorter: draw it {1 / (1 - mean):.4g} times as long"
        for words, mean in means.items()
        if mean > 0
    ]
    along = means.get("along", 0.0)
    for words in ("across", "in height"):
        if along > 0 and means.get(words, 0.0) > 0:
            lines.append(f"{words} it shrinks {means[words] / along:.2g} times as much as along")
    return lines if len(means) > 1 else lines[:1]


def forward(shrinkage: float, context: Context) -> float:
    """The percentage read is the shrinkage itself."""
    return from_si(shrinkage, "%")


SHRINKAGE = Scalar(
    name="shrinkage_percent",
    label="line shrinkage, % of the wet length",
    unit="%",
    low=-3.0,
    high=60.0,
    mend="measure the same marks wet and dry again",
)


def quick(shrinkage_percent: float) -> Raw:
    """A percentage alone: as one bar with marks 100 mm apart."""
    wet_m = WET.typical_si()
    dry_m = wet_m * (1 - SHRINKAGE.take(shrinkage_percent))
    sides = {item.name: 0.0 for item in (*ACROSS, *UPRIGHT)}
    return Raw(rows=({WET.name: wet_m, DRY.name: dry_m, **sides},), typed={SHRINKAGE.name: f"{shrinkage_percent:g}"})


TEST = BenchTest(
    id="shrinkage_bar",
    version=1,
    title="Line-shrinkage bar",
    about=About.BATCH,
    procedure=(
        "Print a bar about 120 x 15 x 6 mm on film.",
        "Prick two needle marks along it, 100 mm apart. Measure.",
        "Dry it free, turn it once. No glue, no weight.",
        "When it stays the same mass, measure the same marks.",
    ),
    inputs=(),
    rows=Rows(name="bars", label="bars", columns=(*ALONG, *ACROSS, *UPRIGHT), at_least=1, at_most=12),
    informs="linear_shrinkage",
    notebook_name=SHRINKAGE.name,
    notebook_unit="%",
    brief_words="how much shorter it dries, of the wet length",
    floor=SHRINKAGE.low,
    ceiling=SHRINKAGE.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    goes_on=goes_on,
    says=says,
    scatter_absolute=0.2,
    scatter_share=0.0,
    validity="Along the bar, dried free to constant mass. Height often shrinks 1.2 to 2 times as much. Bars of one "
    "batch say nothing of the next batch.",
    sources=("astm_c326", "practice"),
    cautions=("Needle: mark away from your hand.", "Wear a mask when you sand or break dry bars."),
    sample_ml=11.0,
    minutes=5.0,
)
