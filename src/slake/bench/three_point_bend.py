"""Three-point bend: the load that breaks a dry bar laid on two edges, read as its strength."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from slake.ground.evidence import Evidence, above, exact
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Rows, Scalar
from .shrinkage_bar import pooled_sd

LOAD = Scalar(
    name="load_n",
    label="load at break",
    unit="N",
    low=0.05,
    high=20000.0,
    help="1 kg in the bucket is 9.81 N; count the bucket",
    mend="give the load in newtons; 1 kg is 9.81 N",
)
SPAN = Scalar(
    name="span_mm",
    label="distance of the two edges",
    unit="mm",
    low=10.0,
    high=500.0,
    typical=60.0,
    mend="measure between the two edges, in mm",
)
WIDTH = Scalar(
    name="width_mm",
    label="width of the bar",
    unit="mm",
    low=1.0,
    high=200.0,
    typical=10.0,
    mend="measure the dry bar, in mm",
)
THICK = Scalar(
    name="thickness_mm",
    label="thickness of the bar, along the load",
    unit="mm",
    low=0.5,
    high=100.0,
    typical=6.0,
    mend="measure the dry bar at the break, in mm",
)
ENDED = Choice(
    name="ended",
    label="how it ended",
    words={"broke": "all broke", "held": "none broke"},
    typical="broke",
    help="none broke: give the highest load each bar held",
)
TYPICAL_SD_LOG = 0.2
TYPICAL_COUNT = 4
"""Bars of one batch scatter by 15 to 25 %: practice, no source; worth four bars until own repeats say otherwise."""
SHORTEST_SPANS, FEWEST_THICKNESSES = 8.0, 2.0
"""Spans in thicknesses: from 8 on the bar bends as the formula has it; under 2 it does not bend. Practice."""


def bend_strength_pa(bar: Mapping[str, float]) -> float:
    """Outer stress of a bar at its load: 3 F L / (2 b d^2).

    Holds for slender, straight, elastic bars; layers and hidden cracks lower it. Source: iso178 (form, memory).
    """
    return 3 * bar[LOAD.name] * bar[SPAN.name] / (2 * bar[WIDTH.name] * bar[THICK.name] ** 2)


def headline(raw: Raw) -> Headline:
    """Geometric mean of the bars. Raises DoesNotFit where a bar is too stout for its span to bend at all."""
    for number, bar in enumerate(raw.rows, 1):
        if bar[SPAN.name] < FEWEST_THICKNESSES * bar[THICK.name]:
            raise DoesNotFit(
                f"bar {number} is {from_si(bar[THICK.name], 'mm'):g} mm thick over a span of "
                f"{from_si(bar[SPAN.name], 'mm'):g} mm: it is crushed, not bent; set the edges 8 thicknesses apart, "
                "at least 2, or check which number is which"
            )
    logs = [math.log(bend_strength_pa(bar)) for bar in raw.rows]
    bars = f"{len(logs)} bar{'s' if len(logs) > 1 else ''}{', none broke' if raw.words[ENDED.name] == 'held' else ''}"
    value = from_si(math.exp(sum(logs) / len(logs)), "MPa")
    return Headline(name="strength_mpa", value=value, unit="MPa", words=bars)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Geometric mean strength with the scatter of that mean; above the highest load held when none broke."""
    logs = [math.log(bend_strength_pa(bar)) for bar in raw.rows]
    scatter = pooled_sd(logs, TYPICAL_SD_LOG, TYPICAL_COUNT) / math.sqrt(len(logs))
    short = any(bar[SPAN.name] < SHORTEST_SPANS * bar[THICK.name] for bar in raw.rows)
    note = "span under 8 thicknesses: reads high, set the edges wider apart" if short else ""
    mean_pa = math.exp(sum(logs) / len(logs))
    if raw.words[ENDED.name] == "held":
        held = "none broke: it only says “stronger than”"
        return replace(above("bend_strength_pa", mean_pa, scatter), note="; ".join(filter(None, (held, note))))
    return replace(exact("bend_strength_pa", mean_pa, scatter), note=note)


def forward(strength_pa: float, context: Context) -> float:
    """The strength read is the property itself."""
    return from_si(strength_pa, "MPa")


STRENGTH = Scalar(
    name="strength_mpa", label="bend strength", unit="MPa", low=0.001, high=200.0, mend="give it in MPa (N per mm2)"
)


def quick(strength_mpa: float) -> Raw:
    """A strength alone: as one bar of the typical size."""
    bar = {item.name: item.typical_si() for item in (SPAN, WIDTH, THICK)}
    unit_load = bend_strength_pa({LOAD.name: 1.0, **bar})
    load = {LOAD.name: STRENGTH.take(strength_mpa) / unit_load}
    return Raw(words={ENDED.name: "broke"}, rows=({**load, **bar},), typed={STRENGTH.name: f"{strength_mpa:g}"})


TEST = BenchTest(
    id="three_point_bend",
    version=1,
    title="Three-point bend",
    about=About.BATCH,
    procedure=(
        "Measure width and thickness of a dry bar.",
        "Lay it on two edges 60 mm apart. Hang a bucket in the middle.",
        "Pour in sand or water slowly until it breaks.",
        "Weigh the bucket: kg times 9.81 is the load in N. Do 4 bars or more.",
    ),
    inputs=(ENDED,),
    rows=Rows(name="bars", label="bars", columns=(LOAD, SPAN, WIDTH, THICK), at_least=1, at_most=24),
    informs="bend_strength_pa",
    notebook_name=STRENGTH.name,
    notebook_unit="MPa",
    brief_words="strength when dry",
    floor=STRENGTH.low,
    ceiling=STRENGTH.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=0.0,
    scatter_share=TYPICAL_SD_LOG,
    validity="Straight dry bars kept two days in like air, span 8 thicknesses or more. Bars of one batch count as "
    "one batch, not as many.",
    sources=("iso178", "practice"),
    cautions=("Bars snap: wear glasses.", "The bucket drops: keep feet away.", "Do not breathe the dust of the break."),
    sample_ml=5.0,
    minutes=15.0,
)
