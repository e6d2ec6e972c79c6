"""Series of diffusion: printed values stand in tests/references; here their limits and how they join."""

from __future__ import annotations

import math

import pytest

from slake.ground.problems import OutsideRange
from slake.paste import diffusing as d

SHAPES = [d.slab_left, d.cylinder_left, d.sphere_left, d.after_steady_left]


@pytest.mark.parametrize("left", SHAPES)
def test_all_at_first_nothing_at_last_and_falling_between(left):
    values = [left(f) for f in (0.0, 1e-4, 1e-3, 0.01, 0.05, 0.2, 1.0)]
    assert values[0] == pytest.approx(1.0, abs=1e-6) and values[-1] < 0.01
    assert values == sorted(values, reverse=True)


@pytest.mark.parametrize("left", [d.slab_left, d.cylinder_left, d.sphere_left])
def test_the_short_law_joins_the_series(left):
    assert left(d._SHORT * (1 - 1e-9)) == pytest.approx(left(d._SHORT), abs=1e-6)


def test_one_term_is_left_late():
    assert d.slab_left(0.5) == pytest.approx(8 / math.pi**2 * math.exp(-(math.pi**2) * 0.5), rel=1e-9)


def test_after_steady_drying_the_rate_goes_on_without_a_kink():
    """A parabola gives off 12 D / L^2 of what it holds above its faces: the steady rate that drew it."""
    step = 1e-7
    assert (1 - d.after_steady_left(step)) / step == pytest.approx(12, rel=2e-3)
    assert all(d.after_steady_left(f) > d.slab_left(f) for f in (0.01, 0.1, 0.3))


def test_fourier_is_time_over_length_squared():
    assert d.fourier(2e-10, 3600, 0.004) == pytest.approx(0.045)
    assert d.fourier(2e-10, 4 * 3600, 0.008) == pytest.approx(0.045)


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf")])
def test_no_such_number(bad):
    for left in SHAPES:
        with pytest.raises(OutsideRange):
            left(bad)
    with pytest.raises(OutsideRange):
        d.fourier(1e-10, bad, 0.004)
