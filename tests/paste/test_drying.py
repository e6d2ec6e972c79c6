"""Shrinkage and draw size: there and back, and what they refuse."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.drying import draw_size_m, linear_shrinkage, most_linear_shrinkage, volume_shrinkage


@given(st.floats(1e-3, 1), st.floats(-0.04, 0.5))
def test_what_is_drawn_larger_dries_to_size(size: float, shrinkage: float) -> None:
    drawn = draw_size_m(size, shrinkage)
    assert drawn * (1 - shrinkage) == pytest.approx(size)
    assert linear_shrinkage(drawn, size) == pytest.approx(shrinkage, abs=1e-9)


def test_dividing_is_not_multiplying() -> None:
    """80 mm at 7.2 %: 86.2, not 85.8 (by hand: coding only)."""
    assert draw_size_m(0.080, 0.072) == pytest.approx(0.0862, abs=5e-5)
    assert abs(draw_size_m(0.080, 0.072) - 0.080 * 1.072) > 3e-4


@given(st.floats(0.001, 0.3))
def test_volume_shrinks_by_a_little_less_than_three_times(shrinkage: float) -> None:
    assert shrinkage < volume_shrinkage(shrinkage) < 3 * shrinkage


@pytest.mark.parametrize(("wet", "dry"), [(0.1, 0.11), (0.1, 0.03), (0.0, 0.1), (0.1, 0.0), (float("nan"), 0.1)])
def test_misreadings_are_refused(wet: float, dry: float) -> None:
    with pytest.raises(OutsideRange):
        linear_shrinkage(wet, dry)


@pytest.mark.parametrize("shrinkage", [1.0, 0.61, -0.06, float("nan")])
def test_impossible_shrinkages_are_refused(shrinkage: float) -> None:
    with pytest.raises(OutsideRange):
        draw_size_m(0.08, shrinkage)
    with pytest.raises(OutsideRange):
        volume_shrinkage(shrinkage)


def test_a_paste_cannot_shrink_by_more_than_its_water():
    """Water alone shrinks to nothing; half water by volume to the cube root of a half, 20.6 % shorter."""
    assert most_linear_shrinkage(1e9, 998.2) == pytest.approx(1.0, abs=1e-2)
    half = most_linear_shrinkage(1.0, 998.2)
    assert half == pytest.approx(0.2063, abs=5e-5) and volume_shrinkage(half) == pytest.approx(0.5)
    assert most_linear_shrinkage(0.4, 1500) < most_linear_shrinkage(0.5, 1500)
    with pytest.raises(OutsideRange):
        most_linear_shrinkage(0.0, 1500)
