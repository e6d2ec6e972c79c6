"""Walls held at their edges: the ordering free <= hinged <= clamped, limits, and an independent check."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.linalg import eigh

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.buckling import free_wall_growing
from slake.paste.buckling_edges import clamped, held_wall_factor, held_wall_height, hinged
from slake.paste.buckling_shapes import smallest_factor, tall

LENGTHS = [2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 40.0, 100.0]


@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("growth", [0.0, 0.5, 2.0])
def test_free_is_lowest_then_hinged_then_clamped(length: float, growth: float) -> None:
    free = free_wall_growing(growth)
    low, high = (held_wall_height(length, edge, growth) for edge in (hinged, clamped))
    assert free * (1 - 1e-5) <= low <= high


@pytest.mark.parametrize("growth", [0.0, 1.0])
def test_all_three_meet_where_the_wall_is_long(growth: float) -> None:
    free = free_wall_growing(growth)
    for edge in (hinged, clamped):
        assert held_wall_height(200.0, edge, growth) == pytest.approx(free, rel=1e-3)


@pytest.mark.parametrize("edge", [hinged, clamped])
def test_longer_walls_fold_lower(edge) -> None:
    heights = [held_wall_height(length, edge) for length in LENGTHS]
    assert all(a >= b for a, b in pairwise(heights))


def test_an_evenly_loaded_free_top_edge_folds_at_its_closed_form() -> None:
    """Long plate, upright edges hinged, thrust even: the free loaded edge gives at (1 - nu)(3 + nu) pi^2 D / b^2.

    Worked out apart: shapes that die away down the plate, no moment and no shear at the top.
    """
    even = np.full(len(tall().points), 0.7 * 3.3 * math.pi**2)
    assert held_wall_factor(np.ones_like(even), even, (4.5, 1.0), hinged) == pytest.approx(1.0, rel=1e-3)


def test_clamped_shapes_are_those_of_a_clamped_beam() -> None:
    """Closed forms: a clamped beam shakes at 4.7300408^4 and folds at 4 pi^2."""
    shapes = clamped()
    assert float(eigh(shapes.bend, shapes.value, eigvals_only=True)[0]) == pytest.approx(4.7300408**4, rel=1e-5)
    assert float(eigh(shapes.bend, shapes.slope, eigvals_only=True)[0]) == pytest.approx(4 * math.pi**2, rel=1e-5)
    assert shapes.bend_value == pytest.approx(-shapes.slope, rel=1e-9)


@pytest.mark.parametrize("bad", [0.1, -1.0, 1e4, math.nan])
def test_lengths_it_does_not_hold_for_are_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        held_wall_height(bad, hinged)


def test_no_load_never_folds_and_no_stiffness_is_refused() -> None:
    assert smallest_factor(np.eye(3), np.zeros((3, 3))) == math.inf
    with pytest.raises(DoesNotFit):
        smallest_factor(np.diag([1.0, 1.0, -1.0]), np.eye(3))


def test_a_wall_too_high_for_its_length_is_refused_and_one_that_never_folds_is_infinite() -> None:
    points = np.ones(len(tall().points))
    with pytest.raises(OutsideRange):
        held_wall_factor(points, points, (13.0, 1.0), hinged)
    assert held_wall_height(2.0, clamped, 2.0) == math.inf
