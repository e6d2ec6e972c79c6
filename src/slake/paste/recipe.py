"""What a recipe is (parts by dry mass, and water per dry solids) and what it means in a bowl."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from slake.ground.problems import DoesNotFit, OutsideRange, Problem

from .ingredients import Ingredient, Role

WATER = "water"
"""The key water goes by in amounts. It is never a dry part."""

WATER_DENSITY_KG_M3 = 998.2
"""At 20 C and normal pressure; memory (standard tables)."""

DRIEST_FREE_WATER = 0.02
"""Free water per dry mass below which gum per free water is told apart no further (it would pass any
limit).
"""

MOST_WATER_PER_DRY = 20.0
SUM_TOLERANCE = 1e-6

DRINKS = {Role.FILLER, Role.FIBRE}


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """Parts of dry mass by ingredient key, summing to 1, and water per dry solids (g/g).

    Raises DoesNotFit or OutsideRange for parts that are negative, not finite or do not sum to 1 within
    1e-6, and for water below 0 or above 20 g/g. Use `recipe_from_dry` where amounts still have to be made
    into parts.
    """

    parts: Mapping[str, float]
    water_per_dry: float

    def __post_init__(self) -> None:
        _check_parts(self.parts)
        if abs(math.fsum(self.parts.values()) - 1) > SUM_TOLERANCE:
            raise OutsideRange(
                "the sum of the dry parts",
                got=math.fsum(self.parts.values()),
                low=1 - SUM_TOLERANCE,
                high=1 + SUM_TOLERANCE,
                do="give each ingredient's share of the dry mass, all together 1",
            )
        if not 0 <= self.water_per_dry <= MOST_WATER_PER_DRY:
            raise OutsideRange(
                "water per dry solids (g/g)",
                got=self.water_per_dry,
                low=0,
                high=MOST_WATER_PER_DRY,
                do="weigh again, or log this batch as a slurry",
            )
        object.__setattr__(self, "parts", MappingProxyType(dict(self.parts)))

    def __hash__(self) -> int:
        return hash((tuple(sorted(self.parts.items())), self.water_per_dry))

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (dict(self.parts), self.water_per_dry)

    @property
    def solids_fraction(self) -> float:
        """Dry mass per paste mass."""
        return 1 / (1 + self.water_per_dry)

    @property
    def water_fraction(self) -> float:
        """Water per paste mass, all water counted: what an oven finds (wet basis)."""
        return self.water_per_dry / (1 + self.water_per_dry)


def _rebuild(parts: dict[str, float], water_per_dry: float) -> Recipe:
    return Recipe(parts=parts, water_per_dry=water_per_dry)


def _check_parts(parts: Mapping[str, float]) -> None:
    if not parts:
        raise DoesNotFit("a recipe needs at least one dry ingredient: add one")
    if WATER in parts:
        raise DoesNotFit("water is not a dry part: give it as water per dry solids instead")
    for key, part in parts.items():
        if not 0 <= part < math.inf:
            raise OutsideRange(f"the part of {in_words(key)}", got=part, low=0, high=1, do="a part is zero or more")


def recipe_from_dry(dry_kg: Mapping[str, float], water_kg: float) -> Recipe:
    """The recipe of dry amounts and all the water with them, in any one unit. Raises as Recipe does."""
    _check_parts(dry_kg)
    total = math.fsum(dry_kg.values())
    if not 0 < total < math.inf:
        raise DoesNotFit("the dry ingredients together weigh nothing: give at least one an amount")
    return Recipe(parts={key: kg / total for key, kg in dry_kg.items()}, water_per_dry=water_kg / total)


@dataclass(frozen=True, kw_only=True)
class IngredientFacts:
    """Point values of one ingredient, for one calculation. Water demand in g/g; dose in g per 100 g of
    water.
    """

    role: Role
    density_kg_m3: float
    water_demand: float
    dose_mid: float | None = None

    def __post_init__(self) -> None:
        if not 0 < self.density_kg_m3 < math.inf:
            raise OutsideRange(
                "dry solid density (kg/m3)", got=self.density_kg_m3, low=1, high=2e4, do="give it above zero"
            )
        if not 0 <= self.water_demand < math.inf:
            raise OutsideRange(
                "water demand (g/g)",
                got=self.water_demand,
                low=0,
                high=20,
                do="give zero or more, per dry mass",
            )
        if self.dose_mid is not None and not 0 < self.dose_mid < math.inf:
            raise OutsideRange(
                "usual dose (g per 100 g water)",
                got=self.dose_mid,
                low=0.01,
                high=100,
                do="give it above zero",
            )


def facts_of(ingredients: Iterable[Ingredient]) -> dict[str, IngredientFacts]:
    """Middle values of the catalogue (or of a role) as point facts by key."""
    return {
        item.key: IngredientFacts(
            role=item.role,
            density_kg_m3=item.density_kg_m3.value.mid,
            water_demand=item.water_demand.value.mid,
            dose_mid=item.dose_per_100_water.value.mid if item.dose_per_100_water else None,
        )
        for item in ingredients
    }


@dataclass(frozen=True, kw_only=True)
class Composition:
    """What one kg of dry solids makes, air-free.

    free_water is all water less what fillers and fibres drink, per dry mass (g/g); negative means they are
    still thirsty. Thickener and binder are g per 100 g, of free water (not below 0.02 g/g of it) and of all
    the water. Doses count them in usual doses of free water, so that unlike gums can be added up; one
    without a usual dose is left out.
    """

    solids_volume_m3_per_kg: float
    water_volume_m3_per_kg: float
    solids_volume_fraction: float
    swollen_volume_fraction: float
    water_demand: float
    free_water: float
    free_water_per_dry_volume: float
    thickener_per_100_free_water: float
    binder_per_100_free_water: float
    thickener_per_100_water: float
    binder_per_100_water: float
    thickener_doses: float
    binder_doses: float
    paste_density_kg_m3: float


def composition(recipe: Recipe, facts: Mapping[str, IngredientFacts]) -> Composition:
    """Volumes and waters of a recipe: bookkeeping of masses and volumes that simply add up, air-free.

    Holds while dry volumes and water volumes add (no dissolution volume change: a gum in solution takes a
    little less room than its powder). Drunk water is counted as swelling the solid that drinks it, up to
    the water that is there. Raises Problem for an ingredient without facts.
    """
    for key in recipe.parts:
        if key not in facts:
            raise Problem(f"nothing is known of {in_words(key)}: give its role, or choose it from the list")
    water = recipe.water_per_dry
    solids_m3 = math.fsum(part / facts[key].density_kg_m3 for key, part in recipe.parts.items())
    water_m3 = water / WATER_DENSITY_KG_M3
    drinkers = {key: part for key, part in recipe.parts.items() if facts[key].role in DRINKS}
    demand = math.fsum(part * facts[key].water_demand for key, part in drinkers.items())
    free = water - demand
    swollen_m3 = solids_m3 + min(demand, water) / WATER_DENSITY_KG_M3
    return Composition(
        solids_volume_m3_per_kg=solids_m3,
        water_volume_m3_per_kg=water_m3,
        solids_volume_fraction=solids_m3 / (solids_m3 + water_m3),
        swollen_volume_fraction=swollen_m3 / (solids_m3 + water_m3),
        water_demand=demand,
        free_water=free,
        free_water_per_dry_volume=free / WATER_DENSITY_KG_M3 / solids_m3,
        paste_density_kg_m3=(1 + water) / (solids_m3 + water_m3),
        **_gums(recipe, facts, free),
    )


def _gums(recipe: Recipe, facts: Mapping[str, IngredientFacts], free: float) -> dict[str, float]:
    """Thickener and binder per water, all of it and the free part, and in usual doses."""
    counted, water = max(free, DRIEST_FREE_WATER), max(recipe.water_per_dry, DRIEST_FREE_WATER)
    found = {}
    for role in (Role.THICKENER, Role.BINDER):
        mass = _mass(recipe, facts, role)
        found[f"{role.value}_per_100_free_water"] = 100 * mass / counted
        found[f"{role.value}_per_100_water"] = 100 * mass / water
        found[f"{role.value}_doses"] = _doses(recipe, facts, role) / counted
    return found


def _mass(recipe: Recipe, facts: Mapping[str, IngredientFacts], role: Role) -> float:
    return math.fsum(part for key, part in recipe.parts.items() if facts[key].role is role)


def _doses(recipe: Recipe, facts: Mapping[str, IngredientFacts], role: Role) -> float:
    return math.fsum(
        100 * part / dose
        for key, part in recipe.parts.items()
        if facts[key].role is role and (dose := facts[key].dose_mid) is not None
    )


def in_words(key: str) -> str:
    """An ingredient key as a person writes it."""
    return key.replace("_", " ")
