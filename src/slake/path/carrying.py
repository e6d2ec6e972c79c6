"""From a replayed toolpath to the stack that has to carry itself: width, contact, curve, lean, spans of each layer."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, OutsideRange

from .layers import Layers
from .replay import Replayed
from .standing import Stack

Array = NDArray[np.float64]
LEAST_CONTACT = 0.2
"""A pressed bead rests on a fifth of its width at the least: practice."""
STRAIGHT_RAD, CURVE_RAD = math.radians(5.0), math.radians(30.0)
STRAIGHT_SHARE = 0.15
"""A closed layer is straight-sided where one straight stretch takes more than this share of it."""
MOST_BEADS_ACROSS = 50
LEAN_AT = 0.95
"""The lean of a layer is that of all but its worst twentieth."""
SAMPLED = 200


@dataclass(frozen=True, kw_only=True)
class Outline:
    """One layer seen from above: its points in order (k, 2), and what follows from them. side_m: longest straight
    stretch; radius_m: that of its flattest curve, infinite where straight-sided.
    """

    points_m: Array
    closed: bool
    length_m: float
    side_m: float
    radius_m: float


def stack_from(replayed: Replayed, layers: Layers, beads_across: int = 1) -> Stack:
    """The stack of a toolpath, layer by layer or turn by turn.

    A bead is taken as pressed: round sides as deep as half its height, so it rests on its width less its height. Walls
    of several beads side by side are told by `beads_across`; fillings are not told from walls. Own geometry.
    """
    if not 1 <= beads_across <= MOST_BEADS_ACROSS:
        raise OutsideRange("beads across the wall", got=beads_across, low=1, high=MOST_BEADS_ACROSS, do="count them")
    if len(layers.height_m) == 0 or not np.all(layers.volume_m3 > 0) or not np.all(layers.thickness_m > 0):
        raise DoesNotFit("a layer holds no paste or has no height: look at the first layer and where the bed lies")
    wall, contact = _widths(layers, beads_across)
    rows = _rows(replayed, layers)
    outlines = [_outline(replayed, row, float(width)) for row, width in zip(rows, wall, strict=True)]
    lean, span = _over_the_one_below(outlines, layers, wall, contact)
    closed = np.array([one.closed or layers.spiral for one in outlines])
    return Stack(
        thickness_m=layers.thickness_m,
        done_s=np.maximum.accumulate(layers.end_s),
        wall_m=wall,
        contact_m=contact,
        area_m2=_area_m2(layers, beads_across),
        plan_m=np.array([one.side_m if one.closed and math.isinf(one.radius_m) else one.length_m for one in outlines]),
        radius_m=np.array([one.radius_m for one in outlines]),
        lean_deg=lean,
        span_m=span,
        closed=closed,
    )


def _area_m2(layers: Layers, beads_across: int) -> Array:
    """Paste per length of wall: what a turn of a spiral lays is its whole height from the second turn on."""
    return np.asarray(layers.volume_m3 / layers.length_m * beads_across)


def _widths(layers: Layers, beads_across: int) -> tuple[Array, Array]:
    """Width of the wall and of its contact, such that the cut through the pressed bead is what the path lays."""
    high = layers.thickness_m
    even = _area_m2(layers, beads_across) / high
    contact = np.maximum(even - math.pi / 4 * high, LEAST_CONTACT * even)
    return np.asarray(contact + (even - contact) / (math.pi / 4)), np.asarray(contact)


def _rows(replayed: Replayed, layers: Layers) -> list[NDArray[np.int64]]:
    order = np.argsort(layers.layer, kind="stable")
    cuts = np.searchsorted(layers.layer[order], np.arange(1, len(layers.height_m)))
    return np.split(order, cuts)


def _outline(replayed: Replayed, row: NDArray[np.int64], width: float) -> Outline:
    start, end = replayed.start_m[row, :2], replayed.end_m[row, :2]
    points = np.concatenate([start[:1], end])
    steps = np.diff(points, axis=0)
    long = np.hypot(*steps.T)
    moved = long > 0
    if not moved.any():
        return Outline(points_m=points, closed=False, length_m=width, side_m=width, radius_m=math.inf)
    length = float(long.sum())
    closed = bool(np.hypot(*(points[-1] - points[0])) < 2 * width and length > 4 * width)
    heading = np.arctan2(steps[moved, 1], steps[moved, 0])
    turned = np.abs(np.mod(np.diff(heading, prepend=heading[:1]) + math.pi, 2 * math.pi) - math.pi)
    side, radius = _side_and_radius(long[moved], np.cumsum(turned))
    straight = side > STRAIGHT_SHARE * length
    return Outline(
        points_m=points,
        closed=closed,
        length_m=length,
        side_m=side,
        radius_m=math.inf if straight else max(radius, width / 2),
    )


def _side_and_radius(long: Array, turned: Array) -> tuple[float, float]:
    """Longest stretch that keeps its heading within 5 deg, and the radius of the flattest 30 deg of curve."""
    along = np.concatenate([[0.0], np.cumsum(long)])
    middle = (along[1:] + along[:-1]) / 2
    keeps = np.searchsorted(turned, turned + STRAIGHT_RAD, side="right")
    side = float(np.max(along[keeps] - along[:-1]))
    far = np.searchsorted(turned, turned + CURVE_RAD, side="left")
    inside = far < len(long)
    if not inside.any():
        return side, math.inf
    arcs = middle[far[inside]] - middle[inside]
    return side, float(np.max(arcs / (turned[far[inside]] - turned[inside])))


def _over_the_one_below(outlines: list[Outline], layers: Layers, wall: Array, contact: Array) -> tuple[Array, Array]:
    """Lean (deg) and longest stretch with nothing below (m) of each layer, (n,); of the first none."""
    lean, span = np.zeros(len(outlines)), np.zeros(len(outlines))
    for k in range(1, len(outlines)):
        points, along = _sampled(outlines[k], float(wall[k]))
        away = shapely.distance(shapely.points(points), shapely.linestrings(outlines[k - 1].points_m))
        bare = away > (contact[k - 1] + wall[k]) / 2
        rests = away[~bare]
        out = float(np.quantile(rests, LEAN_AT)) if rests.size else 0.0
        sign = 1.0 if _inside_m2(outlines[k]) >= _inside_m2(outlines[k - 1]) else -1.0
        lean[k] = sign * math.degrees(math.atan(out / float(layers.thickness_m[k])))
        span[k] = _longest(bare, along)
    return lean, span


def _sampled(outline: Outline, width: float) -> tuple[Array, Array]:
    """Points along a layer, a bead's width apart but at most some hundreds, and how far along each lies."""
    steps = np.hypot(*np.diff(outline.points_m, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    count = int(np.clip(outline.length_m / max(width, 1e-9), 8, SAMPLED))
    at = (np.arange(count) + 0.5) / count * along[-1]
    return np.stack([np.interp(at, along, outline.points_m[:, i]) for i in range(2)], axis=1), at


def _longest(bare: NDArray[np.bool_], along: Array) -> float:
    """Length of the longest run of bare points."""
    if not bare.any():
        return 0.0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], bare, [False]])))
    return float(np.max((edges[1::2] - edges[::2]) * float(np.mean(np.diff(along)))))


def _inside_m2(outline: Outline) -> float:
    x, y = outline.points_m.T
    return abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2
