"""One layer seen from above: its runs, its curve, and how it lies on the layer below."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from .replay import Replayed

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
STRAIGHT_RAD, CURVE_RAD = math.radians(5.0), math.radians(30.0)
STRAIGHT_SHARE = 0.15
"""A closed layer is straight-sided where one straight stretch takes more than this share of it."""
FILLED, WIDE_FROM = 0.6, 4.0
"""A layer is filled where its beads cover more than this share of the rectangle about it, wider than four beads."""
SAMPLED = 200
LEAN_AT = 0.95


@dataclass(frozen=True, kw_only=True)
class Outline:
    """Where the beads of a layer start and end, (k, 3), how long they are in plan, (k,), and what follows.

    side_m: longest straight stretch of its longest run; radius_m: that of its flattest curve, infinite where
    straight-sided; inside_m2: area the run goes round. filled: beads side by side, as in a floor.
    """

    start_m: Array
    end_m: Array
    long_m: Array
    width_m: float
    closed: bool
    filled: bool
    side_m: float
    radius_m: float
    inside_m2: float

    @property
    def length_m(self) -> float:
        return float(self.long_m.sum())


def outline_of(replayed: Replayed, row: NDArray[np.int64], width_m: float) -> Outline:
    """The beads `row` of one layer, in the order they are laid."""
    start, end = replayed.start_m[row], replayed.end_m[row]
    long = np.hypot(*(end - start)[:, :2].T)
    moved = long > 0
    if not moved.any():
        start, end, long = start[:1], start[:1] + np.array([width_m, 0.0, 0.0]), np.array([width_m])
        moved = np.array([True])
    start, end, long = start[moved], end[moved], long[moved]
    run = _longest_run(start, end, long, width_m)
    first, last, length = start[run, :2], end[run, :2], float(long[run].sum())
    heading = np.arctan2(*(last - first).T[::-1])
    turned = np.abs(np.mod(np.diff(heading, prepend=heading[:1]) + math.pi, 2 * math.pi) - math.pi)
    side, radius = _side_and_radius(long[run], np.cumsum(turned))
    return Outline(
        start_m=start,
        end_m=end,
        long_m=long,
        width_m=width_m,
        closed=bool(np.hypot(*(last[-1] - first[0])) < 2 * width_m and length > 4 * width_m),
        filled=_filled(start, long, width_m),
        side_m=side,
        radius_m=math.inf if side > STRAIGHT_SHARE * length else max(radius, width_m / 2),
        inside_m2=abs(float(np.sum(first[:, 0] * last[:, 1] - first[:, 1] * last[:, 0]))) / 2,
    )


def _longest_run(start: Array, end: Array, long: Array, width: float) -> slice:
    """The longest part of a layer that is laid without a gap of more than half a bead."""
    gaps = np.flatnonzero(_gaps(start, end) > width / 2) + 1
    edges = np.concatenate([[0], gaps, [len(long)]])
    along = np.concatenate([[0.0], np.cumsum(long)])
    best = int(np.argmax(along[edges[1:]] - along[edges[:-1]]))
    return slice(int(edges[best]), int(edges[best + 1]))


def _gaps(start: Array, end: Array) -> Array:
    return np.asarray(np.hypot(*(start[1:] - end[:-1])[:, :2].T))


def _filled(start: Array, long: Array, width: float) -> bool:
    wide = np.ptp(start[:, :2], axis=0) + width
    return bool(np.all(wide > WIDE_FROM * width) and long.sum() * width > FILLED * wide.prod())


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


@dataclass(frozen=True, kw_only=True)
class Lies:
    """How a layer lies on the one below: how far out from it, outward positive; its longest stretch over nothing."""

    out_m: float
    span_m: float


def lies_on(above: Outline, below: Outline, reach_m: float, bed_m: float) -> Lies:
    """Points along a layer against the nearest bead below. What tops out under `bed_m` lies on the bed.

    Further from it than `reach_m` there is nothing below. How far out: of all but the worst twentieth; not told where
    there are spans, nor where the layer below is filled, as beads then lie between beads.
    """
    points, apart = _sampled(above)
    points = points[points[:, 2] > bed_m]
    if not len(points):
        return Lies(out_m=0.0, span_m=0.0)
    lines = shapely.STRtree(shapely.linestrings(_thinned(below)))
    (asked, _), away = lines.query_nearest(shapely.points(points[:, :2]), return_distance=True, all_matches=False)
    away = away[np.argsort(asked)]
    bare = away > reach_m
    out = 0.0 if bare.any() or below.filled else float(np.quantile(away, LEAN_AT))
    sign = 1.0 if above.inside_m2 >= below.inside_m2 else -1.0
    return Lies(out_m=sign * out, span_m=_longest(bare) * apart)


def _thinned(outline: Outline) -> Array:
    """Stretches of bead of about a quarter of its width, (m, 2, 2): short beads in a row are taken as one."""
    part = np.floor(np.cumsum(outline.long_m) / (outline.width_m / 4))
    gap = _gaps(outline.start_m, outline.end_m) > outline.width_m / 2
    first = np.concatenate([[0], np.flatnonzero((np.diff(part) > 0) | gap) + 1])
    last = np.concatenate([first[1:] - 1, [len(part) - 1]])
    return np.stack([outline.start_m[first, :2], outline.end_m[last, :2]], axis=1)


def _sampled(outline: Outline) -> tuple[Array, float]:
    """Points along the beads of a layer, about a bead's width apart but at most some hundreds, and how far apart."""
    along = np.cumsum(outline.long_m)
    count = int(np.clip(along[-1] / max(outline.width_m, 1e-9), 8, SAMPLED))
    at = (np.arange(count) + 0.5) / count * along[-1]
    bead = np.searchsorted(along, at)
    share = ((at - along[bead]) / outline.long_m[bead] + 1)[:, None]
    points = outline.start_m[bead] * (1 - share) + outline.end_m[bead] * share
    return np.asarray(points), float(along[-1] / count)


def _longest(bare: Flags) -> int:
    """How many points the longest run of bare ones holds."""
    if not bare.any():
        return 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], bare, [False]])))
    return int(np.max(edges[1::2] - edges[::2]))
