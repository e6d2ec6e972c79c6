"""How much more a wall bears before it folds where its own shape holds it: round, or between corners; free: once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.paste.buckling import POISSON, load_factor, waved_times
from slake.paste.buckling_edges import clamped, held_wall_factor, hinged
from slake.paste.buckling_ring import DENTED, Ring, ring_factor, stretching_n_m
from slake.paste.buckling_shapes import upward
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


def held_gain(stack: Stack, laid: Laid, stages: Places) -> Held:
    """What the object's own shape adds to the load that folds a free wall.

    Worked out at twelve heights for the paste in the middle of its draws, with the stiffness left under its load, and
    used for every draw: a paste stiffer and stronger throughout has the same one. An open wall is free. Of a closed
    straight-sided one the longest side, hinged and clamped at its corners. A round one as an upright ring of its middle
    radius: dented, and perfect. Where a closed wall is
    laid in waves the better of both counts, not both. Sources: suiker2018, nasa_sp8007.
    """
    if not np.all(stack.closed):
        return Held(least=np.ones(len(stages)), most=np.ones(len(stages)))
    looks = stages[np.unique(np.searchsorted(stages, np.geomspace(1, stages[-1] + 1, LOOKS).astype(np.int64) - 1))]
    waved = waved_times(float(np.median(stack.wall_m)), stack.wave_m)
    gain = np.maximum(np.array([_gain(stack, middle_of(laid), int(stage)) for stage in looks]) / waved, 1.0)
    between = np.stack([np.interp(np.log(stages + 1), np.log(looks + 1), np.log(end)) for end in gain.T])
    return Held(least=np.exp(between[0]), most=np.exp(between[1]))


def _gain(stack: Stack, laid: Laid, stage: int) -> tuple[float, float]:
    """At least and at most, after one stage."""
    at = np.array([stage])
    free, held = grid_of(stack, at, even_points()), grid_of(stack, at, upward(2).points)
    plain = load_factor(_bending_n_m(stack, laid, free)[0], worn(laid, stack, free).weight_n_m, free.height_m)[0, 0]
    bending, stretching = _bending_n_m(stack, laid, held)
    weight, height = worn(laid, stack, held).weight_n_m[0, 0], float(held.height_m[0])
    if np.all(np.isfinite(stack.radius_m)):
        ring = Ring(
            stretching_n_m=stretching[0, 0],
            bending_n_m=bending[0, 0],
            weight_n_m=weight,
            radius_m=float(np.mean(stack.radius_m[: stage + 1])),
            height_m=height,
        )
        perfect = float(ring_factor(ring) / plain)
        return DENTED * perfect, perfect
    side = float(np.mean(stack.plan_m[: stage + 1]))
    if side > FREE_FROM * float(np.mean(stack.wall_m)):
        return 1.0, 1.0
    edges = [held_wall_factor(bending[0, 0], weight, (height, side), edge) / plain for edge in (hinged, clamped)]
    return float(edges[0]), float(max(edges))


def _bending_n_m(stack: Stack, laid: Laid, grid: Grid) -> tuple[Array, Array]:
    """Bending and stretching stiffness that is left under the load, per length, (1, S, P)."""
    here, wall = worn(laid, stack, grid), stack.wall_m[grid.layer]
    stress = here.weight_n_m / (stack.mean_m[grid.layer] * HELD_ALONG)
    left = hardening_left_pa(here.modulus_pa, here.first_yield_pa, here.strength_pa, stress)
    left = np.maximum(left, LEAST_LEFT * here.modulus_pa)
    return np.asarray(left * wall**3 / 12 / (1 - POISSON**2)), stretching_n_m(left, wall)
