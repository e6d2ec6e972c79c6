"""First yield at the foot while the paste stiffens. Printed values stand in tests/references."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.standing import yield_height_m
from slake.paste.standing_growing import (
    HELD_ALONG,
    column_per_yield_stress,
    growth_to_stand_pa_per_s,
    yield_height_growing_m,
    yield_height_speeding_m,
)

WEIGHT = 1500 * 9.81


def test_without_growth_it_is_the_height_of_paste_that_does_not_stiffen() -> None:
    assert yield_height_growing_m(math.sqrt(3) * 800, 0.0, 1500, 1e-4) == pytest.approx(yield_height_m(800, 1500))
    assert yield_height_speeding_m(800, 0.0, 1e5, 1500, 1e-4) == pytest.approx(yield_height_m(800, 1500))


def test_strength_that_grows_as_fast_as_the_load_never_yields() -> None:
    assert yield_height_growing_m(1000, WEIGHT * 1e-4, 1500, 1e-4) == math.inf
    assert yield_height_growing_m(1000, 0.999 * WEIGHT * 1e-4, 1500, 1e-4) == pytest.approx(1000 / (0.001 * WEIGHT))
    assert yield_height_speeding_m(800, 2.0, 600.0, 1500, 1e-4) == math.inf


@given(st.floats(100, 2000), st.floats(0.0, 0.3), st.floats(2e-5, 2e-3))
def test_growth_that_does_not_speed_up_is_straight(stress: float, growth: float, rise: float) -> None:
    straight = yield_height_growing_m(math.sqrt(3) * stress, math.sqrt(3) * growth, 1500, rise)
    if straight < 0.5:
        assert yield_height_speeding_m(stress, growth, 1e9, 1500, rise) == pytest.approx(straight, rel=1e-3)


@given(st.floats(0.01, 0.5), st.floats(60, 7200), st.floats(50, 3000))
def test_the_growth_asked_for_just_carries_it(height: float, time: float, stress: float) -> None:
    growth = growth_to_stand_pa_per_s(height, time, stress, 1500)
    if growth > 0:
        stands = yield_height_growing_m(math.sqrt(3) * stress, math.sqrt(3) * growth, 1500, height / time)
        assert stands == pytest.approx(height, rel=1e-6)
    else:
        assert yield_height_m(stress, 1500) >= height * (1 - 1e-9)


def test_a_slender_column_bears_twice_its_yield_stress() -> None:
    """The factor of a column tends to 2, which is sqrt3 times 2/sqrt3 of a wall held along itself."""
    assert column_per_yield_stress(0.001, 10.0) == pytest.approx(2.0, abs=1e-3)
    assert column_per_yield_stress(0.1, 0.1 / (2 * math.sqrt(3))) == pytest.approx(4.0)
    assert math.sqrt(3) * HELD_ALONG == pytest.approx(2.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_bad_numbers_are_refused(bad: float) -> None:
    for call in (
        lambda: yield_height_growing_m(bad, 0.0, 1500, 1e-4),
        lambda: yield_height_growing_m(1000, 0.0, 1500, bad),
        lambda: yield_height_speeding_m(bad, 0.0, 1000, 1500, 1e-4),
        lambda: growth_to_stand_pa_per_s(bad, 60, 100, 1500),
        lambda: column_per_yield_stress(bad, 1.0),
    ):
        with pytest.raises(OutsideRange):
            call()
    with pytest.raises(OutsideRange):
        yield_height_growing_m(1000, math.nan, 1500, 1e-4)
