"""How much more a wall bears before it folds where its own shape holds it: round, or between corners; free: once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.paste.buckling import POISSON, load_factor, waved_times
from slake.paste.buckling_edges import TALLEST, Across, clamped, held_wall_factor, hinged
from slake.paste.buckling_ring import DENTED, Ring, ring_factor, stretching_n_m
from slake.paste.buckling_shapes import tall, upward
from slake.paste.buckling_yielding import hardening_left_pa
from slake.paste.standing_growing import HELD_ALONG

from .standing import Laid, Stack, middle_of
from .stands_grid import Grid, even_points, grid_of, worn

Array = NDArray[np.float64]
Places = NDArray[np.int64]
LOOKS = 12
LEAST_LEFT = 1e-3
FREE_FROM = 100.0
"""A straight wall longer than a hundred of its widths is as good as free: practice."""


@dataclass(frozen=True, kw_only=True)
class Held:
    """How many times more than a free wall it bears after each stage, (S,), never less than once: at least, at most."""

    least: Array
    most: Array


def held_gain(stack: Stack, laid: Laid, stages: Places, looks: int = LOOKS) -> Held:
    """What the object's own shape adds to the load that folds a free wall.

    Worked out at `looks` heights for the paste in the middle of its draws, with the stiffness left under its load, and
    used for every draw: a paste stiffer and stronger throughout has the same one. An open wall is free. Of a closed
    straight-sided one the longest side, hinged and clamped at its corners. A round one as an upright ring of its middle
    radius: dented, and perfect. Where a closed wall is
    laid in waves the better of both counts, not both. Sources: suiker2018, nasa_sp8007.
    """
    if not np.all(stack.closed):
        return Held(least=np.ones(len(stages)), most=np.ones(len(stages)))
    at = stages[np.unique(np.searchsorted(stages, np.geomspace(1, stages[-1] + 1, looks).astype(np.int64) - 1))]
    waved = waved_times(float(np.median(stack.wall_m)), stack.wave_m)
    gain = np.maximum(np.array([_gain(stack, middle_of(laid), int(stage)) for stage in at]) / waved, 1.0)
    between = np.stack([np.interp(np.log(stages + 1), np.log(at + 1), np.log(end)) for end in gain.T])
    return Held(least=np.exp(between[0]), most=np.exp(between[1]))


def _gain(stack: Stack, laid: Laid, stage: int) -> tuple[float, float]:
    """At least and at most, after one stage."""
    free = grid_of(stack, np.array([stage]), even_points())
    plain = load_factor(_bending_n_m(stack, laid, free)[0], worn(laid, stack, free).weight_n_m, free.height_m)[0, 0]
    if np.all(np.isfinite(stack.radius_m)):
        perfect = float(_as_ring(stack, laid, stage) / plain)
        return DENTED * perfect, perfect
    side = float(np.mean(stack.plan_m[: stage + 1]))
    if side > FREE_FROM * float(np.mean(stack.wall_m)):
        return 1.0, 1.0
    edges = [_as_side(stack, laid, stage, edge) / plain for edge in (hinged, clamped)]
    return float(edges[0]), float(max(edges))


def _as_ring(stack: Stack, laid: Laid, stage: int) -> Array:
    grid = grid_of(stack, np.array([stage]), upward(2).points)
    bending, stretching = _bending_n_m(stack, laid, grid)
    ring = Ring(
        stretching_n_m=stretching[0, 0],
        bending_n_m=bending[0, 0],
        weight_n_m=worn(laid, stack, grid).weight_n_m[0, 0],
        radius_m=float(np.mean(stack.radius_m[: stage + 1])),
        height_m=float(grid.height_m[0]),
    )
    return ring_factor(ring)


def _as_side(stack: Stack, laid: Laid, stage: int, edge: Callable[[], Across]) -> Array:
    """The longest side, taken as long enough for its height where it is a narrow tower: that is the weaker."""
    grid = grid_of(stack, np.array([stage]), tall().points)
    height = float(grid.height_m[0])
    side = max(float(np.mean(stack.plan_m[: stage + 1])), height / TALLEST)
    bending, _ = _bending_n_m(stack, laid, grid)
    return held_wall_factor(bending[0, 0], worn(laid, stack, grid).weight_n_m[0, 0], (height, side), edge)


def _bending_n_m(stack: Stack, laid: Laid, grid: Grid) -> tuple[Array, Array]:
    """Bending and stretching stiffness that is left under the load, per length, (1, S, P)."""
    here, wall = worn(laid, stack, grid), stack.wall_m[grid.layer]
    stress = here.weight_n_m / (stack.mean_m[grid.layer] * HELD_ALONG)
    left = hardening_left_pa(here.modulus_pa, here.first_yield_pa, here.strength_pa, stress)
    left = np.maximum(left, LEAST_LEFT * here.modulus_pa)
    return np.asarray(left * wall**3 / 12 / (1 - POISSON**2)), stretching_n_m(left, wall)
