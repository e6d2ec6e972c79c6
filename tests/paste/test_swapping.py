"""A filler or thickener for another: by hand, there and back, and refused."""

from __future__ import annotations

import pytest

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit
from slake.paste.ingredients import Role
from slake.paste.recipe import IngredientFacts, composition, recipe_from_dry
from slake.paste.swapping import swapped_filler, swapped_thickener

FACTS = {
    "mussel": IngredientFacts(role=Role.FILLER, density_kg_m3=2700, water_demand=0.35),
    "oyster": IngredientFacts(role=Role.FILLER, density_kg_m3=2700, water_demand=0.42),
    "grain": IngredientFacts(role=Role.FILLER, density_kg_m3=1350, water_demand=2.7),
    "guar": IngredientFacts(role=Role.THICKENER, density_kg_m3=1490, water_demand=0.0, dose_mid=1.3),
}
RECIPE = recipe_from_dry({"mussel": 300, "guar": 3}, 150)


def same(value: float) -> Range:
    return Range(low=value, mid=value, high=value)


def test_a_thirstier_shell_takes_water_in_proportion_by_hand():
    """0.42 / 0.35 = 1.2: 150 g of water become 180 on 300 g of shell; guar stays 2 g per 100 g of it, 3.6 g."""
    found = swapped_filler(RECIPE, FACTS, "mussel", "oyster", same(0.42)).recipe
    assert found.parts["guar"] / found.parts["oyster"] == pytest.approx(3.6 / 300)
    assert found.water_per_dry == pytest.approx(180 / 303.6)


def test_the_same_filler_changes_nothing():
    alike = {**FACTS, "other": FACTS["mussel"]}
    found = swapped_filler(RECIPE, alike, "mussel", "other", same(0.35)).recipe
    assert found.water_per_dry == pytest.approx(RECIPE.water_per_dry)
    assert found.parts["other"] == pytest.approx(RECIPE.parts["mussel"])


def test_a_lighter_filler_takes_the_same_room():
    """300 g of 2700 kg/m3 make room for 150 g of 1350; they drink 405 g, not 105: 579 g of water."""
    found = swapped_filler(RECIPE, FACTS, "mussel", "grain", same(2.7)).recipe
    assert found.parts["guar"] / found.parts["grain"] == pytest.approx(3 * 405 / 105 / 150)
    assert found.water_per_dry == pytest.approx(150 * 405 / 105 / (150 + 3 * 405 / 105))


def test_there_and_back_is_the_recipe_it_was():
    there = swapped_filler(RECIPE, FACTS, "mussel", "grain", same(2.7)).recipe
    back = swapped_filler(there, FACTS, "grain", "mussel", same(0.35)).recipe
    assert dict(back.parts) == pytest.approx(dict(RECIPE.parts), rel=1e-9)
    assert back.water_per_dry == pytest.approx(RECIPE.water_per_dry, rel=1e-9)


def test_the_swollen_share_of_solids_stays_for_a_filler_of_like_density():
    found = swapped_filler(RECIPE, FACTS, "mussel", "oyster", same(0.42)).recipe
    then, now = (composition(one, FACTS).swollen_volume_fraction for one in (RECIPE, found))
    assert now == pytest.approx(then, abs=0.03)


def test_what_is_not_known_of_its_thirst_is_a_range_of_water():
    found = swapped_filler(RECIPE, FACTS, "mussel", "oyster", Range(low=0.3, mid=0.42, high=0.5))
    assert found.water_per_dry.low < found.water_per_dry.mid < found.water_per_dry.high


def test_a_thickener_at_its_dose_by_hand():
    """2 g per 100 g of 150 g of water are 3 g; 4 g of psyllium per 100 g are 6 g on 300 g of shell."""
    found = swapped_thickener(RECIPE, "guar", "psyllium", 4.0)
    assert found.parts["psyllium"] / found.parts["mussel"] == pytest.approx(
        4.0 / 100 * (150 / 303) * 303 / 300, rel=1e-9
    )
    assert "guar" not in found.parts


def test_what_is_not_in_the_recipe_cannot_go_out():
    with pytest.raises(DoesNotFit):
        swapped_filler(RECIPE, FACTS, "grain", "oyster", same(0.4))
    with pytest.raises(DoesNotFit):
        swapped_thickener(RECIPE, "xanthan", "psyllium", 3.0)
