"""The stack at each moment it is looked at: what lies above each place of the wall, and how old each place is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import GRAVITY_M_S2

from .standing import Laid, Stack

Array = NDArray[np.float64]
Places = NDArray[np.int64]
MOST_STAGES, SLICES = 40, 48
PAUSE = 3.0
"""A gap three times the usual one is a pause: the wall is looked at just before and after it."""
RECORD, RECORDS = 1.05, 5
TOLD_M = 1e-6


@dataclass(frozen=True, kw_only=True)
class Grid:
    """S moments, each when a layer is finished; P places from foot to top of what stands then. Arrays (S,) and (S, P).

    above_m2, foot_m2: area of the cuts of all that lies above the middle, and above the lower edge, of each place.
    """

    stage: Places  # (S,) number of the topmost layer, from 0
    height_m: Array  # (S,)
    layer: Places  # (S, P)
    above_m2: Array
    foot_m2: Array
    since_laid_s: Array

    @property
    def layers(self) -> Array:
        """Layers that stand at each moment, (S,)."""
        return np.asarray(self.stage + 1.0)


def stages_of(stack: Stack, most: int = MOST_STAGES) -> Places:
    """Layers after which to look: all, or as many even ones as there is time for, those about pauses
    and where it leans or reaches out further than before, and the last."""
    count = len(stack.done_s)
    if count <= most:
        return np.arange(count)
    gaps = np.diff(stack.done_s, prepend=0.0)
    pauses = np.flatnonzero(gaps > PAUSE * np.median(gaps))
    pauses = pauses[np.argsort(gaps[pauses])[-(most // 4) :]]
    even = np.linspace(0, count - 1, most).round().astype(np.int64)
    odd = np.concatenate([pauses, _records(stack.span_m), _records(np.abs(stack.step_m))])
    return np.unique(np.concatenate([even, odd, np.maximum(odd - 1, 0)]))


def _records(values: Array) -> Places:
    """Layers that reach out further than every one below: the last few of them, and the first."""
    before = np.maximum.accumulate(np.append(0.0, values[:-1]))
    found = np.flatnonzero(values > np.maximum(before * RECORD, TOLD_M))
    return np.concatenate([found[:1], found[-RECORDS:]]).astype(np.int64)


def grid_of(stack: Stack, stages: Places, points: Array) -> Grid:
    """The stack after each of the stages (S,), at `points` (P,) of its height from 0 to 1."""
    tops = np.concatenate([[0.0], stack.top_m])
    area = np.concatenate([[0.0], np.cumsum(stack.area_m2)])
    height = tops[stages + 1]
    at = height[:, None] * points
    layer = np.minimum(np.searchsorted(tops, at, side="right") - 1, stages[:, None])
    whole = area[stages + 1][:, None]
    edges = np.concatenate([[0.0], (points[1:] + points[:-1]) / 2])
    return Grid(
        stage=stages,
        height_m=height,
        layer=layer,
        above_m2=whole - np.interp(at, tops, area),
        foot_m2=whole - np.interp(height[:, None] * edges, tops, area),
        since_laid_s=stack.done_s[stages][:, None] - stack.done_s[layer],
    )


def even_points(count: int = SLICES) -> Array:
    """Middles of even slices of the unit height."""
    return np.asarray((np.arange(count) + 0.5) / count)


@dataclass(frozen=True, kw_only=True)
class Worn:
    """What the paste is and bears at each place of a grid in each draw, (D, S, P). Weight in N per length of wall;
    where it is laid in waves, per length of its line, as strength and stiffness are.
    """

    first_yield_pa: Array
    strength_pa: Array
    modulus_pa: Array
    weight_n_m: Array
    foot_n_m: Array


def worn(laid: Laid, stack: Stack, grid: Grid) -> Worn:
    """Strength, stiffness and weight above, place by place; what drying adds is the same for all three."""
    gain = np.exp(dried_log(laid, stack.wall_m[grid.layer], grid.since_laid_s))
    heavy = (laid.density_kg_m3 * GRAVITY_M_S2)[:, None, None]
    first = laid.first_yield.at(grid.since_laid_s)
    return Worn(
        first_yield_pa=np.asarray(first * gain),
        strength_pa=np.asarray(np.maximum(laid.strength.at(grid.since_laid_s), first) * gain),
        modulus_pa=np.asarray(laid.modulus.at(grid.since_laid_s) * gain),
        weight_n_m=np.asarray(heavy * grid.above_m2),
        foot_n_m=np.asarray(heavy * grid.foot_m2),
    )


def dried_log(laid: Laid, wall_m: Array, since_laid_s: Array) -> Array:
    """Growth of ln(strength) by drying and heater, (D, ...), thin walls faster, up to what is counted."""
    to = (-1,) + (1,) * np.ndim(since_laid_s)
    rate = laid.dries_per_s.reshape(to) * (laid.dries_wall_m / wall_m) + laid.heater_per_s.reshape(to)
    return np.asarray(np.minimum(rate * since_laid_s, laid.dries_most.reshape(to)))
