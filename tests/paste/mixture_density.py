"""The code's own composition, asked for what two dry powders weigh together: for a reference row."""

from __future__ import annotations

from dataclasses import dataclass

from slake.paste.ingredients import Role
from slake.paste.recipe import IngredientFacts, Recipe, composition


@dataclass(frozen=True, kw_only=True)
class Together:
    density_kg_m3: float
    second_volume_share: float


def of_two(first_kg_m3: float, second_kg_m3: float, second_part: float) -> Together:
    densities = {"first": first_kg_m3, "second": second_kg_m3}
    facts = {
        key: IngredientFacts(role=Role.FILLER, density_kg_m3=density, water_demand=0.0)
        for key, density in densities.items()
    }
    parts = {"first": 1 - second_part, "second": second_part}
    volume = composition(Recipe(parts=parts, water_per_dry=0.0), facts).solids_volume_m3_per_kg
    alone = composition(Recipe(parts={"second": 1.0}, water_per_dry=0.0), facts).solids_volume_m3_per_kg
    return Together(density_kg_m3=1 / volume, second_volume_share=second_part * alone / volume)
