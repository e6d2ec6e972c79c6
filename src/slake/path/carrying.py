"""From a replayed toolpath to the stack that has to carry itself: width, contact, curve, lean, spans of each layer."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.tilting import STEEPEST_DEG

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
FLOOR_FROM = 1.6
"""A lowest layer with this many times the usual length of bead is a floor: practice."""


@dataclass(frozen=True, kw_only=True)
class Outline:
    """One layer seen from above: where its beads start and end, (k, 2), how long they are, (k,), and what follows.

    side_m: longest straight stretch of its longest run; radius_m: that of its flattest curve, infinite where
    straight-sided; inside_m2: area the run goes round.
    """

    start_m: Array
    end_m: Array
    long_m: Array
    closed: bool
    side_m: float
    radius_m: float
    inside_m2: float

    @property
    def length_m(self) -> float:
        return float(self.long_m.sum())


def stack_from(replayed: Replayed, layers: Layers, beads_across: int = 1) -> Stack:
    """The stack of a toolpath, layer by layer or turn by turn.

    A bead is taken as pressed: round sides as deep as half its height, so it rests on its width less its height. Walls
    of several beads side by side are told by `beads_across`. The lowest layers that hold far more bead than those above
    are a floor and carry as the wall on them does. A last turn of a spiral that is not half a turn high is left out.
    Of several runs in a layer the longest is looked at. Own geometry.
    """
    if not 1 <= beads_across <= MOST_BEADS_ACROSS:
        raise OutsideRange("beads across the wall", got=beads_across, low=1, high=MOST_BEADS_ACROSS, do="count them")
    if len(layers.height_m) == 0 or not np.all(layers.volume_m3 > 0) or not np.all(layers.thickness_m > 0):
        raise DoesNotFit("a layer holds no paste or has no height: look at the first layer and where the bed lies")
    kept = slice(0, _whole_turns(layers))
    wall, contact = (found[kept] for found in _widths(layers, beads_across))
    rows = _rows(replayed, layers)[kept]
    outlines = [_outline(replayed, row, float(width)) for row, width in zip(rows, wall, strict=True)]
    lean, span = _over_the_one_below(outlines, layers, wall, contact)
    shape = _as_the_wall_above(outlines)
    return Stack(
        thickness_m=layers.thickness_m[kept],
        done_s=np.maximum.accumulate(layers.end_s[kept]),
        wall_m=wall,
        contact_m=contact,
        area_m2=_area_m2(layers, beads_across)[kept],
        plan_m=np.array([one.side_m if one.closed and math.isinf(one.radius_m) else one.length_m for one in shape]),
        radius_m=np.array([one.radius_m for one in shape]),
        lean_deg=lean,
        span_m=span,
        closed=np.array([one.closed or layers.spiral for one in shape]),
    )


def _whole_turns(layers: Layers) -> int:
    """Layers that are looked at: all, but not the rest of a turn at the top of a spiral."""
    count = len(layers.thickness_m)
    rest = layers.spiral and count > 2 and layers.thickness_m[-1] < 0.5 * np.median(layers.thickness_m)
    return count - 1 if rest else count


def _as_the_wall_above(outlines: list[Outline]) -> list[Outline]:
    """The floor's layers take the shape of the first layer of wall; a solid object has no wall and stays as it is."""
    lengths = np.array([one.length_m for one in outlines])
    wall = np.flatnonzero(lengths <= FLOOR_FROM * np.median(lengths))
    first = int(wall[0]) if wall.size else 0
    return [outlines[first]] * first + outlines[first:]


def _area_m2(layers: Layers, beads_across: int) -> Array:
    """Area of the cut through the wall: paste per length of it."""
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
    long = np.hypot(*(end - start).T)
    moved = long > 0
    if not moved.any():
        start, end, long = start[:1], start[:1] + np.array([width, 0.0]), np.array([width])
        moved = np.array([True])
    start, end, long = start[moved], end[moved], long[moved]
    run = _longest_run(start, end, long, width)
    length = float(long[run].sum())
    closed = bool(np.hypot(*(end[run][-1] - start[run][0])) < 2 * width and length > 4 * width)
    heading = np.arctan2(*(end[run] - start[run]).T[::-1])
    turned = np.abs(np.mod(np.diff(heading, prepend=heading[:1]) + math.pi, 2 * math.pi) - math.pi)
    side, radius = _side_and_radius(long[run], np.cumsum(turned))
    straight = side > STRAIGHT_SHARE * length
    return Outline(
        start_m=start,
        end_m=end,
        long_m=long,
        closed=closed,
        side_m=side,
        radius_m=math.inf if straight else max(radius, width / 2),
        inside_m2=abs(float(np.sum(start[run, 0] * end[run, 1] - start[run, 1] * end[run, 0]))) / 2,
    )


def _longest_run(start: Array, end: Array, long: Array, width: float) -> slice:
    """The longest part of a layer that is laid without a gap of more than half a bead."""
    gaps = np.flatnonzero(np.hypot(*(start[1:] - end[:-1]).T) > width / 2) + 1
    edges = np.concatenate([[0], gaps, [len(long)]])
    along = np.concatenate([[0.0], np.cumsum(long)])
    best = int(np.argmax(along[edges[1:]] - along[edges[:-1]]))
    return slice(int(edges[best]), int(edges[best + 1]))


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
        below = outlines[k - 1]
        points, apart = _sampled(outlines[k], float(wall[k]))
        lines = shapely.STRtree(shapely.linestrings(_thinned(below, float(wall[k - 1]))))
        (asked, _), away = lines.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
        away = away[np.argsort(asked)]
        bare = away > (contact[k - 1] + wall[k]) / 2
        out = float(np.quantile(away[~bare], LEAN_AT)) if not bare.all() else 0.0
        sign = 1.0 if outlines[k].inside_m2 >= below.inside_m2 else -1.0
        lean[k] = sign * min(math.degrees(math.atan(out / float(layers.thickness_m[k]))), STEEPEST_DEG)
        span[k] = _longest(bare) * apart
    return lean, span


def _thinned(outline: Outline, width: float) -> Array:
    """Stretches of bead of about a quarter of its width, (m, 2, 2): short beads in a row are taken as one."""
    part = np.floor(np.cumsum(outline.long_m) / (width / 4))
    gap = np.hypot(*(outline.start_m[1:] - outline.end_m[:-1]).T) > width / 2
    first = np.concatenate([[0], np.flatnonzero((np.diff(part) > 0) | gap) + 1])
    last = np.concatenate([first[1:] - 1, [len(part) - 1]])
    return np.stack([outline.start_m[first], outline.end_m[last]], axis=1)


def _sampled(outline: Outline, width: float) -> tuple[Array, float]:
    """Points along the beads of a layer, about a bead's width apart but at most some hundreds, and how far apart."""
    along = np.cumsum(outline.long_m)
    count = int(np.clip(along[-1] / max(width, 1e-9), 8, SAMPLED))
    at = (np.arange(count) + 0.5) / count * along[-1]
    bead = np.searchsorted(along, at)
    share = ((at - along[bead]) / outline.long_m[bead] + 1)[:, None]
    points = outline.start_m[bead] * (1 - share) + outline.end_m[bead] * share
    return np.asarray(points), float(along[-1] / count)


def _longest(bare: NDArray[np.bool_]) -> int:
    """How many points the longest run of bare ones holds."""
    if not bare.any():
        return 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], bare, [False]])))
    return int(np.max(edges[1::2] - edges[::2]))
