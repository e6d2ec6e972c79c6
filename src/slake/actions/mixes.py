"""What the ingredients of a recipe do to each other, from rows: only reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from slake.ground.units import to_si
from slake.paste.doses import COOK_C, COOK_MIN
from slake.paste.ingredients import Role
from slake.paste.interactions import warnings_for
from slake.paste.mix import Mix, MixWarning
from slake.records.models import Batch, Lot, Recipe, Room
from slake.records.values import ingredient_of, moisture_of, parents_of

WET = "wet"


def warnings_of_parts(parts: Mapping[str, float], water_per_dry: float | None) -> tuple[MixWarning, ...]:
    """Of dry parts by lot name; lots of one ingredient count together. The water is that of the room as last noted."""
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in=list(parts))}
    return warnings_for(mix_of({lots[name]: part for name, part in parts.items() if name in lots}, water_per_dry))


def warnings_of_recipe(recipe: Recipe) -> tuple[MixWarning, ...]:
    return warnings_of_parts(recipe.parts, recipe.water_per_dry)


def warnings_of_batch(batch: Batch) -> tuple[MixWarning, ...]:
    return warnings_of_recipe(batch.recipe)


def warnings_of_coats(recipe: Recipe) -> list[tuple[Lot, tuple[MixWarning, ...]]]:
    """For each coat that is a lot of this bench, what it does on a part of this recipe; a coat nothing is known to do
    there is left out.
    """
    lots = {lot.name: lot for lot in Lot.objects.filter(name__in=list(recipe.parts))}
    bare = mix_of({lots[name]: part for name, part in recipe.parts.items() if name in lots}, recipe.water_per_dry)
    before = warnings_for(bare)
    found = []
    for lot in Lot.objects.filter(role=Role.COAT.value).order_by("name"):
        said = warnings_for(replace(bare, coats=(ingredient_of(lot),)))
        more = tuple(warning for warning in said if warning not in before)
        found += [(lot, more)] if more else []
    return found


def mix_of(parts: Mapping[Lot, float], water_per_dry: float | None) -> Mix:
    """Lots as one mix: a blend counts as what it was blended of, by dry mass."""
    room = Room.objects.last()
    hard = room.water_hardness_mg_l if room is not None else None
    kinds, summed, raw = {}, dict[str, float](), set()
    for lot, part in _unblended(parts).items():
        item = ingredient_of(lot)
        kinds[item.key] = item
        summed[item.key] = summed.get(item.key, 0.0) + part
        raw |= set() if _cooked(lot) else {item.key}
    return Mix(
        ingredients=kinds,
        parts=summed,
        water_per_dry=water_per_dry,
        hardness_kg_m3=None if hard is None else to_si(hard, "mg/L"),
        cooked=frozenset(kinds) - raw,
    )


def _unblended(parts: Mapping[Lot, float]) -> dict[Lot, float]:
    """Each blend replaced by its parents, all the way back; the dry parts still sum to the same."""
    found: dict[Lot, float] = {}
    for lot, part in parts.items():
        dry = [(row.parent, row.grams * (1 - moisture_of(row.parent).value.mid)) for row in parents_of(lot)]
        whole = sum(grams for _, grams in dry)
        shares = [(parent, part * grams / whole) for parent, grams in dry] if whole > 0 else []
        within = [pair for parent, share in shares for pair in _unblended({parent: share}).items()]
        for one, share in within or [(lot, part)]:
            found[one] = found.get(one, 0.0) + share
    return found


def _cooked(lot: Lot) -> bool:
    """Whether its log says that it stood wet at cooking heat for long enough."""
    steps = lot.heat_log or ()
    return any(state == WET and celsius >= COOK_C and minutes >= COOK_MIN for minutes, celsius, state in steps)
