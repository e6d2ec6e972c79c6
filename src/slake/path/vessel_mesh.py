"""The closed mesh of a vessel with one wall and a floor, from the radius of the middle of its wall."""

from __future__ import annotations

import math

import numpy as np

from .mesh import FloatArray, IntArray, Mesh
from .spiral import Radius

LEAST_AROUND, MOST_AROUND = 64, 1024


def vessel_mesh(radius: Radius, height_m: float, wall_m: float, floor_m: float, step_m: float) -> Mesh:
    """Wall `height_m` high on a floor `floor_m` thick (0: a tube open below), as thick as the bead all round.

    The thickness is kept across the wall in plan, so that the mesh is what level beads of one width fill.
    """
    widest = float(radius(np.linspace(0, 2 * math.pi, 90), np.zeros(90)).max())
    around = int(np.clip(math.ceil(2 * math.pi * widest / step_m), LEAST_AROUND, MOST_AROUND))
    up = max(math.ceil(height_m / step_m), 1)
    turn = np.linspace(0, 2 * math.pi, around, endpoint=False)
    levels = np.linspace(0, height_m, up + 1)
    middle = np.stack([radius(turn, np.full(around, level)) for level in levels])
    half = _half_across(middle, wall_m)
    outer = _rings(middle + half, turn, levels + floor_m)
    inner = _rings(middle - half, turn, levels + floor_m)
    if floor_m <= 0:
        return _tube(outer, inner)
    foot = _rings((middle + half)[:1], turn, np.zeros(1))
    rings = np.concatenate([foot, outer, inner[::-1]])
    return _capped(rings, np.array([[0, 0, 0.0], [0, 0, floor_m]]))


def _half_across(middle: FloatArray, wall_m: float) -> FloatArray:
    """Half the wall along the radius, wider where the outline runs askew to it, (k, n)."""
    turn = 2 * math.pi / middle.shape[1]
    slope = (np.roll(middle, -1, axis=1) - np.roll(middle, 1, axis=1)) / (2 * turn * middle)
    return np.asarray(wall_m / 2 * np.sqrt(1 + slope**2))


def _rings(radius: FloatArray, turn: FloatArray, heights: FloatArray) -> FloatArray:
    """(k, n, 3)."""
    up = np.broadcast_to(heights[:, None], radius.shape)
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), up], axis=2)


def _between(low: IntArray, high: IntArray) -> IntArray:
    """Two triangles for each place of two rings of corner numbers, looking outwards where the second is above."""
    there, above = np.roll(low, -1), np.roll(high, -1)
    return np.concatenate([np.stack([low, there, above], axis=1), np.stack([low, above, high], axis=1)])


def _skin(count: int, around: int) -> list[IntArray]:
    ring = np.arange(around, dtype=np.int64)
    return [_between(ring + at * around, ring + (at + 1) * around) for at in range(count - 1)]


def _tube(outer: FloatArray, inner: FloatArray) -> Mesh:
    rings = np.concatenate([outer, inner[::-1]])
    count, around = rings.shape[:2]
    ring = np.arange(around, dtype=np.int64)
    faces = [*_skin(count, around), _between(ring + (count - 1) * around, ring)]
    return Mesh(corners_m=rings.reshape(-1, 3), triangles=np.concatenate(faces), name="tube", unit_said=True)


def _capped(rings: FloatArray, middles: FloatArray) -> Mesh:
    """Rings from the foot outside up, over the rim and down inside, closed by the middles of underside and floor."""
    count, around = rings.shape[:2]
    ring = np.arange(around, dtype=np.int64)
    last, first_middle = (count - 1) * around, count * around
    under = np.stack([np.roll(ring, -1), ring, np.full(around, first_middle)], axis=1)
    floor = np.stack([ring + last, np.roll(ring, -1) + last, np.full(around, first_middle + 1)], axis=1)
    corners = np.concatenate([rings.reshape(-1, 3), middles])
    triangles = np.concatenate([*_skin(count, around), under, floor])
    return Mesh(corners_m=corners, triangles=triangles, name="vessel", unit_said=True)
