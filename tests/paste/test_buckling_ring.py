"""The round wall: a mast when tall, a foundation when it bulges, a free wall when its radius is large."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slake.ground.problems import OutsideRange
from slake.paste.buckling import load_factor, tube_folding_height_m
from slake.paste.buckling_ring import MOST_WAVES, Ring, ring_factor, stretching_n_m, waves_factor
from slake.paste.buckling_shapes import upward

POINTS = upward(2).points


def ring(radius: float, height: float, wall: float = 0.004, even_load: float | None = None) -> Ring:
    stiff = np.full(len(POINTS), 1e5)
    weight = 1500 * 9.81 * wall * height * (1 - POINTS) if even_load is None else np.full(len(POINTS), even_load)
    return Ring(
        stretching_n_m=stretching_n_m(stiff, np.full(len(POINTS), wall)),
        bending_n_m=stiff * wall**3 / 12 / (1 - 0.3**2),
        weight_n_m=weight,
        radius_m=radius,
        height_m=height,
    )


def test_a_tall_tube_leans_over_as_a_mast() -> None:
    """One wave round it; a slender tube, so that shear takes little."""
    height = 1.0
    radius = 1 / 60
    factor = float(waves_factor(ring(radius, height, wall=0.0005), 1))
    wanted = (tube_folding_height_m(1e5, 1500, radius) / height) ** 3
    assert factor == pytest.approx(wanted, rel=0.02)


def test_a_bulging_free_rim_gives_at_half_the_classical_stress() -> None:
    """Classical stress E w / (R sqrt(3 (1 - nu^2))); a strip on a foundation with a free end folds at half of it."""
    radius, wall, height = 0.05, 0.003, 0.1
    classical = 1e5 * wall**2 / (radius * math.sqrt(3 * (1 - 0.3**2)))
    factor = float(waves_factor(ring(radius, height, wall, even_load=classical), 0))
    assert factor == pytest.approx(0.5, rel=0.05)


def test_a_ring_of_very_large_radius_is_a_free_wall() -> None:
    height, wall = 0.05, 0.004
    points = (np.arange(64) + 0.5) / 64
    free = load_factor(
        np.full(64, 1e5 * wall**3 / 12 / 0.91), 1500 * 9.81 * wall * height * (1 - points), np.array(height)
    )
    assert ring_factor(ring(1e3, height, wall)) == pytest.approx(free, rel=0.01)


@pytest.mark.parametrize("radius", [0.015, 0.03, 0.06, 0.12, 0.5])
def test_a_ring_never_folds_before_the_free_wall(radius: float) -> None:
    height, wall = 0.08, 0.004
    points = (np.arange(64) + 0.5) / 64
    free = load_factor(
        np.full(64, 1e5 * wall**3 / 12 / 0.91), 1500 * 9.81 * wall * height * (1 - points), np.array(height)
    )
    assert ring_factor(ring(radius, height, wall)) >= free * 0.999


def test_stiffer_thicker_and_lower_rings_bear_more() -> None:
    base = float(ring_factor(ring(0.04, 0.1)))
    assert float(ring_factor(ring(0.04, 0.1, wall=0.006))) > base
    assert float(ring_factor(ring(0.04, 0.08))) > base


def test_more_waves_than_are_looked_at_would_not_fold_it_earlier() -> None:
    """Radius of ten walls and more than a hundred: the least lies inside the waves looked at."""
    for radius in (0.04, 0.2, 0.5):
        one = ring(radius, 0.12)
        assert float(waves_factor(one, MOST_WAVES + 4)) > float(ring_factor(one))


def test_many_rings_at_once() -> None:
    one = ring(0.04, 0.1)
    both = Ring(
        stretching_n_m=np.stack([one.stretching_n_m, 2 * one.stretching_n_m]),
        bending_n_m=np.stack([one.bending_n_m, 2 * one.bending_n_m]),
        weight_n_m=np.stack([one.weight_n_m] * 2),
        radius_m=0.04,
        height_m=0.1,
    )
    assert ring_factor(both) == pytest.approx(np.array([1.0, 2.0]) * ring_factor(one), rel=1e-6)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_no_radius_is_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        ring(bad, 0.1)
