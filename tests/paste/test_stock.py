"""What a lot still makes, when to stop, and the bridge to the next lot."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.stock import SPILL_SHARE, bridge_paste_m3, lot_plan


def test_410_g_is_two_batches_and_a_bridge_of_60_g() -> None:
    """410 g left, 150 g a batch, 5 % spilled: not the 650 g the plan needs; 2 and 60 g kept (by hand: coding only)."""
    found = lot_plan(0.410, 0.150, 4, 0.060)
    assert not found.enough and found.stop_after == 2 and found.bridge_kg == pytest.approx(0.060)
    assert found.batches == 2 and found.needed_kg == pytest.approx(0.6)


def test_a_lot_that_carries_the_plan_keeps_no_bridge() -> None:
    found = lot_plan(1.0, 0.150, 4, 0.060)
    assert found.enough and found.stop_after == 4 and found.bridge_kg == 0 and found.batches == 6


def test_an_empty_lot_makes_nothing() -> None:
    found = lot_plan(0.0, 0.1, 1, 0.06)
    assert (found.batches, found.stop_after, found.bridge_kg, found.enough) == (0, 0, 0.0, False)


@given(st.floats(0, 100), st.floats(1e-3, 5), st.integers(0, 50), st.floats(0, 0.5))
def test_what_is_used_and_kept_is_never_more_than_there_is(
    left: float, each: float, planned: int, bridge: float
) -> None:
    found = lot_plan(left, each, planned, bridge)
    assert found.stop_after * each + found.bridge_kg <= left * (1 - SPILL_SHARE) + 1e-6
    assert found.stop_after <= planned
    assert found.stop_after <= found.batches


@pytest.mark.parametrize(
    "bad", [(-0.1, 0.1, 1, 0.0), (1.0, 0.0, 1, 0.0), (1.0, 0.1, -1, 0.0), (1.0, 0.1, 1, -0.1), (math.nan, 0.1, 1, 0.0)]
)
def test_bad_numbers_are_refused(bad: tuple[float, float, int, float]) -> None:
    with pytest.raises(OutsideRange):
        lot_plan(*bad)


def test_a_bridge_batch_fills_a_cone_cup_and_a_bar() -> None:
    """Cup 40 mm wide, 35 mm deep: 44.0 mL; bar 120 x 15 x 6: 10.8 mL; a quarter on top (by hand: coding only)."""
    assert bridge_paste_m3() == pytest.approx(68.5e-6, abs=0.05e-6)
