"""The free wall: eigenvalue problem against limits, an independent solution and its own layered form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh

from slake.ground.problems import OutsideRange
from slake.paste import buckling
from slake.paste.standing import wall_buckling_height_m


def by_sines(growth: float, height: float) -> float:
    """Smallest load factor of a free stiffening wall by a Ritz sum of 18 sines in its slope, apart from the code."""
    s = (np.arange(4000) + 0.5) / 4000 * height  # from the top
    odd = (2 * np.arange(18) + 1) * math.pi / (2 * height)
    slope, bend = np.cos(odd[:, None] * s), -odd[:, None] * np.sin(odd[:, None] * s)
    stiff, load = (bend * (1 + growth * s)) @ bend.T, (slope * s) @ slope.T
    return float(eigh(stiff, load, eigvals_only=True)[0])


@pytest.mark.parametrize("growth", [0.0, 0.3, 1.5, 4.0])
def test_an_independent_sum_of_sines_folds_at_the_same_height(growth: float) -> None:
    assert by_sines(growth, buckling.free_wall_growing(growth)) == pytest.approx(1.0, abs=2e-4)


@pytest.mark.parametrize("growth", [0.0, 0.1, 0.5, 1.0, 2.0, 5.0])
def test_the_fitted_form_is_within_four_per_cent(growth: float) -> None:
    assert buckling.free_wall_growing_fitted(growth) == pytest.approx(buckling.free_wall_growing(growth), rel=0.04)


@pytest.mark.parametrize("growth", [0.0, 0.5, 3.0])
def test_the_layered_form_meets_the_continuous_one(growth: float) -> None:
    height = buckling.free_wall_growing(growth)
    above = (1 - (np.arange(64) + 0.5) / 64) * height
    assert buckling.load_factor(1 + growth * above, above, np.array(height)) == pytest.approx(1.0, abs=3e-4)


def test_many_walls_at_once_are_the_walls_one_by_one() -> None:
    rng = np.random.default_rng(1)
    stiff, weight = rng.uniform(1, 2, (3, 4, 20)), np.sort(rng.uniform(1, 2, (3, 4, 20)))[..., ::-1]
    height = rng.uniform(1, 2, 4)
    together = buckling.load_factor(stiff, weight, height)
    alone = [[buckling.load_factor(stiff[i, j], weight[i, j], height[j]) for j in range(4)] for i in range(3)]
    assert together == pytest.approx(np.array(alone), rel=1e-12)


def test_twice_the_stiffness_bears_twice_the_load() -> None:
    above = 1 - (np.arange(32) + 0.5) / 32
    one = buckling.load_factor(np.ones(32), above, np.array(1.0))
    assert buckling.load_factor(2 * np.ones(32), above, np.array(1.0)) == pytest.approx(2 * one)
    assert buckling.load_factor(np.ones(32), above / 3, np.array(1.0)) == pytest.approx(3 * one)
    assert one == pytest.approx(7.837347, rel=1e-3)


def test_a_plate_folds_higher_than_a_strip_by_the_cube_root_of_its_hold() -> None:
    plate = buckling.free_wall_height_m(buckling.plate_stiffness_n_m(1e5, 0.005), 1500 * 9.81 * 0.005)
    assert plate / wall_buckling_height_m(1e5, 1500, 0.005) == pytest.approx((1 / 0.91) ** (1 / 3))


@settings(max_examples=20)
@given(st.floats(0, 0.01), st.floats(1e-5, 1e-2))
def test_stiffening_never_folds_lower_and_without_it_the_plain_height_is_met(rate: float, rise: float) -> None:
    plain = buckling.free_wall_height_m(0.5, 200)
    grown = buckling.free_wall_growing_height_m(0.5, 200, rate, rise)
    assert grown >= plain * (1 - 1e-9)
    assert buckling.free_wall_growing_height_m(0.5, 200, 0.0, rise) == pytest.approx(plain, rel=1e-6)


def test_a_tube_is_a_mast_whose_wall_cancels() -> None:
    """I/A of a thin tube is R^2/2, that of a strip w^2/12."""
    equal = wall_buckling_height_m(1e5, 1500, math.sqrt(6) * 0.02)
    assert buckling.tube_folding_height_m(1e5, 1500, 0.02) == pytest.approx(equal)


def test_waves() -> None:
    """Second moment of a thin sine about its middle line, summed up by hand on a grid."""
    x = np.linspace(0, 1, 100_001)
    wave = 0.002 * np.sin(2 * math.pi * x)
    assert buckling.waved_times(0.003, 0.002) == pytest.approx(1 + np.mean(wave**2) * 12 / 0.003**2, rel=1e-4)
    y = 0.1 * np.sin(2 * math.pi * x)
    assert buckling.waved_longer(0.1, 1.0) == pytest.approx(np.hypot(np.diff(x), np.diff(y)).sum(), rel=0.01)


@pytest.mark.parametrize("bad", [-1e-9, math.nan, math.inf])
def test_growth_outside_is_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        buckling.free_wall_growing(bad)
    with pytest.raises(OutsideRange):
        buckling.plate_stiffness_n_m(1e5, 0.003, bad)


def test_the_fitted_form_is_refused_where_it_is_off() -> None:
    with pytest.raises(OutsideRange):
        buckling.free_wall_growing_fitted(10.0)
