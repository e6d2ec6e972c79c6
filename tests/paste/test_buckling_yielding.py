"""Stiffness left under a load, and folding and yielding together."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.buckling_yielding import hardening_left_pa, interacting_height_m, softening_left_pa


def test_softening_is_the_slope_of_an_exponential_curve() -> None:
    strain = np.array([1e-4, 5e-4, 2e-3])
    stress = 1000 * -np.expm1(-1e6 * strain / 1000)
    slope = 1e6 * np.exp(-1e6 * strain / 1000)
    assert softening_left_pa(1e6, 1000.0, stress) == pytest.approx(slope)


def test_an_even_column_that_softens_folds_after_rankine_and_gordon() -> None:
    """folding x (1 - load/strength) = load is 1/load = 1/folding + 1/strength."""
    folding, strength = 3000.0, 2000.0
    load = 1 / (1 / folding + 1 / strength)
    assert folding * softening_left_pa(1.0, strength, np.array(load)) == pytest.approx(load)


def test_hardening_is_elastic_before_and_nothing_is_left_at_the_strength() -> None:
    stress = np.array([0.0, 999.0, 1001.0, 4000.0, 7000.0])
    left = hardening_left_pa(np.array(1e6), np.array(1000.0), np.array(7000.0), stress)
    assert left[0] == left[1] == 1e6
    assert np.all(np.diff(left[1:]) < 0) and left[-1] < 10


def test_integrated_hardening_reaches_the_strength_to_a_twentieth_at_fifteen_per_cent() -> None:
    """Stress followed along strain with the stiffness left: a twentieth short of it where the test ends."""
    first, strength, stiff = 1000.0, 7000.0, 1e6
    stress, steps = first, 20_000
    plastic = (0.15 - first / stiff) / steps
    for _ in range(steps):
        left = float(hardening_left_pa(np.array(stiff), np.array(first), np.array(strength), np.array(stress)))
        hardening = 1 / (1 / left - 1 / stiff)
        stress += hardening * plastic
    assert (strength - stress) / (strength - first) == pytest.approx(1 / 20, rel=0.01)


@given(st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_together_they_end_it_below_each_alone(folding: float, yielding: float) -> None:
    height = interacting_height_m(folding, yielding)
    assert height <= min(folding, yielding)
    assert (height / folding) ** 3 + height / yielding == pytest.approx(1.0, rel=1e-9)


def test_where_one_is_far_off_the_other_decides() -> None:
    assert interacting_height_m(100.0, 0.1) == pytest.approx(0.1, rel=1e-6)
    assert interacting_height_m(0.1, 1e6) == pytest.approx(0.1, rel=1e-6)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_bad_heights_are_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        interacting_height_m(bad, 0.1)
