"""Lattices, corners, samples and fits of mixtures, against algebra. Printed values stand in tests/references."""

from __future__ import annotations

from math import factorial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange
from slake.paste.mixtures import (
    extreme_vertices,
    fit_scheffe_quadratic,
    sample_mixtures,
    scheffe_terms,
    simplex_lattice,
)

FLARE = ([0.40, 0.10, 0.10, 0.03], [0.60, 0.50, 0.50, 0.08])


@given(st.integers(1, 5), st.integers(1, 5))
def test_a_lattice_has_every_point_once(parts: int, steps: int) -> None:
    points = simplex_lattice(parts, steps)
    wanted = factorial(parts + steps - 1) // (factorial(steps) * factorial(parts - 1))
    assert len(np.unique(points.round(9), axis=0)) == len(points) == wanted
    assert np.allclose(points.sum(axis=1), 1) and (points >= 0).all()


def test_the_whole_simplex_has_its_pure_corners() -> None:
    assert np.array_equal(np.sort(extreme_vertices([0] * 8, [1] * 8), axis=0)[-1], np.ones(8))
    assert len(extreme_vertices([0] * 8, [1] * 8)) == 8


def test_a_hexagon() -> None:
    """Three parts, each at most a half: the triangle of edge middles, no other corner."""
    found = extreme_vertices([0, 0, 0], [0.5, 0.5, 0.5])
    assert sorted(map(tuple, found)) == [(0, 0.5, 0.5), (0.5, 0, 0.5), (0.5, 0.5, 0)]


@settings(max_examples=60)
@given(st.lists(st.tuples(st.floats(0, 0.6), st.floats(0, 0.6)), min_size=2, max_size=6))
def test_corners_lie_within_bounds_and_cannot_be_mixed_from_each_other(pairs: list[tuple[float, float]]) -> None:
    low, high = [min(p) for p in pairs], [max(p) for p in pairs]
    if sum(low) > 1 or sum(high) < 1:
        with pytest.raises(DoesNotFit):
            extreme_vertices(low, high)
        return
    corners = extreme_vertices(low, high)
    assert np.allclose(corners.sum(axis=1), 1)
    assert (corners >= np.array(low) - 1e-9).all() and (corners <= np.array(high) + 1e-9).all()
    at_bound = np.isclose(corners, low, atol=1e-8) | np.isclose(corners, high, atol=1e-8)
    assert (at_bound.sum(axis=1) >= len(low) - 1).all()


@pytest.mark.parametrize(
    ("low", "high"),
    [
        ([0.6, 0.6], [0.8, 0.8]),
        ([0.1, 0.1], [0.2, 0.2]),
        ([0.5, 0.2], [0.4, 0.8]),
        ([-0.1, 0.1], [1, 1]),
        ([0.1, float("nan")], [1, 1]),
        ([0.1], [1, 1]),
        ([], []),
    ],
)
def test_bounds_nothing_fits_are_refused(low: list[float], high: list[float]) -> None:
    with pytest.raises(DoesNotFit):
        extreme_vertices(low, high)


def test_samples_lie_within_bounds_and_sum_to_one() -> None:
    rows = sample_mixtures(*FLARE, 500, np.random.default_rng(4))
    assert rows.shape == (500, 4)
    assert np.allclose(rows.sum(axis=1), 1)
    assert (rows >= np.array(FLARE[0])).all() and (rows <= np.array(FLARE[1])).all()


def test_the_same_seed_gives_the_same_samples_and_another_does_not() -> None:
    one, same, other = (sample_mixtures(*FLARE, 20, np.random.default_rng(s)) for s in (1, 1, 2))
    assert np.array_equal(one, same) and not np.array_equal(one, other)


def test_samples_of_the_whole_triangle_are_even() -> None:
    """On the whole simplex of q parts each share has mean 1/q and variance (q-1)/(q^2 (q+1)): algebra."""
    rows = sample_mixtures([0, 0, 0], [1, 1, 1], 6000, np.random.default_rng(8))
    assert rows.mean(axis=0) == pytest.approx([1 / 3] * 3, abs=0.015)
    assert rows.var(axis=0) == pytest.approx([2 / 36] * 3, abs=0.005)


def test_a_fixed_part_stays_fixed() -> None:
    rows = sample_mixtures([0.2, 0.1, 0.1], [0.2, 0.7, 0.7], 200, np.random.default_rng(3))
    assert np.allclose(rows[:, 0], 0.2) and rows[:, 1].std() > 0.1


def test_a_single_point_is_that_point() -> None:
    rows = sample_mixtures([0.3, 0.7], [0.3, 0.7], 3, np.random.default_rng(3))
    assert np.allclose(rows, [0.3, 0.7])


@pytest.mark.parametrize("count", [0, -1, 2_000_000])
def test_absurd_counts_are_refused(count: int) -> None:
    with pytest.raises(OutsideRange):
        sample_mixtures(*FLARE, count, np.random.default_rng(1))


def test_a_fit_finds_the_coefficients_that_made_the_values() -> None:
    rng = np.random.default_rng(5)
    x = sample_mixtures([0, 0, 0], [1, 1, 1], 40, rng)
    made = np.array([3.0, -1.0, 2.0, 4.0, 0.0, -6.0])
    fit = fit_scheffe_quadratic(x, scheffe_terms(x) @ made)
    assert fit.coefficients == pytest.approx(made, abs=1e-9)
    assert fit.residual_sd < 1e-9 and fit.degrees_of_freedom == 34


def test_too_few_or_too_alike_mixtures_are_refused() -> None:
    lattice = simplex_lattice(3, 2)
    with pytest.raises(NotEnoughEvidence) as refused:
        fit_scheffe_quadratic(lattice, np.arange(6.0))
    assert (refused.value.have, refused.value.need) == (6, 7)
    with pytest.raises(NotEnoughEvidence):
        fit_scheffe_quadratic(np.repeat(lattice[:2], 10, axis=0), np.arange(20.0))


def test_tables_that_are_none_are_refused() -> None:
    lattice = simplex_lattice(3, 3)
    for x, y in (
        (lattice, np.arange(9.0)),
        (lattice * 2, np.arange(10.0)),
        (lattice, np.full(10, np.nan)),
        (lattice[0], np.array([1.0])),
    ):
        with pytest.raises(DoesNotFit):
            fit_scheffe_quadratic(x, y)
