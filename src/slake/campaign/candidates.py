"""Recipes to choose among: fractions of total wet paste within bounds, summing to 1. Water is last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import DoesNotFit, Problem, plain
from slake.paste.ingredients import Role

from .features import USUAL_WET, Space
from .lots import WATER

Array = NDArray[np.float64]
STEPS_PER_PART = 8
WIDE_WET = (0.6, 1.7)
WIDE_DOSE = (0.3, 2.2)
PART_OF_DRY = 0.12


def read_bounds(space: Space, bounds: Mapping[str, Sequence[float]] | None) -> tuple[Array, Array]:
    """Low and high fraction per ingredient, water last. An ingredient not named takes its usual span.

    Raises Problem for unknown names, numbers that cannot be, and bounds that leave no recipe.
    """
    low, high = usual_bounds(space)
    keys = [*(f.key for f in space.facts), WATER]
    for key, pair in (bounds or {}).items():
        if key not in keys:
            raise Problem(f"the bounds name “{key[:40]}”, which is no ingredient here: use {', '.join(keys)}")
        at = keys.index(key)
        low[at], high[at] = _pair(key, pair)
    if low.sum() > 1 + 1e-9 or high.sum() < 1 - 1e-9:
        raise DoesNotFit(
            f"the bounds leave no recipe: the lows sum to {plain(float(low.sum()))} and the highs to "
            f"{plain(float(high.sum()))}, and the fractions must sum to 1: widen a bound"
        )
    return low, high


def _pair(key: str, pair: Sequence[float]) -> tuple[float, float]:
    if len(pair) != 2:
        raise Problem(f"the bounds of {key} must be a pair such as (0.002, 0.02)")
    limits = Limits(low=0, high=1, do="give fractions of the total wet paste")
    low, high = (read_number(end, f"the bound of {key}", limits) for end in pair)
    if low > high:
        raise Problem(f"the bounds of {key} run from {plain(low)} to {plain(high)}: the low end must come first")
    return low, high


def with_room_for(box: tuple[Array, Array], row: Sequence[float], free: Array) -> tuple[Array, Array]:
    """Usual bounds make room for what was really mixed; those that were stated (not `free`) stay as they are."""
    low, high = box
    return np.where(free, np.minimum(low, row), low), np.where(free, np.maximum(high, row), high)


def near_what_was_mixed(box: tuple[Array, Array], rows: Array, where: Array) -> tuple[Array, Array]:
    """For ingredients nobody knows (`where`): from 0.6 of the least to 1.5 of the most that was mixed."""
    low, high = box
    return np.where(where, 0.6 * rows.min(0), low), np.where(where, np.minimum(1.5 * rows.max(0), 1.0), high)


def usual_bounds(space: Space) -> tuple[Array, Array]:
    """Spans wide around what such ingredients are used at (practice): from draws of usual recipes."""
    even = qmc.Sobol(2 * len(space.facts) + 1, scramble=False).random(512)[1:]
    grow, take, wet_share = even[:, : len(space.facts)], even[:, len(space.facts) : -1], even[:, -1]
    dry = -np.log(np.clip(grow, 1e-6, 1)) * space.where(Role.FILLER, Role.FIBRE)
    for i, facts in enumerate(space.facts):
        if facts.role in (Role.PLASTICISER, Role.LIQUID, Role.ADDITIVE):
            dry[:, i] = PART_OF_DRY * take[:, i]
    dry /= np.maximum(dry.sum(1, keepdims=True), 1e-12)
    water = np.maximum(dry @ space.column("demand"), 0.05) * USUAL_WET * (WIDE_WET[0] + np.ptp(WIDE_WET) * wet_share)
    for i, facts in enumerate(space.facts):
        if facts.role in (Role.THICKENER, Role.BINDER):
            dry[:, i] = water * facts.dose / 100 * (WIDE_DOSE[0] + np.ptp(WIDE_DOSE) * take[:, i])
    received = dry / (1 - np.clip(space.column("moisture"), 0, 0.95))
    added = np.maximum(water - (received - dry).sum(1), 0)
    rows = np.column_stack([received, added])
    rows /= rows.sum(1, keepdims=True)
    return rows.min(0), rows.max(0)


def spread_out(low: Array, high: Array, count: int, rng: np.random.Generator) -> Array:
    """`count` recipes spread over all within bounds, by exchanging two parts at a time (many chains side by side)."""
    start = low + (high - low) * _filling(low, high)
    rows = np.tile(start, (count, 1))
    moving = np.flatnonzero(high - low > 1e-12)
    if len(moving) < 2:
        return rows
    for _ in range(STEPS_PER_PART * len(moving)):
        rows = _exchanged(rows, (low, high), moving, rng)
    return rows


def _filling(low: Array, high: Array) -> float:
    room = float((high - low).sum())
    return 0.0 if room <= 0 else min(1.0, max(0.0, (1 - float(low.sum())) / room))


def _exchanged(rows: Array, box: tuple[Array, Array], moving: NDArray[np.int64], rng: np.random.Generator) -> Array:
    n, (low, high) = len(rows), box
    first = rng.integers(len(moving), size=n)
    second = (first + 1 + rng.integers(len(moving) - 1, size=n)) % len(moving)
    a, b, each = moving[first], moving[second], np.arange(n)
    least = np.maximum(low[a] - rows[each, a], rows[each, b] - high[b])
    most = np.minimum(high[a] - rows[each, a], rows[each, b] - low[b])
    step = least + rng.random(n) * np.maximum(most - least, 0)
    out = rows.copy()
    out[each, a] += step
    out[each, b] -= step
    return out


def around(rows: Array, box: tuple[Array, Array], count: int, size: float, rng: np.random.Generator) -> Array:
    """`count` recipes near the given ones, at most about `size` of each span away, within bounds."""
    low, high = box
    moving = np.flatnonzero(high - low > 1e-12)
    if len(moving) < 2 or not len(rows):
        return rows[:0]
    base = rows[rng.integers(len(rows), size=count)]
    step = rng.standard_normal((count, len(low))) * (high - low) * size
    step[:, [i for i in range(len(low)) if i not in moving]] = 0
    return _settled(base + step, box)


def _settled(rows: Array, box: tuple[Array, Array]) -> Array:
    """Back within bounds and onto the sum of 1, sharing what is missing by the room each part has."""
    low, high = box
    rows = np.clip(rows, low, high)
    for _ in range(4):
        gap = 1 - rows.sum(1, keepdims=True)
        room = np.where(gap > 0, high - rows, rows - low)
        rows = np.clip(rows + gap * room / np.maximum(room.sum(1, keepdims=True), 1e-15), low, high)
    return np.asarray(rows[np.abs(rows.sum(1) - 1) < 1e-9])
