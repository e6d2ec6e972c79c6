"""How long each move takes: at constant speed, or speeding up and slowing down at a steady rate between corners."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .gcode import Toolpath
from .pushing import Motion

Array = NDArray[np.float64]


def durations_s(toolpath: Toolpath, motion: Motion) -> Array:
    """Seconds each move takes, (n,), without the time it stands still."""
    moves = toolpath.speed_m_s > 0
    if motion.acceleration_m_s2 is None:
        return np.divide(toolpath.length_m, toolpath.speed_m_s, out=np.zeros(len(moves)), where=moves)
    found = np.zeros(len(moves))
    if moves.any():
        found[moves] = _ramped_s(toolpath, moves, motion.corner_m_s, motion.acceleration_m_s2)
    return found


def _ramped_s(toolpath: Toolpath, moves: NDArray[np.bool_], corner_m_s: float, acceleration_m_s2: float) -> Array:
    """Seconds of those rows that move, standing wherever one in between does not."""
    length, speed = toolpath.length_m[moves], toolpath.speed_m_s[moves]
    direction = (toolpath.end_m[moves] - toolpath.start_m[moves]) / length[:, None]
    stops = np.append(np.diff(np.flatnonzero(moves)) > 1, True)
    corners = corner_speeds_m_s(direction, speed, stops, corner_m_s)
    return trapezoid_s(length, speed, corners, acceleration_m_s2)


def corner_speeds_m_s(direction: Array, speed_m_s: Array, stops: NDArray[np.bool_], corner_m_s: float) -> Array:
    """Highest speed before the first, between any two and after the last of m moves, (m + 1,).

    The velocity may change by corner_m_s at once, so v = corner speed / |change of direction|, and no more than either
    move's own. direction: (m, 3) of length 1. stops: after this move the nozzle stands. A usual model of controllers
    (common practice, no source).
    """
    change = direction[1:] - direction[:-1]
    turn = np.sqrt(np.einsum("ij,ij->i", change, change))
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
