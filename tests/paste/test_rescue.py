"""Overshoot and top-up: the recipe stays or is told truly; what is added is for what is left in the bowl."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.paste.batch import LotFacts, plan_batch
from slake.paste.ingredients import Role
from slake.paste.recipe import Recipe
from slake.paste.rescue import accept_overshoot, rescale_after_overshoot, top_up, tuned_water_per_dry

RECIPE = Recipe(parts={"mussel_shell": 0.93, "guar": 0.03, "alginate": 0.04}, water_per_dry=0.5)
LOTS = {
    "mussel_shell": LotFacts(role=Role.FILLER, moisture_wet_basis=0.02),
    "guar": LotFacts(role=Role.THICKENER, moisture_wet_basis=0.10, resolution_kg=1e-5),
    "alginate": LotFacts(role=Role.BINDER, moisture_wet_basis=0.12, resolution_kg=1e-5),
}
PLAN = plan_batch(RECIPE, LOTS, 1.0)
SHELL = ("mussel_shell", LOTS["mussel_shell"])


@given(st.sampled_from(["mussel_shell", "guar", "alginate", "water"]), st.floats(1.01, 2.9))
def test_rescaling_keeps_the_recipe(key: str, times: float) -> None:
    weighed = {key: round(PLAN.amount(key).kg * times, 5)}
    found = rescale_after_overshoot(PLAN, weighed, LOTS)
    assert found.factor == pytest.approx(times, rel=1e-3)
    assert found.plan.recipe.water_per_dry == pytest.approx(0.5, abs=5e-4)
    assert dict(found.plan.recipe.parts) == pytest.approx(dict(RECIPE.parts), abs=2e-4)
    assert found.still_kg[key] == 0
    assert all(kg >= 0 for kg in found.still_kg.values())


def test_the_rest_times_1_089() -> None:
    """38.1 g on the pan for 35.0 g: the rest x 1.089 (by hand: coding only)."""
    parts = {"mussel_shell": 0.965, "guar": 0.035}
    dry = {k: LotFacts(role=LOTS[k].role, moisture_wet_basis=0.0) for k in parts}
    plan = plan_batch(Recipe(parts=parts, water_per_dry=0.5), dry, 1.0)
    assert plan.amount("guar").kg == pytest.approx(0.035)
    found = rescale_after_overshoot(plan, {"guar": 0.0381}, dry)
    assert found.factor == pytest.approx(1.089, abs=5e-4)
    assert found.plan.amount("mussel_shell").kg == pytest.approx(0.965 * 38.1 / 35.0, abs=5e-5)


def test_what_already_lies_in_the_bowl_is_topped_up_not_taken_out() -> None:
    first = PLAN.amount("alginate").kg
    found = rescale_after_overshoot(PLAN, {"alginate": first, "guar": PLAN.amount("guar").kg * 1.1}, LOTS)
    assert found.still_kg["alginate"] == pytest.approx(0.1 * first, abs=2e-5)


def test_portions_of_a_filler_are_rescaled_with_the_rest_and_still_sum_to_it() -> None:
    recipe = Recipe(parts={"mussel_shell": 0.96, "guar": 0.04}, water_per_dry=0.5)
    plan = plan_batch(recipe, LOTS, 0.3)
    assert [a.key for a in plan.amounts].count("mussel_shell") == 2
    found = rescale_after_overshoot(plan, {"water": plan.amount("water").kg * 1.2}, LOTS)
    for was, now in zip(plan.amounts, found.plan.amounts, strict=True):
        assert now.key == was.key and now.do == was.do and now.kg == pytest.approx(1.2 * was.kg, abs=2e-4)
    assert found.plan.amount("mussel_shell").kg == pytest.approx(1.2 * plan.amount("mussel_shell").kg, abs=1e-4)


def test_more_in_the_jar_than_its_portion_is_no_overshoot_of_the_filler() -> None:
    plan = plan_batch(Recipe(parts={"mussel_shell": 0.96, "guar": 0.04}, water_per_dry=0.5), LOTS, 0.3)
    jar = next(a for a in plan.amounts if a.key == "mussel_shell")
    with pytest.raises(DoesNotFit, match="nothing on the pan"):
        rescale_after_overshoot(plan, {"mussel_shell": 1.3 * jar.kg}, LOTS)
    in_bowl = {"mussel_shell": 1.3 * jar.kg, "guar": plan.amount("guar").kg}
    assert dict(accept_overshoot(plan, in_bowl).parts) == pytest.approx(dict(plan.recipe.parts))


def test_accepting_counts_the_portion_of_a_filler_still_to_come() -> None:
    """Guar 1.5 g over, with a third of the shell in, was once said to make it 11 % of the dry solids instead of 4."""
    plan = plan_batch(Recipe(parts={"mussel_shell": 0.96, "guar": 0.04}, water_per_dry=0.5), LOTS, 0.3)
    jar, guar = next(a for a in plan.amounts if a.key == "mussel_shell"), plan.amount("guar").kg + 0.0015
    early, late = (accept_overshoot(plan, {**shell, "guar": guar}) for shell in ({"mussel_shell": jar.kg}, {}))
    assert early == late and early.parts["guar"] == pytest.approx(0.0444, abs=5e-4)


def test_two_overshoots_follow_the_worse() -> None:
    worse = {"alginate": PLAN.amount("alginate").kg * 1.2, "guar": PLAN.amount("guar").kg * 1.05}
    assert rescale_after_overshoot(PLAN, worse, LOTS).factor == pytest.approx(1.2)


@pytest.mark.parametrize("times", [0.5, 1.0])
def test_nothing_overshot_is_a_sentence(times: float) -> None:
    with pytest.raises(DoesNotFit, match="nothing on the pan"):
        rescale_after_overshoot(PLAN, {"guar": PLAN.amount("guar").kg * times}, LOTS)


@pytest.mark.parametrize("kg", [-0.01, float("nan"), float("inf")])
def test_impossible_weighings_are_refused(kg: float) -> None:
    with pytest.raises(OutsideRange):
        rescale_after_overshoot(PLAN, {"guar": kg}, LOTS)
    with pytest.raises(OutsideRange):
        accept_overshoot(PLAN, {"guar": kg})


def test_threefold_is_too_much() -> None:
    with pytest.raises(OutsideRange, match="start this one again"):
        rescale_after_overshoot(PLAN, {"guar": PLAN.amount("guar").kg * 3.1}, LOTS)


def test_the_larger_batch_must_be_in_stock() -> None:
    short = {**LOTS, "mussel_shell": LotFacts(role=Role.FILLER, moisture_wet_basis=0.02, stock_kg=1.0)}
    with pytest.raises(DoesNotFit, match="accept the overshoot"):
        rescale_after_overshoot(PLAN, {"guar": PLAN.amount("guar").kg * 1.2}, short)


def test_something_not_in_the_batch_is_a_sentence() -> None:
    with pytest.raises(Problem, match="xanthan is not in this batch"):
        accept_overshoot(PLAN, {"xanthan": 0.01})


def test_accepting_tells_the_recipe_that_results() -> None:
    over = PLAN.amount("guar").kg + 0.003
    got = accept_overshoot(PLAN, {"guar": over})
    extra = 0.003 * 0.9
    assert got.parts["guar"] == pytest.approx((PLAN.amount("guar").dry_kg + extra) / (PLAN.dry_kg + extra))
    assert got.water_per_dry == pytest.approx((PLAN.water_kg + 0.0003) / (PLAN.dry_kg + extra))
    assert sum(got.parts.values()) == pytest.approx(1)


@given(st.floats(0.05, 5), st.floats(0.2, 1.5))
def test_top_up_reaches_the_water_asked_for(left_kg: float, water: float) -> None:
    found = top_up(RECIPE, left_kg, water, SHELL)
    dry = left_kg / 1.5
    assert found.recipe.water_per_dry == pytest.approx(water, abs=1e-4 / dry)
    assert min(found.water_kg, found.filler_kg) == 0 <= max(found.water_kg, found.filler_kg)
    if found.filler_kg:
        assert found.recipe.parts["guar"] < RECIPE.parts["guar"]
    else:
        assert dict(found.recipe.parts) == pytest.approx(dict(RECIPE.parts))


def test_top_up_is_for_what_is_left_not_for_the_batch() -> None:
    whole, half = top_up(RECIPE, 1.5, 0.52, SHELL), top_up(RECIPE, 0.75, 0.52, SHELL)
    assert whole.water_kg == pytest.approx(0.02, abs=5e-5)
    assert half.water_kg == pytest.approx(0.01, abs=5e-5)


def test_filler_too_moist_to_dry_the_paste_is_a_sentence() -> None:
    with pytest.raises(DoesNotFit, match="dry some of the lot first"):
        top_up(RECIPE, 0.4, 0.45, ("mussel_shell", LotFacts(role=Role.FILLER, moisture_wet_basis=0.4)))


def test_filler_that_is_not_there_is_a_sentence() -> None:
    lot = LotFacts(role=Role.FILLER, moisture_wet_basis=0.02, stock_kg=0.001)
    with pytest.raises(DoesNotFit, match="smaller step"):
        top_up(RECIPE, 0.4, 0.45, ("mussel_shell", lot))


@pytest.mark.parametrize("left_kg", [0.0, -1.0, float("nan")])
def test_an_empty_bowl_is_refused(left_kg: float) -> None:
    with pytest.raises(OutsideRange):
        top_up(RECIPE, left_kg, 0.6, SHELL)


def test_one_percent_water_on_the_paste() -> None:
    assert tuned_water_per_dry(RECIPE, 0.01) == pytest.approx(0.515)
