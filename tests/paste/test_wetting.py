"""A wetted foot: bookkeeping of water by hand and its limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.wetting import gathered_water, shared_water_per_dry, strength_left


def test_equal_layers_meet_half_way() -> None:
    assert shared_water_per_dry(1.0, 0.5, 1.0, 0.7) == pytest.approx(0.6)
    assert shared_water_per_dry(1.0, 0.5, 1e-9, 0.7) == pytest.approx(0.5)


@given(st.floats(0.01, 10), st.floats(0.1, 2), st.floats(0.01, 10), st.floats(0.1, 2))
def test_no_water_is_made(dry: float, water: float, fresh: float, wet: float) -> None:
    shared = shared_water_per_dry(dry, water, fresh, wet)
    assert shared * (dry + fresh) == pytest.approx(dry * water + fresh * wet)


def test_water_that_gathers_is_the_sum_over_the_layers_above() -> None:
    """Five layers of 30 Pa: pressures 0, 30, 60, 90 Pa on the four above the foot, each weeping b p / press."""
    by_hand = sum(0.01 * 1.7 * p / 5000 for p in (0, 30, 60, 90)) + 0.01 * 1.7 * 120 / 5000
    assert gathered_water(0.01, 5000, 30, 5, 0.7) == pytest.approx(by_hand)
    assert gathered_water(0.01, 5000, 30, 1, 0.7) == 0
    assert gathered_water(0.0, 5000, 30, 100, 0.7) == 0


def test_a_hundredth_of_water_takes_an_eighth_off_a_shell_paste() -> None:
    """About 13 % per 0.01 g/g: practice."""
    assert strength_left(13.9, 0.01) == pytest.approx(0.87, abs=0.005)
    assert strength_left(13.9, 0.0) == strength_left(0.0, 0.5) == 1.0


@pytest.mark.parametrize("bad", [-0.1, 1.1, math.nan])
def test_bad_numbers_are_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        gathered_water(bad, 5000, 30, 5, 0.7)
    with pytest.raises(OutsideRange):
        strength_left(-1.0, 0.1)
    with pytest.raises(OutsideRange):
        strength_left(10.0, math.nan)
