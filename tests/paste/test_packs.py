"""Packs for a workshop: shares a scale can show that sum to the whole, and a timeline that runs backwards."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.ground.units import to_si
from slake.paste.batch import LotFacts, plan_batch
from slake.paste.ingredients import Role
from slake.paste.packs import TIMELINE, pack_list, packs_with_spare, split_evenly
from slake.paste.recipe import Recipe

RECIPE = Recipe(parts={"shell": 0.9, "guar": 0.05, "glycerol": 0.05}, water_per_dry=0.7)
LOTS = {
    "shell": LotFacts(role=Role.FILLER, moisture_wet_basis=0.02),
    "guar": LotFacts(role=Role.THICKENER, moisture_wet_basis=0.1),
    "glycerol": LotFacts(role=Role.PLASTICISER, moisture_wet_basis=0.0),
}


def test_ten_packs_and_a_fifth_spare_are_twelve() -> None:
    assert packs_with_spare(10) == 12 and packs_with_spare(1) == 2 and packs_with_spare(10, 0.0) == 10
    assert packs_with_spare(5, 0.2) == 6


@pytest.mark.parametrize("asked", [0, -1, 201])
def test_no_packs_and_absurdly_many_are_refused(asked: int) -> None:
    with pytest.raises(OutsideRange):
        packs_with_spare(asked)


def test_a_negative_spare_is_refused() -> None:
    with pytest.raises(OutsideRange):
        packs_with_spare(10, -0.1)


@given(st.floats(0, 50), st.integers(1, 200), st.sampled_from([1e-5, 1e-4, 1e-3, 5e-3]))
def test_shares_sum_to_the_whole_within_half_a_step_and_differ_by_one_step_at_most(kg, asked, step) -> None:
    shares = split_evenly(kg, asked, step)
    assert len(shares) == asked
    assert abs(math.fsum(shares) - kg) <= step / 2 + 1e-6 * step + 1e-9
    assert max(shares) - min(shares) <= step * (1 + 1e-6) + 2e-9
    assert all(abs(share / step - round(share / step)) < 1e-3 for share in shares)


@pytest.mark.parametrize(("kg", "asked"), [(-0.1, 3), (float("nan"), 3), (1.0, 0)])
def test_what_cannot_be_shared_is_refused(kg: float, asked: int) -> None:
    with pytest.raises(OutsideRange):
        split_evenly(kg, asked)


@given(st.integers(1, 60), st.floats(0.05, 0.3))
def test_the_packs_together_are_the_plan(asked: int, each: float) -> None:
    plan = plan_batch(RECIPE, LOTS, asked * each)
    packs = pack_list(plan, asked)
    assert [p.number for p in packs] == list(range(1, asked + 1))
    paste = math.fsum(p.premix_kg + p.liquid_kg + p.water_kg + p.held_kg for p in packs)
    assert paste == pytest.approx(plan.paste_kg, abs=4 * to_si(0.05, "g"))
    premix = math.fsum(p.premix_kg for p in packs)
    assert premix == pytest.approx(plan.amount("shell").kg + plan.amount("guar").kg, abs=1e-7)
    assert math.fsum(p.liquid_kg for p in packs) == pytest.approx(plan.amount("glycerol").kg, abs=1e-7)


def test_packs_are_wet_two_to_three_hours_before_the_start() -> None:
    """Gum needs its hours: common practice, no source."""
    wetting = [m.before_s for m in TIMELINE if "wet" in m.do]
    assert max(wetting) == to_si(3, "h") and min(wetting) == to_si(2, "h")
    assert [m.before_s for m in TIMELINE] == sorted((m.before_s for m in TIMELINE), reverse=True)
