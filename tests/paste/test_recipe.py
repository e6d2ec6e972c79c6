"""Recipes refuse what cannot be one, and their bookkeeping adds up."""

from __future__ import annotations

import copy
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import Problem
from slake.paste.ingredients import Role, catalogue
from slake.paste.recipe import IngredientFacts, Recipe, composition, facts_of, recipe_from_dry

FACTS = facts_of(catalogue().values())
SHELL = {"mussel_shell": 0.93, "guar": 0.03, "alginate": 0.04}


def shell_paste(water_per_dry: float) -> Recipe:
    return Recipe(parts=SHELL, water_per_dry=water_per_dry)


@pytest.mark.parametrize(
    ("parts", "water"),
    [
        ({}, 0.5),
        ({"a": 0.5}, 0.5),
        ({"a": 1.1, "b": -0.1}, 0.5),
        ({"a": float("nan")}, 0.5),
        ({"a": float("inf")}, 0.5),
        ({"a": 1.0}, -0.01),
        ({"a": 1.0}, float("nan")),
        ({"a": 1.0}, float("inf")),
        ({"a": 1.0}, 21.0),
        ({"water": 1.0}, 0.5),
        ({"a": 0.995}, 0.5),
    ],
)
def test_what_is_no_recipe(parts: dict[str, float], water: float) -> None:
    with pytest.raises(Problem):
        Recipe(parts=parts, water_per_dry=water)


def test_a_recipe_cannot_be_changed_from_outside() -> None:
    parts = dict(SHELL)
    recipe = Recipe(parts=parts, water_per_dry=0.5)
    parts["guar"] = 0.9
    assert recipe.parts["guar"] == 0.03
    with pytest.raises(TypeError):
        recipe.parts["guar"] = 0.9  # type: ignore[index]
    assert pickle.loads(pickle.dumps(recipe)) == recipe == copy.deepcopy(recipe)


@given(st.lists(st.floats(min_value=1e-3, max_value=1e3), min_size=1, max_size=8), st.floats(0, 10))
def test_amounts_become_parts_in_any_unit(amounts: list[float], wet: float) -> None:
    water = wet * sum(amounts)
    recipe = recipe_from_dry({f"i{n}": a for n, a in enumerate(amounts)}, water)
    scaled = recipe_from_dry({f"i{n}": 1e3 * a for n, a in enumerate(amounts)}, 1e3 * water)
    assert recipe.water_per_dry == pytest.approx(wet, rel=1e-9, abs=1e-12)
    assert dict(recipe.parts) == pytest.approx(dict(scaled.parts))
    assert recipe.solids_fraction + recipe.water_fraction == pytest.approx(1)


def test_mixture_density_of_calcite_and_coffee() -> None:
    """Outside: 2.71 and 1.30 g/mL, 20 % coffee by mass -> 2.227 g/mL, 34.3 % by volume (by hand: coding only)."""
    facts = {
        "calcite": IngredientFacts(role=Role.FILLER, density_kg_m3=2710, water_demand=0.3),
        "coffee": IngredientFacts(role=Role.FILLER, density_kg_m3=1300, water_demand=1.6),
    }
    dry = composition(Recipe(parts={"calcite": 0.8, "coffee": 0.2}, water_per_dry=0), facts)
    assert dry.paste_density_kg_m3 == pytest.approx(2227, abs=0.5)
    assert 0.2 / 1300 / dry.solids_volume_m3_per_kg == pytest.approx(0.343, abs=5e-4)
    assert dry.solids_volume_fraction == 1


@given(st.floats(0.05, 6))
def test_volumes_and_waters_keep_their_order(water: float) -> None:
    found = composition(shell_paste(water), FACTS)
    assert 0 < found.solids_volume_fraction <= found.swollen_volume_fraction <= 1
    assert 1000 * 0.998 <= found.paste_density_kg_m3 <= 2800
    assert found.free_water == pytest.approx(water - 0.93 * 0.35)
    assert found.thickener_per_100_water == pytest.approx(3 / water)
    assert found.thickener_per_100_free_water >= found.thickener_per_100_water


def test_more_water_means_fewer_solids_more_free_water_and_thinner_gum() -> None:
    """Direction only; arithmetic."""
    dry, wet = composition(shell_paste(0.5), FACTS), composition(shell_paste(0.6), FACTS)
    assert wet.solids_volume_fraction < dry.solids_volume_fraction
    assert wet.free_water > dry.free_water
    assert wet.thickener_doses < dry.thickener_doses


def test_a_thirsty_recipe_has_negative_free_water_and_a_finite_gum() -> None:
    found = composition(shell_paste(0.2), FACTS)
    assert found.free_water < 0
    assert found.thickener_per_100_free_water == pytest.approx(100 * 0.03 / 0.02)
    assert found.swollen_volume_fraction == pytest.approx(1)


def test_doses_add_unlike_gums() -> None:
    facts = {
        "filler": IngredientFacts(role=Role.FILLER, density_kg_m3=2700, water_demand=0.0),
        "strong": IngredientFacts(role=Role.THICKENER, density_kg_m3=1500, water_demand=0.0, dose_mid=1.0),
        "weak": IngredientFacts(role=Role.THICKENER, density_kg_m3=1500, water_demand=0.0, dose_mid=2.0),
        "unknown": IngredientFacts(role=Role.THICKENER, density_kg_m3=1500, water_demand=0.0),
    }
    recipe = Recipe(parts={"filler": 0.96, "strong": 0.01, "weak": 0.02, "unknown": 0.01}, water_per_dry=1.0)
    assert composition(recipe, facts).thickener_doses == pytest.approx(2.0)


def test_an_ingredient_nothing_is_known_of_is_a_problem() -> None:
    with pytest.raises(Problem, match="sea foam"):
        composition(Recipe(parts={"sea_foam": 1.0}, water_per_dry=1), FACTS)


@pytest.mark.parametrize("bad", [{"density_kg_m3": 0.0}, {"water_demand": -1.0}, {"dose_mid": 0.0}])
@pytest.mark.parametrize("value", [None, float("nan"), float("inf")])
def test_facts_refuse_bad_numbers(bad: dict[str, float], value: float | None) -> None:
    good = {"density_kg_m3": 2700.0, "water_demand": 0.3, "dose_mid": 1.0}
    changed = {key: number if value is None else value for key, number in bad.items()}
    with pytest.raises(Problem):
        IngredientFacts(role=Role.FILLER, **{**good, **changed})
