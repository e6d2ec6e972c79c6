"""How near a batch came to its brief: the published example, the ends, and that one line not met makes the whole 0."""

from __future__ import annotations

import pytest
from scipy.optimize import differential_evolution

from slake.campaign.nearness import larger_is_better, nearness, overall, smaller_is_better
from slake.ground.problems import OutsideRange
from tests.references.targets import target_is_best


def conversion(a: float, b: float, c: float) -> float:
    squares = -1.8366 * a**2 + 2.9382 * b**2 - 5.1915 * c**2
    return 81.09 + 1.0284 * a + 4.043 * b + 6.2037 * c + squares + 2.2150 * a * b + 11.375 * a * c - 3.875 * b * c


def activity(a: float, b: float, c: float) -> float:
    squares = 0.83479 * a**2 + 0.07484 * b**2 + 0.05716 * c**2
    return 59.85 + 3.583 * a + 0.2546 * b + 2.2298 * c + squares - 0.3875 * a * b - 0.375 * a * c + 0.3125 * b * c


def both(point) -> float:
    one = larger_is_better(conversion(*point), 80, 97)
    return overall([one, target_is_best(activity(*point), 55, 57.5, 60)])


def test_the_best_of_the_published_example():
    """Reference 7-12 (read): within +-1.682 the best is 0.9425094 at (-0.5117, 1.682, -0.5864)."""
    assert both((-0.5117, 1.682, -0.5864)) == pytest.approx(0.9425094, abs=1e-3)
    best = differential_evolution(lambda x: -both(x), [(-1.682, 1.682)] * 3, seed=1, tol=1e-10)
    assert -best.fun == pytest.approx(0.9425094, abs=1e-4)


def test_inside_is_one_and_half_a_limit_outside_is_nothing():
    assert nearness(12, 10, 15) == 1.0 and nearness(10, 10, 15) == 1.0
    assert nearness(5, 10, 15) == 0.0 and nearness(22.5, 10, 15) == 0.0
    assert nearness(7.5, 10, None) == pytest.approx(0.5)
    assert nearness(1.0, None, 0.0) == pytest.approx(0.0)


def test_smaller_is_the_mirror_of_larger():
    for value in (0.0, 1.5, 2.2, 9.0):
        assert smaller_is_better(value, 1, 3) == pytest.approx(larger_is_better(-value, -3, -1))


def test_one_line_not_met_at_all_makes_the_whole_nothing():
    assert overall([1.0, 1.0, 0.0]) == 0.0
    assert overall([0.25, 1.0]) == pytest.approx(0.5)


@pytest.mark.parametrize("ends", [(2, 2), (3, 1), (0, float("inf"))])
def test_ends_that_do_not_rise_are_refused(ends):
    with pytest.raises(OutsideRange):
        larger_is_better(1.0, *ends)


def test_nothing_read_is_no_nearness():
    with pytest.raises(OutsideRange, match="at least one line"):
        overall([])
