"""A workshop's packs and a print's cartridges, worked out from a recipe and today's lots. Reads only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.paste.batch import Plan, plan_batch
from slake.paste.cartridges import (
    Cartridge,
    TwoWays,
    cartridge_lasts_s,
    cartridges_begun_within,
)
from slake.paste.keeping import PRINT_WITHIN
from slake.paste.packs import Pack, pack_list, packs_with_spare
from slake.paste.recipe import Recipe
from slake.records import models
from slake.records.models import Lot
from slake.records.values import ingredient_of

from .lots import stock_g
from .sizes import lot_facts
from .stock import lots_in, paste_density_kg_m3


@dataclass(frozen=True, kw_only=True)
class ToWeigh:
    """Grams of one lot for all packs, what is left of it, and what is missing (zero where there is enough)."""

    lot: Lot
    grams: float
    left_g: float | None
    short_g: float


@dataclass(frozen=True, kw_only=True)
class Packing:
    """All packs of a workshop with their totals."""

    asked: int
    dry_kg_each: float
    packs: Sequence[Pack]
    plan: Plan
    to_weigh: Sequence[ToWeigh]
    lots: Sequence[Lot]

    @property
    def spare(self) -> int:
        return len(self.packs) - self.asked

    @property
    def water_g(self) -> float:
        return from_si(self.plan.water_to_add_kg, "g")

    @property
    def allergens(self) -> list[str]:
        return sorted({word for lot in self.lots for word in ingredient_of(lot).allergens})


def packing(kept: models.Recipe, asked: int, dry_kg_each: float, spare_share: float) -> Packing:
    """Packs of this recipe with the moisture of today's lots. Stock that is missing is said, not refused."""
    lots = lots_in(kept)
    _need_all(kept, lots)
    count = packs_with_spare(asked, spare_share)
    facts = {name: replace(lot_facts(lot), stock_kg=None) for name, lot in lots.items()}
    recipe = Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)
    plan = plan_batch(recipe, facts, count * dry_kg_each)
    return Packing(
        asked=asked,
        dry_kg_each=dry_kg_each,
        packs=pack_list(plan, count),
        plan=plan,
        to_weigh=[_to_weigh(lots[a.key], from_si(a.kg, "g")) for a in plan.whole if a.key in lots],
        lots=list(lots.values()),
    )


def _need_all(kept: models.Recipe, lots: Mapping[str, Lot]) -> None:
    missing = [name for name in kept.parts if name not in lots]
    if missing:
        raise Problem(f"{', '.join(missing)} of this recipe is no lot of this bench: mix it once from lots you have")


def _to_weigh(lot: Lot, grams: float) -> ToWeigh:
    left = stock_g(lot)
    return ToWeigh(lot=lot, grams=grams, left_g=left, short_g=0.0 if left is None else max(grams - left, 0.0))


@dataclass(frozen=True, kw_only=True)
class Filling:
    """Cartridges for a printed volume: two ways, what to weigh for each (kg of dry solids and of paste), and time."""

    cartridge: Cartridge
    ways: TwoWays
    density_kg_m3: float
    fewer: Plan | None
    more: Plan
    lasts_s: float | None
    begun: tuple[int, int, int] | None
    mixings: tuple[int, int, int] | None
    pot_life: Range = PRINT_WITHIN


def filling(kept: models.Recipe, cartridge: Cartridge, ways: TwoWays, flow_m3_s: float | None) -> Filling:
    """What both ways take of today's lots, and how long one cartridge lasts beside the pot life."""
    lots = lots_in(kept)
    density = paste_density_kg_m3(kept, lots)
    recipe = Recipe(parts=kept.parts, water_per_dry=kept.water_per_dry)
    facts = {name: replace(lot_facts(lot), stock_kg=None) for name, lot in lots.items()}

    def plan(paste_m3: float) -> Plan:
        return plan_batch(recipe, facts, paste_m3 * density * recipe.solids_fraction)

    lasts = None if flow_m3_s is None else cartridge_lasts_s(cartridge, flow_m3_s)
    begun = None if lasts is None else _begun(lasts)
    return Filling(
        cartridge=cartridge,
        ways=ways,
        density_kg_m3=density,
        fewer=plan(ways.fewer_paste_m3) if ways.fewer else None,
        more=plan(ways.more_paste_m3),
        lasts_s=lasts,
        begun=begun,
        mixings=None if begun is None else _mixings(ways.more, begun),
    )


def _begun(lasts_s: float) -> tuple[int, int, int]:
    low, mid, high = (
        cartridges_begun_within(s, lasts_s) for s in (PRINT_WITHIN.low, PRINT_WITHIN.mid, PRINT_WITHIN.high)
    )
    return low, mid, high


def _mixings(count: int, begun: tuple[int, int, int]) -> tuple[int, int, int]:
    """How often to mix, fewest, likely, most: the more cartridges one mixing carries, the fewer."""
    low, mid, high = begun
    return -(-count // high), -(-count // mid), -(-count // low)
