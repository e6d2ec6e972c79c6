"""Numbered packs of dry premix and the water to pour on each, for many bowls at once; and when to do what."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from slake.ground.problems import OutsideRange
from slake.ground.units import to_si

from .amounts import HELD_BACK, rounded
from .batch import USUAL_RESOLUTION_KG, Plan
from .ingredients import Role
from .recipe import WATER

USUAL_PACK_DRY_KG = to_si(120, "g")
USUAL_SPARE_SHARE = 0.2
MOST_PACKS = 200
WET_ROLES = {Role.LIQUID, Role.PLASTICISER}


@dataclass(frozen=True, kw_only=True)
class Pack:
    """One pack: dry premix as received, liquid that is no water, water to pour at first, and water to hold back."""

    number: int
    premix_kg: float
    liquid_kg: float
    water_kg: float
    held_kg: float


def packs_with_spare(asked: int, spare_share: float = USUAL_SPARE_SHARE) -> int:
    """Packs to make: those asked for and the spare, rounded up. Raises OutsideRange."""
    if not 1 <= asked <= MOST_PACKS:
        raise OutsideRange("number of packs", got=asked, low=1, high=MOST_PACKS, do="count the people or bowls")
    if not 0 <= spare_share <= 1:
        raise OutsideRange("spare share of the packs", got=spare_share, low=0, high=1, do="0.2 is usual")
    return math.ceil(asked * (1 + spare_share) - 1e-9)


def split_evenly(kg: float, asked: int, resolution_kg: float = USUAL_RESOLUTION_KG) -> tuple[float, ...]:
    """One mass in so many shares a scale can show, no two a step and more apart, which sum to it within half a step.

    Each share is the step between two rounded running sums, so the rounding never adds up. Raises OutsideRange.
    """
    if not 0 <= kg < math.inf:
        raise OutsideRange("the mass to share out (kg)", got=kg, low=0, high=1000, do="plan it again")
    if asked < 1:
        raise OutsideRange("number of packs", got=asked, low=1, high=MOST_PACKS, do="count the people or bowls")
    sums = [rounded(kg * n / asked, resolution_kg) for n in range(asked + 1)]
    return tuple(round(after - before, 9) for before, after in pairwise(sums))


def pack_list(plan: Plan, asked: int) -> tuple[Pack, ...]:
    """The plan of all packs together shared out: premix of powders, liquids, and water in two pours."""
    premix = math.fsum(a.kg for a in plan.amounts if a.role not in WET_ROLES)
    waters = {WATER, HELD_BACK}
    liquid = math.fsum(a.kg for a in plan.amounts if a.role in WET_ROLES and a.key not in waters)
    pours = [math.fsum(a.kg for a in plan.amounts if a.key == key) for key in (WATER, HELD_BACK)]
    shares = [split_evenly(kg, asked) for kg in (premix, liquid, *pours)]
    return tuple(
        Pack(number=n, premix_kg=dry, liquid_kg=wet, water_kg=water, held_kg=held)
        for n, (dry, wet, water, held) in enumerate(zip(*shares, strict=True), 1)
    )


@dataclass(frozen=True, kw_only=True)
class Moment:
    """One line of the timeline: seconds before the start (below zero: after it), and what to do."""

    before_s: float
    do: str


TIMELINE = (
    Moment(
        before_s=to_si(24, "h"), do="Weigh out and blend the premix, pack and number it; check who may be allergic."
    ),
    Moment(before_s=to_si(4, "h"), do="Boil or take soft water and let it cool; weigh the water of each pack."),
    Moment(
        before_s=to_si(3, "h"), do="Staff begin to wet the packs, one after the other: gum needs its time to swell."
    ),
    Moment(before_s=to_si(2, "h"), do="The last pack is wet. All rest covered."),
    Moment(before_s=to_si(1, "h"), do="Read the cone on the first, a middle and the last pack; knead again."),
    Moment(before_s=to_si(0.5, "h"), do="Add held-back water only where the cone says so; load the first cartridges."),
    Moment(before_s=0.0, do="Start."),
    Moment(before_s=-to_si(1, "h"), do="What is not loaded by now thickens: read the cone before you load it."),
    Moment(before_s=-to_si(2, "h"), do="Last cartridge in. Clean nozzles now, bowls next; no solids down the drain."),
    Moment(before_s=-to_si(3, "h"), do="Hand the prints home with a card: how to dry them, not to eat from them."),
)
"""Backwards from the start: packs are mixed two to three hours before. Common practice, no source."""
