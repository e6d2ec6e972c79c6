"""Dry, wet (as received) and paste basis: the same amounts said three ways. A bare "%" is none of them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import from_si

from .recipe import WATER, Recipe, in_words, recipe_from_dry

PASTE_SUM_TOLERANCE = 0.005


def check_moisture(moisture_wet_basis: float, what: str = "moisture") -> float:
    if not 0 <= moisture_wet_basis < 1:
        raise OutsideRange(
            f"{what} (wet basis, fraction)",
            got=moisture_wet_basis,
            low=0,
            high=0.99,
            do="weigh a sample wet and dry again; wet basis is water per wet mass",
        )
    return moisture_wet_basis


def dry_kg_from_received(received_kg: float, moisture_wet_basis: float) -> float:
    return received_kg * (1 - check_moisture(moisture_wet_basis))


def received_kg_from_dry(dry_kg: float, moisture_wet_basis: float) -> float:
    return dry_kg / (1 - check_moisture(moisture_wet_basis))


def carried_water_kg(dry_kg: float, moisture_wet_basis: float) -> float:
    """Water that this much dry mass brings along in its lot."""
    return dry_kg * check_moisture(moisture_wet_basis) / (1 - moisture_wet_basis)


def water_to_add_kg(dry_kg: float, moisture_wet_basis: float, water_per_dry: float) -> float:
    """Water to pour on one lot so that all its water comes to `water_per_dry`. Raises where it brings more
    already.
    """
    to_add = dry_kg * water_per_dry - carried_water_kg(dry_kg, moisture_wet_basis)
    if to_add < 0:
        raise too_wet(carried_water_kg(dry_kg, moisture_wet_basis), dry_kg * water_per_dry)
    return to_add


def too_wet(carried_kg: float, wanted_kg: float) -> DoesNotFit:
    carried, wanted = from_si(carried_kg, "g"), from_si(wanted_kg, "g")
    return DoesNotFit(
        f"the lots already carry {carried:.1f} g of water and the recipe wants only {wanted:.1f} g: "
        "dry the wettest lot first, or raise the water of the recipe"
    )


def dry_kg_of_paste(recipe: Recipe, paste_kg: float) -> float:
    return paste_kg * recipe.solids_fraction


def paste_kg_of_dry(recipe: Recipe, dry_kg: float) -> float:
    return dry_kg / recipe.solids_fraction


def water_per_dry_scaled(water_per_dry: float, old_demand: float, new_demand: float) -> float:
    """First guess of the water for a new lot: water goes with water demand. Common practice, no source."""
    if not (old_demand > 0 and new_demand > 0):
        raise OutsideRange(
            "water demand (g/g)",
            got=min(old_demand, new_demand),
            low=0.05,
            high=10,
            do="measure it on both lots",
        )
    return water_per_dry * new_demand / old_demand


def paste_fractions(recipe: Recipe, moisture: Mapping[str, float]) -> dict[str, float]:
    """Fractions of the wet paste by mass, ingredients as received, water to add named, summing to 1.

    `moisture` is wet basis by key; a key left out counts as dry. Raises DoesNotFit where the lots carry more
    water than the recipe has.
    """
    paste = 1 + recipe.water_per_dry
    found = {k: received_kg_from_dry(part, moisture.get(k, 0.0)) / paste for k, part in recipe.parts.items()}
    carried = math.fsum(carried_water_kg(part, moisture.get(k, 0.0)) for k, part in recipe.parts.items())
    if carried > recipe.water_per_dry:
        raise too_wet(carried, recipe.water_per_dry)
    return {**found, WATER: (recipe.water_per_dry - carried) / paste}


def recipe_from_paste(fractions: Mapping[str, float], moisture: Mapping[str, float]) -> Recipe:
    """The recipe of fractions of total wet paste, ingredients as received, water named.

    Raises OutsideRange where the fractions do not sum to 1 within 0.005, and as Recipe does.
    """
    total = math.fsum(fractions.values())
    if not abs(total - 1) <= PASTE_SUM_TOLERANCE:
        raise OutsideRange(
            "the sum of the paste fractions",
            got=total,
            low=1 - PASTE_SUM_TOLERANCE,
            high=1 + PASTE_SUM_TOLERANCE,
            do="name every ingredient and the water, each as its share of the wet paste",
        )
    return recipe_from_received(fractions, moisture)


def recipe_from_received(received: Mapping[str, float], moisture: Mapping[str, float]) -> Recipe:
    """The recipe of amounts as received (any one unit), water under the key "water".

    A liquid whose moisture is 1 counts wholly as water and is no dry part.
    """
    for key, amount in received.items():
        if not 0 <= amount < math.inf:
            raise OutsideRange(f"the amount of {in_words(key)}", got=amount, low=0, high=math.inf, do="weigh it again")
    dry = {k: dry_kg_from_received(a, moisture.get(k, 0.0)) for k, a in received.items() if _has_solids(k, moisture)}
    return recipe_from_dry(dry, math.fsum(received.values()) - math.fsum(dry.values()))


def _has_solids(key: str, moisture: Mapping[str, float]) -> bool:
    return key != WATER and moisture.get(key, 0.0) != 1.0
