"""Wet arithmetic of one batch: from a recipe and real lots to the grams to weigh, as received and in order."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from slake.ground.problems import DoesNotFit, OutsideRange, Problem, plain
from slake.ground.units import from_si, to_si

from .amounts import HELD_BACK as HELD_BACK
from .amounts import Amount, received_of, rounded, whole
from .bases import check_moisture, received_kg_from_dry, recipe_from_received, too_wet
from .ingredients import Role
from .portions import in_order
from .recipe import WATER, Recipe, in_words

USUAL_HELD_BACK = 0.10
USUAL_RESOLUTION_KG = to_si(0.1, "g")
LARGEST_BATCH_KG = 100.0
COARSE_SHARE = 0.05


@dataclass(frozen=True, kw_only=True)
class LotFacts:
    """What weighing needs of the lot an ingredient is taken from, and of the scale it is weighed on.

    `stock_kg` is what is left of the lot as received; None where nobody keeps count. `ingredient`: key of the
    catalogue, where the lot goes by another name.
    """

    role: Role
    moisture_wet_basis: float
    ingredient: str = ""
    resolution_kg: float = USUAL_RESOLUTION_KG
    stock_kg: float | None = None

    def __post_init__(self) -> None:
        check_moisture(self.moisture_wet_basis)
        if not 0 < self.resolution_kg < math.inf:
            raise OutsideRange(
                "scale resolution (kg)", got=self.resolution_kg, low=1e-6, high=1, do="give the smallest step it shows"
            )


@dataclass(frozen=True, kw_only=True)
class Water:
    """How the water of a batch is handled: the share of the water to add that is held back, and its scale."""

    held_back_share: float = USUAL_HELD_BACK
    resolution_kg: float = USUAL_RESOLUTION_KG

    def __post_init__(self) -> None:
        if not 0 <= self.held_back_share < 1:
            raise OutsideRange(
                "share of the water held back", got=self.held_back_share, low=0, high=0.9, do="0.1 is usual"
            )
        if not 0 < self.resolution_kg < math.inf:
            raise OutsideRange(
                "scale resolution (kg)", got=self.resolution_kg, low=1e-6, high=1, do="give the smallest step it shows"
            )


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What to weigh, in the order to add it; the amounts together are the paste. One thing may come in portions.

    `asked` is the recipe wanted; `recipe` is the one these rounded amounts make. Water appears as `water`
    (pour now) and `water_held_back`.
    """

    asked: Recipe
    amounts: tuple[Amount, ...]
    notes: tuple[str, ...] = ()

    @property
    def whole(self) -> tuple[Amount, ...]:
        return whole(self.amounts)

    @property
    def paste_kg(self) -> float:
        return math.fsum(a.kg for a in self.amounts)

    @property
    def dry_kg(self) -> float:
        return math.fsum(a.dry_kg for a in self.amounts)

    @property
    def water_kg(self) -> float:
        """All the water in the paste: added now, held back, and carried in by the lots."""
        return math.fsum(a.water_kg for a in self.amounts)

    @property
    def water_to_add_kg(self) -> float:
        return math.fsum(a.kg for a in self.amounts if a.key in {WATER, HELD_BACK})

    @property
    def recipe(self) -> Recipe:
        return recipe_from_received(*received_of(self.amounts))

    def amount(self, key: str) -> Amount:
        """All that goes in of `key`, its portions together. Raises Problem where it is not in the plan."""
        for found in self.whole:
            if found.key == key:
                return found
        raise Problem(f"{in_words(key)} is not in this batch: it has {', '.join(a.key for a in self.whole)}")


def plan_batch(recipe: Recipe, lots: Mapping[str, LotFacts], dry_kg: float, water: Water | None = None) -> Plan:
    """Weigh-out of `dry_kg` of dry solids (see `dry_kg_of_paste` for a mass of paste).

    Each amount is rounded to its own scale; the water then follows the dry mass that was really planned, so
    that water per dry holds to half a step of the water scale. Water the lots carry in comes off the water to
    add. Raises DoesNotFit where they carry more than the recipe wants, where an amount is too small for its
    scale or larger than the stock; Problem where a lot is missing.
    """
    if not 0 < dry_kg <= LARGEST_BATCH_KG:
        raise OutsideRange(
            "dry mass of the batch (kg)", got=dry_kg, low=0.001, high=LARGEST_BATCH_KG, do="choose a batch size"
        )
    water = water or Water()
    solids = [_solid(key, part * dry_kg, lots) for key, part in recipe.parts.items() if part > 0]
    planned_dry = math.fsum(a.dry_kg for a in solids)
    carried = math.fsum(a.water_kg for a in solids)
    wanted = recipe.water_per_dry * planned_dry
    if carried - wanted > water.resolution_kg / 2:
        raise too_wet(carried, wanted)
    to_add = rounded(max(wanted - carried, 0.0), water.resolution_kg)
    held = rounded(to_add * water.held_back_share, water.resolution_kg)
    now = round(to_add - held, 9)
    pours = [_water(WATER, now, water.resolution_kg), _water(HELD_BACK, held, water.resolution_kg)]
    ordered = in_order([*solids, *(a for a in pours if a.kg > 0)])
    _check_stock(whole(ordered), lots)
    return Plan(asked=recipe, amounts=ordered, notes=_notes(whole(ordered)))


def _solid(key: str, dry_kg: float, lots: Mapping[str, LotFacts]) -> Amount:
    if key not in lots:
        raise Problem(f"no lot is chosen for {in_words(key)}: choose the one you will weigh from")
    lot = lots[key]
    if lot.role is Role.COAT:
        raise DoesNotFit(f"{in_words(key)} is a coat and goes onto the dried part: leave it out of the paste")
    exact = received_kg_from_dry(dry_kg, lot.moisture_wet_basis)
    kg = rounded(exact, lot.resolution_kg)
    if kg <= 0:
        wanted, step = from_si(exact, "g"), from_si(lot.resolution_kg, "g")
        raise DoesNotFit(
            f"{in_words(key)} would be {plain(wanted)} g, which a scale of {plain(step)} g steps cannot weigh: "
            "use a finer scale, or mix a larger batch"
        )
    return Amount(
        key=key,
        role=lot.role,
        kg=kg,
        moisture_wet_basis=lot.moisture_wet_basis,
        resolution_kg=lot.resolution_kg,
        ingredient=lot.ingredient,
    )


def _water(key: str, kg: float, resolution_kg: float) -> Amount:
    return Amount(key=key, role=Role.LIQUID, kg=kg, moisture_wet_basis=1.0, resolution_kg=resolution_kg)


def _check_stock(amounts: tuple[Amount, ...], lots: Mapping[str, LotFacts]) -> None:
    for a in amounts:
        stock = lots[a.key].stock_kg if a.key in lots else None
        if stock is not None and a.kg > stock:
            need, have = from_si(a.kg, "g"), from_si(max(stock, 0.0), "g")
            raise DoesNotFit(
                f"{in_words(a.key)} needs {need:.1f} g and its lot has {have:.1f} g left: "
                "mix a smaller batch, or take another lot"
            )


def _notes(amounts: tuple[Amount, ...]) -> tuple[str, ...]:
    coarse = [a for a in amounts if a.resolution_kg / 2 > COARSE_SHARE * a.kg and a.key != HELD_BACK]
    return tuple(
        f"{in_words(a.key)}: {plain(from_si(a.kg, 'g'))} g on a scale of {plain(from_si(a.resolution_kg, 'g'))} g "
        f"steps may be off by {100 * a.resolution_kg / 2 / a.kg:.0f} %: a finer scale is worth it here"
        for a in coarse
    )
