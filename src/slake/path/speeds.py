"""How long each move takes: at constant speed, or speeding up and slowing down at a steady rate between corners."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .gcode import Toolpath
from .pushing import Motion

Array = NDArray[np.float64]


def durations_s(toolpath: Toolpath, motion: Motion) -> Array:
    """Seconds each move takes, (n,), without the time it stands still."""
    moves = np.flatnonzero(toolpath.speed_m_s > 0)
    away = toolpath.end_m[moves] - toolpath.start_m[moves]
    length, speed = np.sqrt(np.einsum("ij,ij->i", away, away)), toolpath.speed_m_s[moves]
    found = np.zeros(len(toolpath.line))
    if motion.acceleration_m_s2 is None:
        found[moves] = length / speed
        return found
    stops = np.append(np.diff(moves) > 1, True) if len(moves) else np.zeros(0, dtype=bool)
    corners = corner_speeds_m_s(away / length[:, None], speed, stops, motion.corner_m_s)
    found[moves] = trapezoid_s(length, speed, corners, motion.acceleration_m_s2)
    return found


def corner_speeds_m_s(direction: Array, speed_m_s: Array, stops: NDArray[np.bool_], corner_m_s: float) -> Array:
    """Highest speed before the first, between any two and after the last of m moves, (m + 1,).

    The velocity may change by corner_m_s at once, so v = corner speed / |change of direction|, and no more than either
    move's own. direction: (m, 3) of length 1. stops: after this move the nozzle stands. A usual model of controllers
    (common practice, no source).
    """
    turn = np.sqrt(((direction[1:] - direction[:-1]) ** 2).sum(axis=1))
    with np.errstate(divide="ignore"):
        free = np.minimum(corner_m_s / turn, np.minimum(speed_m_s[1:], speed_m_s[:-1]))
    free = np.where(stops[:-1], 0.0, free)
    return np.concatenate([[0.0], free, [0.0]])


def trapezoid_s(length_m: Array, speed_m_s: Array, corners_m_s: Array, acceleration_m_s2: float) -> Array:
    """Seconds of each of m moves, with steady speeding up and slowing down looked ahead over the whole path.

    Squared speed may change by 2 x acceleration x length over a move. Own kinematics.
    """
    reach = 2 * acceleration_m_s2 * np.append(0.0, np.cumsum(length_m))
    squared = corners_m_s**2
    squared = np.minimum.accumulate((squared + reach)[::-1])[::-1] - reach
    squared = np.maximum(np.minimum.accumulate(squared - reach) + reach, 0.0)
    first, last = squared[:-1], squared[1:]
    top = np.minimum(speed_m_s**2, acceleration_m_s2 * length_m + (first + last) / 2)
    top = np.maximum(top, np.maximum(first, last))
    ramps = (2 * top - first - last) / (2 * acceleration_m_s2)
    peak = np.sqrt(top)
    changing = (2 * peak - np.sqrt(first) - np.sqrt(last)) / acceleration_m_s2
    return np.asarray(changing + np.maximum(length_m - ramps, 0.0) / peak)
