"""Weigh-out: sums stay true after rounding, water comes off, order and reasons are there."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.paste.amounts import HELD_BACK, rounded
from slake.paste.batch import LotFacts, Water, plan_batch
from slake.paste.ingredients import Role, catalogue
from slake.paste.order import order_rules, rule_for
from slake.paste.recipe import Recipe

RECIPE = Recipe(parts={"mussel_shell": 0.70, "spent_grain": 0.24, "guar": 0.03, "alginate": 0.03}, water_per_dry=0.9)
ROLES = {"mussel_shell": Role.FILLER, "spent_grain": Role.FILLER, "guar": Role.THICKENER, "alginate": Role.BINDER}
WET = {"mussel_shell": 0.02, "spent_grain": 0.08, "guar": 0.10, "alginate": 0.12}


def lots(resolution_kg: float = 1e-4, **stock: float) -> dict[str, LotFacts]:
    return {
        key: LotFacts(
            role=ROLES[key], moisture_wet_basis=WET[key], resolution_kg=resolution_kg, stock_kg=stock.get(key)
        )
        for key in ROLES
    }


@given(
    st.floats(0.1, 5.0),
    st.sampled_from([1e-5, 1e-4, 5e-4]),
    st.sampled_from([1e-4, 1e-3]),
    st.floats(0, 0.9),
)
def test_sums_stay_true(dry_kg: float, fine_kg: float, coarse_kg: float, held: float) -> None:
    plan = plan_batch(RECIPE, lots(fine_kg), dry_kg, Water(held_back_share=held, resolution_kg=coarse_kg))
    assert plan.paste_kg == pytest.approx(plan.dry_kg + plan.water_kg)
    assert abs(plan.water_kg - 0.9 * plan.dry_kg) <= coarse_kg / 2 + 1e-9
    assert plan.recipe.water_per_dry == pytest.approx(plan.water_kg / plan.dry_kg)
    for a in plan.amounts:
        assert a.kg >= 0 and a.do and a.why
        assert a.kg / a.resolution_kg == pytest.approx(round(a.kg / a.resolution_kg), abs=1e-4)
    for a in plan.whole:
        if a.key in WET:
            assert abs(a.dry_kg - RECIPE.parts[a.key] * dry_kg) <= fine_kg / 2 + 1e-9
    assert plan.water_kg == pytest.approx(plan.water_to_add_kg + sum(a.water_kg for a in plan.amounts if a.key in WET))


def test_water_carried_in_comes_off_the_water_to_add() -> None:
    dry_lots = {key: LotFacts(role=role, moisture_wet_basis=0.0) for key, role in ROLES.items()}
    dry, wet = plan_batch(RECIPE, dry_lots, 0.3), plan_batch(RECIPE, lots(), 0.3)
    carried = 0.3 * sum(RECIPE.parts[k] * WET[k] / (1 - WET[k]) for k in ROLES)
    assert dry.water_to_add_kg - wet.water_to_add_kg == pytest.approx(carried, abs=1e-4)


def test_a_tenth_of_the_water_is_held_back_for_the_end() -> None:
    plan = plan_batch(RECIPE, lots(), 0.3)
    assert plan.amounts[-1].key == HELD_BACK
    assert plan.amount(HELD_BACK).kg == pytest.approx(0.1 * plan.water_to_add_kg, abs=1e-4)
    assert HELD_BACK not in {a.key for a in plan_batch(RECIPE, lots(), 0.3, Water(held_back_share=0)).amounts}


def test_order_alginate_before_shell_gum_blended_shell_last() -> None:
    """Common practice, no source."""
    plan = plan_batch(RECIPE, lots(), 0.3)
    assert [a.key for a in plan.amounts] == ["water", "alginate", "spent_grain", "guar", "mussel_shell", HELD_BACK]
    assert "dry jar" in plan.amount("spent_grain").do and "with the spent grain" in plan.amount("guar").do


COFFEE = {"coffee": 0.285, "oyster": 0.665, "cmc": 0.025, "xanthan": 0.025}
OF_COFFEE = {
    "coffee": LotFacts(role=Role.FILLER, moisture_wet_basis=0.0, ingredient="coffee_grounds"),
    "oyster": LotFacts(role=Role.FILLER, moisture_wet_basis=0.0, ingredient="oyster_shell"),
    "cmc": LotFacts(role=Role.THICKENER, moisture_wet_basis=0.0, ingredient="carboxymethyl_cellulose"),
    "xanthan": LotFacts(role=Role.THICKENER, moisture_wet_basis=0.0, ingredient="xanthan"),
}


@pytest.mark.parametrize("coffee", [0.05, 0.27, 0.285, 0.6, 0.9])
def test_the_dry_blend_is_a_portion_of_the_fillers_own_amount(coffee: float) -> None:
    """Two gums once took the whole filler each, and it then went in a third time."""
    recipe = Recipe(parts={**COFFEE, "coffee": coffee, "oyster": 0.95 - coffee}, water_per_dry=0.9)
    plan = plan_batch(recipe, OF_COFFEE, 0.3)
    for key in ("coffee", "oyster"):
        assert sum(a.kg for a in plan.amounts if a.key == key) == pytest.approx(recipe.parts[key] * 0.3, abs=1e-4)
    jar = next(a for a in plan.amounts if "dry jar" in a.do)
    keys = [a.key for a in plan.amounts]
    at = keys.index(jar.key)
    assert set(keys[at + 1 : at + 3]) == {"cmc", "xanthan"} and "cmc" in jar.do and "xanthan" in jar.do
    assert 5 <= jar.kg / sum(a.kg for a in plan.amounts if a.key in {"cmc", "xanthan"}) <= 10.01
    assert "rain the blend" in plan.amounts[at + 2].do and "rain" not in plan.amounts[at + 1].do
    rest = [a for a in plan.amounts if a.key == jar.key and a is not jar]
    assert all(a.do.startswith("The rest of it.") for a in rest)
    assert not any(figure in a.do for a in plan.amounts for figure in "0123456789"), (
        "an amount in words is not rescaled"
    )


def test_gum_without_enough_filler_is_sprinkled() -> None:
    recipe = Recipe(parts={"guar": 0.5, "mussel_shell": 0.5}, water_per_dry=5)
    plan = plan_batch(recipe, lots(), 0.1)
    assert "Sprinkle" in plan.amount("guar").do


@pytest.mark.parametrize("item", catalogue().values(), ids=lambda item: item.key)
def test_every_ingredient_has_a_place_in_the_order(item: object) -> None:
    rule = rule_for(item.key, item.role)  # type: ignore[attr-defined]
    assert rule.alone and rule.why


def test_every_key_of_the_order_is_an_ingredient_or_water() -> None:
    keys = {key for rule in order_rules() for key in rule.keys}
    assert keys <= {*catalogue(), "water", HELD_BACK}
    assert {role for rule in order_rules() for role in rule.roles} == set(Role)


def test_lots_wetter_than_the_recipe_are_a_sentence() -> None:
    wet = {"spent_grain": LotFacts(role=Role.FILLER, moisture_wet_basis=0.78)}
    with pytest.raises(DoesNotFit, match="already carry"):
        plan_batch(Recipe(parts={"spent_grain": 1.0}, water_per_dry=2.0), wet, 0.3)


def test_more_than_the_stock_is_a_sentence() -> None:
    with pytest.raises(DoesNotFit, match=r"guar needs 10\.0 g and its lot has 9\.0 g left"):
        plan_batch(RECIPE, lots(guar=0.009), 0.3)


def test_too_little_for_the_scale_is_a_sentence() -> None:
    with pytest.raises(DoesNotFit, match="finer scale"):
        plan_batch(RECIPE, lots(resolution_kg=0.005), 0.02)


def test_a_coarse_scale_is_noted() -> None:
    (alginate, guar) = plan_batch(RECIPE, lots(resolution_kg=1e-3), 0.1).notes
    assert guar.startswith("guar: 3 g on a scale of 1 g steps may be off by 17 %")
    assert alginate.startswith("alginate: 3 g")
    assert plan_batch(RECIPE, lots(), 0.3).notes == ()


@pytest.mark.parametrize("dry_kg", [0.0, -0.3, float("nan"), float("inf"), 101.0])
def test_absurd_sizes_are_refused(dry_kg: float) -> None:
    with pytest.raises(OutsideRange):
        plan_batch(RECIPE, lots(), dry_kg)


def test_a_missing_lot_is_a_sentence() -> None:
    with pytest.raises(Problem, match="no lot is chosen for guar"):
        plan_batch(RECIPE, {k: v for k, v in lots().items() if k != "guar"}, 0.3)


def test_a_part_of_zero_is_not_weighed() -> None:
    recipe = Recipe(parts={"mussel_shell": 1.0, "guar": 0.0}, water_per_dry=0.4)
    assert "guar" not in {a.key for a in plan_batch(recipe, lots(), 0.3).amounts}


@given(st.floats(0, 10), st.sampled_from([1e-5, 1e-4, 1e-3, 5e-3]))
def test_rounding_is_to_the_nearest_step(kg: float, step: float) -> None:
    assert abs(rounded(kg, step) - kg) <= step / 2 + 1e-9
