"""Water demand: water dripped into a lot's powder and kneaded until it just makes one ball."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slake.ground.evidence import Evidence, above, below, exact
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

POWDER = Scalar(
    name="powder_g",
    label="powder",
    unit="g",
    low=2.0,
    high=500.0,
    typical=10.0,
    help="as it lies in the lot",
    mend="weigh out about 10 g",
)
WATER = Scalar(
    name="water_g",
    label="water dripped in",
    unit="g",
    low=0.05,
    high=5000.0,
    help="what the bottle got lighter",
    mend="weigh the drip bottle before and after, in grams",
)
STOPPED = Choice(
    name="stopped_at",
    label="where you stopped",
    words={"ball": "one ball, no crumbs, nothing sticks", "crumbs": "still crumbs", "sticky": "past it: sticks"},
    typical="ball",
    help="the same end point every time counts most",
)
DEMAND = Scalar(
    name="water_demand_g_per_g",
    label="water drunk per powder as it is",
    unit="g/g",
    low=0.01,
    high=15.0,
    mend="give grams of water per gram of powder",
)
SCATTER_SHARE = 0.05
BETWEEN_PEOPLE = 0.109
"""One person repeats to 5 %, two people to 12 %: what is left is each one's own end point. Practice, no source."""
FEW_KG = to_si(5, "g")


def headline(raw: Raw) -> Headline:
    """Water per powder as weighed."""
    value = raw.numbers[WATER.name] / raw.numbers[POWDER.name]
    words = "" if raw.words[STOPPED.name] == "ball" else STOPPED.words[raw.words[STOPPED.name]]
    return Headline(name=DEMAND.name, value=value, unit="g/g", words=words)


def inverse(raw: Raw, context: Context) -> Evidence:
    """Water per dry solids: the lot's own water counts as drunk. Above while it crumbles, below once it sticks."""
    carried = _carried(context)
    demand = (headline(raw).value + carried) / (1 - carried)
    scatter = math.hypot(SCATTER_SHARE, context.moisture_sd * (1 + demand) / (1 - carried) / demand)
    stopped = raw.words[STOPPED.name]
    if stopped == "crumbs":
        found = above("water_demand", demand, scatter, own_end_point=BETWEEN_PEOPLE)
        return replace(found, note="it still crumbled: it only says “at least this much”")
    if stopped == "sticky":
        found = below("water_demand", demand, scatter, own_end_point=BETWEEN_PEOPLE)
        return replace(found, note="it stuck already: it only says “less than this”")
    note = "under 5 g a few drops decide: take 10 g" if raw.numbers[POWDER.name] < FEW_KG * (1 - 1e-9) else ""
    return replace(exact("water_demand", demand, scatter, own_end_point=BETWEEN_PEOPLE), note=note)


def _carried(context: Context) -> float:
    wet_basis = context.moisture_wet_basis
    if not 0 <= wet_basis < 0.9:
        do = "dry the sample first, this test is for powder"
        raise OutsideRange("water the powder carries (%)", got=from_si(wet_basis, "%"), low=0, high=90, do=do)
    return wet_basis


def says(raw: Raw, context: Context) -> Sequence[str]:
    """What was counted in, and what the number is for."""
    carried = from_si(context.moisture_wet_basis, "%")
    lines = ["a recipe's water goes from lot to lot as their water demands do: a first guess, start at the dry end"]
    if carried > 0:
        lines.insert(0, f"the {carried:.2g} % of water the lot carries is counted as drunk: it is per dry solids")
    return lines


def forward(demand: float, context: Context) -> float:
    """Water per powder as weighed; nothing where the lot carries more than it demands."""
    carried = _carried(context)
    return max(demand * (1 - carried) - carried, 0.0)


def quick(demand: float) -> Raw:
    """A figure alone: of 10 g, to a ball."""
    powder_kg = POWDER.typical_si()
    return Raw(
        numbers={POWDER.name: powder_kg, WATER.name: DEMAND.take(demand) * powder_kg},
        words={STOPPED.name: "ball"},
        typed={DEMAND.name: f"{demand:g}"},
    )


TEST = BenchTest(
    id="water_demand",
    version=1,
    title="Water demand of a lot",
    about=About.LOT,
    procedure=(
        "Weigh 10 g of the powder into a bowl. Weigh a drip bottle of water.",
        "Drip in water, pressing and kneading with a spatula all the while.",
        "Stop when it makes one ball that leaves no crumbs and does not stick.",
        "Weigh the bottle again. The difference is the water.",
    ),
    inputs=(POWDER, WATER, STOPPED),
    informs="water_demand",
    notebook_name=DEMAND.name,
    notebook_unit="g/g",
    brief_words="water a lot's powder drinks to one ball",
    floor=DEMAND.low,
    ceiling=DEMAND.high,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    says=says,
    scatter_absolute=0.0,
    scatter_share=SCATTER_SHARE,
    validity="Powder dry enough to flow, kneaded to the ball within 5 minutes. One person repeats to 5 %, two people "
    "differ by 12 %: compare lots read by one person. What drinks for hours, as coarse cellulose does, reads low.",
    sources=("iso787_5", "practice"),
    cautions=("Dust: wear a mask, no draught.", "Raw waste: gloves, and wash the bowl hot."),
    minutes=10.0,
)
