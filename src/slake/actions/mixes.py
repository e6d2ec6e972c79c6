"""What the ingredients of a recipe do to each other, from rows: only reads."""

from __future__ import annotations

from collections.abc import Mapping

from slake.ground.units import to_si
from slake.paste.doses import COOK_C, COOK_MIN
from slake.paste.interactions import warnings_for
from slake.paste.mix import Mix, MixWarning
from slake.records.models import Batch, Lot, Recipe, Room
from slake.records.values import ingredient_of

WET = "wet"


def warnings_of_parts(parts: Mapping[str, float], water_per_dry: float | None) -> tuple[MixWarning, ...]:
    """Of dry parts by lot name; lots of one ingredient count together. The water is that of the room as last noted."""
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in=list(parts))}
    return warnings_for(mix_of({lots[name]: part for name, part in parts.items() if name in lots}, water_per_dry))


def warnings_of_recipe(recipe: Recipe) -> tuple[MixWarning, ...]:
    return warnings_of_parts(recipe.parts, recipe.water_per_dry)


def warnings_of_batch(batch: Batch) -> tuple[MixWarning, ...]:
    return warnings_of_recipe(batch.recipe)


def mix_of(parts: Mapping[Lot, float], water_per_dry: float | None) -> Mix:
    room = Room.objects.last()
    hard = room.water_hardness_mg_l if room is not None else None
    items = {lot: ingredient_of(lot) for lot in parts}
    summed: dict[str, float] = {}
    for lot, part in parts.items():
        summed[items[lot].key] = summed.get(items[lot].key, 0.0) + part
    return Mix(
        ingredients={item.key: item for item in items.values()},
        parts=summed,
        water_per_dry=water_per_dry,
        hardness_kg_m3=None if hard is None else to_si(hard, "mg/L"),
        cooked=frozenset(item.key for item in items.values()) - {items[lot].key for lot in parts if not _cooked(lot)},
    )


def _cooked(lot: Lot) -> bool:
    """Whether its log says that it stood wet at cooking heat for long enough."""
    steps = lot.heat_log or ()
    return any(state == WET and celsius >= COOK_C and minutes >= COOK_MIN for minutes, celsius, state in steps)
