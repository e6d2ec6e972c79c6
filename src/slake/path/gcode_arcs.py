"""Arcs of a toolpath as chords: G2 clockwise and G3 counterclockwise in the plane of the bed, rising evenly.

A chord stays within 5 um of its arc, or as near as 720 chords a turn allow. Own geometry.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from .gcode_modal import Steps
from .gcode_words import CLOCKWISE, COUNTER, FARTHEST_MM, MOST_MOVES, LineProblem

Array = NDArray[np.float64]
Places = NDArray[np.int64]
SAG_MM = 0.005
MOST_CHORDS = 720
FEWEST_CHORDS = 12
APART_MM, APART_SHARE = 0.05, 1e-3
"""How much the radius at the end may differ from that at the start: whichever is larger."""


def unfolded(steps: Steps) -> Steps:
    """The steps with every arc as chords that share its paste by length. Raises LineProblem."""
    arc = np.flatnonzero((steps.code == CLOCKWISE) | (steps.code == COUNTER))
    if not arc.size:
        return steps
    centre, radius, angle, first = _circles(steps, arc)
    turn = np.minimum(2 * np.arccos(np.maximum(1 - SAG_MM / radius, 0.0)), 2 * math.pi / FEWEST_CHORDS)
    turn = np.maximum(turn, 2 * math.pi / MOST_CHORDS)
    chords = np.ones(len(steps.line), dtype=np.int64)
    chords[arc] = np.maximum(np.ceil(np.abs(angle) / turn - 1e-9), 1).astype(np.int64)
    if chords.sum() > MOST_MOVES:
        raise LineProblem(steps.line[-1], f"its arcs make more than {MOST_MOVES} moves: cut the file in parts")
    laid = steps.only(np.repeat(np.arange(len(chords)), chords))
    _bend(laid, (centre, radius, angle, first), arc, chords)
    return laid


def _bend(laid: Steps, circles: tuple[Array, Array, Array, Array], arc: Places, chords: Places) -> None:
    """Chords in place of each repeated arc: its points along the circle, its paste shared evenly."""
    centre, radius, angle, first = circles
    row = np.repeat(np.arange(len(chords)), chords)
    number = np.arange(len(row)) - np.repeat(np.cumsum(chords) - chords, chords) + 1
    place = np.full(len(chords), -1)
    place[arc] = np.arange(len(arc))
    bent = np.flatnonzero(place[row] >= 0)
    which, share = place[row[bent]], number[bent] / chords[row[bent]]
    inner = number[bent] < chords[row[bent]]
    at, ends, starts = first[which] + angle[which] * share, laid.end_mm, laid.start_mm
    points = centre[which] + radius[which, None] * np.stack([np.cos(at), np.sin(at)], axis=1)
    rise = starts[bent, 2] + (ends[bent, 2] - starts[bent, 2]) * share
    ends[bent[inner], :2], ends[bent[inner], 2] = points[inner], rise[inner]
    later = bent[number[bent] > 1]
    starts[later] = ends[later - 1]
    laid.pushed_e[bent] /= chords[row[bent]]


def _circles(steps: Steps, arc: Places) -> tuple[Array, Array, Array, Array]:
    """Centre, radius, turned angle (counterclockwise above 0) and first angle of each arc."""
    start, end, line = steps.start_mm[arc, :2], steps.end_mm[arc, :2], steps.line[arc]
    sign = np.where(steps.code[arc] == COUNTER, 1.0, -1.0)
    out = {letter: steps.centre.get(letter, np.full(len(steps.line), np.nan))[arc] for letter in "IJR"}
    by_radius = ~np.isnan(out["R"])
    _refuse(line, ~by_radius & np.isnan(out["I"]) & np.isnan(out["J"]), "an arc needs I and J, or R: add them")
    centre = start + np.nan_to_num(np.stack([out["I"], out["J"]], axis=1))
    if by_radius.any():
        centre[by_radius] = _by_radius(start[by_radius], end[by_radius], (out["R"] * sign)[by_radius], line[by_radius])
    radius = np.hypot(*(start - centre).T)
    at_end = np.hypot(*(end - centre).T)
    _refuse(line, ~((radius > 0) & (radius < FARTHEST_MM)), "its centre gives no circle: mend I and J, or R")
    apart = np.abs(at_end - radius) > np.maximum(APART_MM, APART_SHARE * radius)
    _refuse(line, apart, "its start and its end are not equally far from its centre: mend I and J")
    first = np.arctan2(*(start - centre).T[::-1])
    last = np.arctan2(*(end - centre).T[::-1])
    turned = np.mod(sign * (last - first), 2 * math.pi)
    whole = np.all(np.abs(start - end) < 1e-9, axis=1)
    tiny = (turned > 2 * math.pi - 1e-9) & ~whole
    return centre, radius, sign * np.where(whole, 2 * math.pi, np.where(tiny, 0.0, turned)), first


def _by_radius(start: Array, end: Array, signed: Array, line: Places) -> Array:
    """Centres of arcs given by R: the shorter way round for R above 0, the longer below. signed: R, below 0 where one
    of "below 0" and "clockwise" holds.
    """
    chord = end - start
    length = np.hypot(*chord.T)
    _refuse(line, length < 1e-9, "a whole circle cannot be told by R: give I and J")
    _refuse(line, np.abs(signed) < length / 2 - APART_MM, "R is less than half the way to its end: mend R")
    rise = np.sqrt(np.maximum(signed**2 - (length / 2) ** 2, 0.0))
    across = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / length[:, None]
    return np.asarray((start + end) / 2 + across * (np.sign(signed) * rise)[:, None])


def _refuse(line: Places, wrong: NDArray[np.bool_], words: str) -> None:
    found = np.flatnonzero(wrong)
    if found.size:
        raise LineProblem(int(line[found[0]]), words)
