"""What is known of one lot, gathered for a page: every number with its range and how it is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slake.actions.grain_sizes import nozzle_line, sizes_um
from slake.actions.heating import heat_words
from slake.actions.keeping import is_raw
from slake.actions.lots import stock_g
from slake.ground.evidence import Range
from slake.paste.heating import HeatVerdict
from slake.paste.ingredients import HowKnown, Ingredient, Known, Role, catalogue
from slake.paste.lot import after_one_weighing
from slake.records.models import Lot
from slake.records.values import ingredient_of, moisture_of, water_demand_of

DRINKS = {Role.FILLER, Role.FIBRE}


@dataclass(frozen=True, kw_only=True)
class KnownLot:
    """One lot as its page says it. `after_weighing`: what one oven reading would leave of the moisture's range."""

    lot: Lot
    ingredient: Ingredient
    moisture: Known
    after_weighing: Range | None
    water_demand: Known | None
    stock_g: float | None
    heat: HeatVerdict | None
    raw: bool
    strange_waste: bool
    sizes_um: Mapping[str, float]
    nozzle: str
    listed: bool


def known_of(lot: Lot) -> KnownLot:
    item, moisture = ingredient_of(lot), moisture_of(lot)
    typical = moisture.how is not HowKnown.MEASURED
    demand = water_demand_of(lot)
    drinks = demand.value.high > 0 and (item.role in DRINKS or lot.water_demand is not None)
    return KnownLot(
        lot=lot,
        ingredient=item,
        moisture=moisture,
        after_weighing=after_one_weighing(moisture) if typical else None,
        water_demand=demand if drinks else None,
        stock_g=stock_g(lot),
        heat=heat_words(lot),
        raw=is_raw(lot),
        sizes_um=sizes_um(lot),
        nozzle=nozzle_line(lot),
        listed=item.key in catalogue(),
        strange_waste=item.density_kg_m3.how is HowKnown.TYPICAL and item.role in DRINKS,
    )
