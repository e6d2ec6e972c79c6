"""One filler or thickener of a recipe for another: amounts so that the paste stays what it was, as far as is known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit

from .bases import water_per_dry_scaled
from .ingredients import Role
from .recipe import DRINKS, IngredientFacts, Recipe, recipe_from_dry


@dataclass(frozen=True, kw_only=True)
class Swapped:
    """The recipe afterwards, and the same with the least and with the most water that is likely (80 %)."""

    recipe: Recipe
    water_per_dry: Range


def swapped_filler(recipe: Recipe, facts: Mapping[str, IngredientFacts], out: str, into: str, demand: Range) -> Swapped:
    """The new filler takes the room of the old one as dry solid, the water goes with what all of it drinks, and gums
    keep their share of the water. `facts` of all, the new one included; `demand`: what it drinks, g/g.

    Holds where both are powders of like grain: a finer one drinks more than its demand says of coarse. Raises
    DoesNotFit where the recipe has no such filler.
    """
    parts = dict(recipe.parts)
    if parts.get(out, 0.0) <= 0:
        raise DoesNotFit("the recipe holds none of what is to be swapped: choose one of its ingredients")
    moved = parts.pop(out) * facts[into].density_kg_m3 / facts[out].density_kg_m3
    dry = {**parts, into: parts.get(into, 0.0) + moved}
    then = _drunk(recipe.parts, facts, {})
    if then <= 0:
        raise DoesNotFit("nothing in the recipe drinks water, so no water follows from a swap: look at its roles")
    gums = [key for key in dry if facts[key].role in {Role.THICKENER, Role.BINDER}]
    found = []
    for drinks in (demand.low, demand.mid, demand.high):
        times = water_per_dry_scaled(1.0, then, _drunk(dry, facts, {into: drinks}))
        kept = {key: part * times if key in gums else part for key, part in dry.items()}
        found.append(recipe_from_dry(kept, recipe.water_per_dry * times))
    return Swapped(
        recipe=found[1],
        water_per_dry=Range(low=found[0].water_per_dry, mid=found[1].water_per_dry, high=found[2].water_per_dry),
    )


def _drunk(parts: Mapping[str, float], facts: Mapping[str, IngredientFacts], stated: Mapping[str, float]) -> float:
    """Water that all of it drinks, per dry mass of the recipe as it was."""
    drinkers = {key: part for key, part in parts.items() if facts[key].role in DRINKS}
    return math.fsum(part * stated.get(key, facts[key].water_demand) for key, part in drinkers.items())


def swapped_thickener(recipe: Recipe, out: str, into: str, dose_per_100_water: float) -> Recipe:
    """The old thickener out, the new one in at this dose in all the water; fillers and water as they were. Own.

    Raises DoesNotFit where the recipe has no such thickener.
    """
    parts = dict(recipe.parts)
    if parts.pop(out, 0.0) <= 0:
        raise DoesNotFit("the recipe holds none of what is to be swapped: choose one of its ingredients")
    added = dose_per_100_water / 100 * recipe.water_per_dry
    return recipe_from_dry({**parts, into: parts.get(into, 0.0) + added}, recipe.water_per_dry)
