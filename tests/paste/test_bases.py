"""Dry, as received and paste: there and back, and worked examples (by hand: coding only)."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.bases import (
    carried_water_kg,
    dry_kg_from_received,
    dry_kg_of_paste,
    paste_fractions,
    paste_kg_of_dry,
    received_kg_from_dry,
    recipe_from_paste,
    recipe_from_received,
    water_per_dry_scaled,
    water_to_add_kg,
)
from slake.paste.recipe import Recipe

moistures = st.floats(0, 0.9)
masses = st.floats(1e-4, 50)


@given(masses, moistures)
def test_dry_and_received_there_and_back(kg: float, wb: float) -> None:
    assert dry_kg_from_received(received_kg_from_dry(kg, wb), wb) == pytest.approx(kg)
    assert received_kg_from_dry(kg, wb) == pytest.approx(kg + carried_water_kg(kg, wb))


@given(masses, st.floats(0, 10))
def test_dry_and_paste_there_and_back(kg: float, water: float) -> None:
    recipe = Recipe(parts={"a": 1.0}, water_per_dry=water)
    assert dry_kg_of_paste(recipe, paste_kg_of_dry(recipe, kg)) == pytest.approx(kg)


@given(st.floats(0.01, 0.99), st.floats(0, 5), moistures, moistures)
def test_paste_fractions_there_and_back(part: float, water: float, wb_a: float, wb_b: float) -> None:
    recipe = Recipe(parts={"a": part, "b": 1 - part}, water_per_dry=water)
    moisture = {"a": wb_a, "b": wb_b}
    try:
        fractions = paste_fractions(recipe, moisture)
    except DoesNotFit:
        assert carried_water_kg(part, wb_a) + carried_water_kg(1 - part, wb_b) > water
        return
    assert sum(fractions.values()) == pytest.approx(1)
    assert min(fractions.values()) >= 0
    back = recipe_from_paste(fractions, moisture)
    assert dict(back.parts) == pytest.approx(dict(recipe.parts))
    assert back.water_per_dry == pytest.approx(water, abs=1e-9)


@pytest.mark.parametrize("total", [0.9949, 1.0051, 0.0, float("nan")])
def test_fractions_that_do_not_sum_are_refused(total: float) -> None:
    with pytest.raises(OutsideRange, match="sum of the paste fractions"):
        recipe_from_paste({"a": total - 0.3, "water": 0.3}, {})


@pytest.mark.parametrize("total", [0.9951, 1.0049])
def test_fractions_within_half_a_percent_are_taken(total: float) -> None:
    assert recipe_from_paste({"a": total - 0.3, "water": 0.3}, {}).water_per_dry == pytest.approx(0.3 / (total - 0.3))


def test_a_liquid_without_solids_counts_as_water() -> None:
    got = recipe_from_received({"shell": 0.6, "whey": 0.1, "water": 0.3}, {"shell": 0.0, "whey": 1.0})
    assert dict(got.parts) == {"shell": 1.0} and got.water_per_dry == pytest.approx(0.4 / 0.6)


@pytest.mark.parametrize("amount", [-0.1, float("nan"), float("inf")])
def test_impossible_amounts_are_refused(amount: float) -> None:
    with pytest.raises(OutsideRange, match="the amount of sea shell"):
        recipe_from_received({"sea_shell": amount, "water": 0.3}, {})


def test_crushed_prints_rewetted() -> None:
    """340 g at 8 % wet basis to 0.70: dry 312.8 g, carries 27.2 g, add 191.8 g (by hand: coding only)."""
    dry = dry_kg_from_received(0.340, 0.08)
    assert dry == pytest.approx(0.3128, abs=5e-5)
    assert carried_water_kg(dry, 0.08) == pytest.approx(0.0272, abs=5e-5)
    assert water_to_add_kg(dry, 0.08, 0.70) == pytest.approx(0.1918, abs=5e-5)


def test_a_coarser_lot() -> None:
    """Demand 0.62 -> 0.57: 0.70 -> 0.64; 304.8 g + 16.7 g as received, add 171.6 g (by hand: coding only)."""
    water = water_per_dry_scaled(0.70, 0.62, 0.57)
    assert water == pytest.approx(0.64, abs=0.005)
    assert received_kg_from_dry(0.285, 0.065) == pytest.approx(0.3048, abs=5e-5)
    assert received_kg_from_dry(0.015, 0.10) == pytest.approx(0.0167, abs=5e-5)
    to_add = 0.300 * water - carried_water_kg(0.285, 0.065) - carried_water_kg(0.015, 0.10)
    assert to_add == pytest.approx(0.1716, abs=5e-5)


def test_ignored_moisture_is_water_in_the_paste() -> None:
    """6 % wet basis ignored on 300 g dry: 19 g of water, 0.064 g/g (by hand: coding only)."""
    carried = carried_water_kg(0.300, 0.06)
    assert carried == pytest.approx(0.019, abs=5e-4)
    assert carried / 0.300 == pytest.approx(0.064, abs=5e-4)


def test_a_lot_wetter_than_the_recipe_is_a_sentence_not_a_negative() -> None:
    with pytest.raises(DoesNotFit, match=r"carry 42\.9 g of water and the recipe wants only 40\.0 g"):
        water_to_add_kg(0.1, 0.3, 0.4)


@given(st.one_of(st.floats(max_value=-1e-9), st.floats(min_value=1.0), st.just(float("nan"))))
def test_moisture_outside_zero_to_one_is_refused(wb: float) -> None:
    assume(wb != 0)
    with pytest.raises(OutsideRange):
        received_kg_from_dry(1.0, wb)
