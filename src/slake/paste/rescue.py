"""When the pan shows too much, or the bowl reads wrong: rescale, accept, or add to what is left in the
bowl.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import from_si

from .amounts import Amount, received_of, rounded
from .bases import check_moisture, received_kg_from_dry, recipe_from_received
from .batch import LotFacts, Plan
from .recipe import MOST_WATER_PER_DRY, Recipe, in_words, recipe_from_dry

LARGEST_RESCALE = 3.0


@dataclass(frozen=True, kw_only=True)
class Rescaled:
    """The plan made larger so that what was overshot fits it; `still_kg` is what has yet to go on the pan."""

    plan: Plan
    factor: float
    still_kg: Mapping[str, float]


def rescale_after_overshoot(plan: Plan, weighed_kg: Mapping[str, float], lots: Mapping[str, LotFacts]) -> Rescaled:
    """The rest of the batch times what the worst overshot ingredient was too much by.

    `weighed_kg` holds what is on the pan or in the bowl by key, as received; the recipe stays as it was, to
    half a step of each scale. Raises DoesNotFit where nothing is overshot, where the lots do not hold the
    larger batch, and where it would grow more than threefold.
    """
    factor = max((kg / plan.amount(key).kg for key, kg in _checked(weighed_kg).items()), default=0.0)
    if factor <= 1:
        raise DoesNotFit("nothing on the pan is over its amount: weigh on to the amount shown")
    if factor > LARGEST_RESCALE:
        raise OutsideRange(
            "the batch after rescaling (times the planned one)",
            got=factor,
            low=1,
            high=LARGEST_RESCALE,
            do="take some back off the pan, or start this one again",
        )
    larger = [_grown(a, factor, weighed_kg.get(a.key)) for a in plan.whole]
    _check_stock(larger, lots)
    still = {a.key: max(round(a.kg - weighed_kg.get(a.key, 0.0), 9), 0.0) for a in larger}
    return Rescaled(plan=replace(plan, amounts=_in_portions(plan, factor, larger)), factor=factor, still_kg=still)


def _in_portions(plan: Plan, factor: float, larger: Sequence[Amount]) -> tuple[Amount, ...]:
    """The grown amounts in the portions and the order of the plan: the last portion of each is what is left of it."""
    left = {a.key: a.kg for a in larger}
    last = {a.key: place for place, a in enumerate(plan.amounts)}
    out = []
    for place, a in enumerate(plan.amounts):
        share = left[a.key] if place == last[a.key] else min(rounded(a.kg * factor, a.resolution_kg), left[a.key])
        left[a.key] = round(left[a.key] - share, 9)
        out.append(replace(a, kg=share))
    return tuple(out)


def _grown(amount: Amount, factor: float, weighed: float | None) -> Amount:
    target = rounded(amount.kg * factor, amount.resolution_kg)
    if weighed is not None and weighed > target - amount.resolution_kg * 0.51:
        target = weighed
    return replace(amount, kg=target)


def accept_overshoot(plan: Plan, weighed_kg: Mapping[str, float]) -> Recipe:
    """The recipe that results when what is too much stays in and everything else goes in as planned, also what
    is only partly weighed yet, such as the first portion of a filler.
    """
    for key in _checked(weighed_kg):
        plan.amount(key)
    kept = tuple(replace(a, kg=max(weighed_kg.get(a.key, 0.0), a.kg)) for a in plan.whole)
    return recipe_from_received(*received_of(kept))


def _checked(weighed_kg: Mapping[str, float]) -> Mapping[str, float]:
    for key, kg in weighed_kg.items():
        if not 0 <= kg < math.inf:
            raise OutsideRange(
                f"the weighed {in_words(key)} (g)", got=from_si(kg, "g"), low=0, high=1e5, do="read the scale again"
            )
    return weighed_kg


def _check_stock(amounts: list[Amount], lots: Mapping[str, LotFacts]) -> None:
    for a in amounts:
        stock = lots[a.key].stock_kg if a.key in lots else None
        if stock is not None and a.kg > stock:
            raise DoesNotFit(
                f"rescaling wants {from_si(a.kg, 'g'):.1f} g of {in_words(a.key)} and its lot has "
                f"{from_si(stock, 'g'):.1f} g: take some back off the pan, or accept the overshoot"
            )


@dataclass(frozen=True, kw_only=True)
class TopUp:
    """What to knead into the paste left in the bowl, and the recipe it then is. One of the two masses is
    zero.
    """

    water_kg: float
    filler_key: str
    filler_kg: float
    recipe: Recipe


def top_up(now: Recipe, left_kg: float, water_per_dry: float, filler: tuple[str, LotFacts]) -> TopUp:
    """Water, or else dry filler as received, that brings the paste left in the bowl to `water_per_dry`.

    `now` is the recipe of that paste, `left_kg` its mass as it stands (losses already gone). Filler thins the
    gum too: the recipe that comes back says by how much. Holds while nothing has dried since the recipe was
    true. Raises DoesNotFit where the filler's lot is too moist or too small for it.
    """
    key, lot = filler
    if not 0 < left_kg < math.inf:
        raise OutsideRange(
            "paste left in the bowl (g)", got=from_si(left_kg, "g"), low=1, high=1e5, do="weigh the bowl"
        )
    if not 0 <= water_per_dry <= MOST_WATER_PER_DRY:
        raise OutsideRange(
            "water per dry solids (g/g)", got=water_per_dry, low=0, high=MOST_WATER_PER_DRY, do="choose a smaller step"
        )
    dry = left_kg * now.solids_fraction
    dry_now = {k: part * dry for k, part in now.parts.items()}
    if water_per_dry >= now.water_per_dry:
        water = rounded(dry * (water_per_dry - now.water_per_dry), lot.resolution_kg)
        after = recipe_from_dry(dry_now, dry * now.water_per_dry + water)
        return TopUp(water_kg=water, filler_key=key, filler_kg=0.0, recipe=after)
    kg = rounded(_filler_kg(dry, now.water_per_dry, water_per_dry, filler), lot.resolution_kg)
    more = kg * (1 - lot.moisture_wet_basis)
    after = recipe_from_dry(
        {**dry_now, key: dry_now.get(key, 0.0) + more}, dry * now.water_per_dry + kg * lot.moisture_wet_basis
    )
    return TopUp(water_kg=0.0, filler_key=key, filler_kg=kg, recipe=after)


def _filler_kg(dry_kg: float, water_now: float, water_then: float, filler: tuple[str, LotFacts]) -> float:
    key, lot = filler
    moist = check_moisture(lot.moisture_wet_basis) / (1 - lot.moisture_wet_basis)
    if moist >= water_then:
        raise DoesNotFit(
            f"the lot of {in_words(key)} carries {moist:.2f} g of water per dry gram and cannot dry the paste to "
            f"{water_then:.2f}: dry some of the lot first, or let the paste stand open and knead it"
        )
    kg = received_kg_from_dry(dry_kg * (water_now - water_then) / (water_then - moist), lot.moisture_wet_basis)
    if lot.stock_kg is not None and kg > lot.stock_kg:
        raise DoesNotFit(
            f"this needs {from_si(kg, 'g'):.1f} g of {in_words(key)} and its lot has "
            f"{from_si(lot.stock_kg, 'g'):.1f} g: take a smaller step, or another lot"
        )
    return kg


def tuned_water_per_dry(now: Recipe, added_per_left: float) -> float:
    """Water per dry after adding water as a share of the paste left in the bowl ("+1 % water")."""
    return now.water_per_dry + added_per_left * (1 + now.water_per_dry)
