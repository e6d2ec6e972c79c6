"""Layers of a replayed toolpath, or the turns of one continuous spiral, found from the heights of its beads alone."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import to_si

from .replay import Replayed

Array = NDArray[np.float64]
Places = NDArray[np.int64]
SAME_HEIGHT_M = to_si(10, "um")
"""Beads no farther apart in height than this lie in one layer."""
SPIRAL_SHARE = 0.5
"""A path is a spiral where its beads climb more than this share of its height while they are laid, and hardly fall."""
FALLS_SHARE = 0.02
NEARLY = 1e-6
WHOLE_TURN = 0.9
"""Of a turn: from here on it is a layer of its own, for a ring is closed by the bead's own width."""
STEEPEST = 0.5
"""Beads steeper than this are pillars or ramps, and make no spiral."""


@dataclass(frozen=True, kw_only=True)
class Layers:
    """Where each bead lies. layer: (n,), from 0 at the bed. turn: (n,), turns of the spiral up to its end.

    One entry per layer or turn from the bed up. height_m: its top; thickness_m: how much higher than the one below.
    Of a spiral, height and thickness are those at the end of the turn. width_m: volume over length and thickness.
    """

    spiral: bool
    layer: Places  # (n,)
    turn: Array  # (n,)
    height_m: Array  # (k,)
    thickness_m: Array  # (k,)
    length_m: Array  # (k,)
    volume_m3: Array  # (k,)
    start_s: Array  # (k,)
    end_s: Array  # (k,)

    @property
    def width_m(self) -> Array:
        """Mean width of the beads of each layer taken as rectangles; nan for a layer of no thickness, on the bed."""
        flat = self.length_m * np.where(self.thickness_m > 0, self.thickness_m, np.nan)
        return np.asarray(self.volume_m3 / flat)


def layers_of(replayed: Replayed, bed_m: float = 0.0) -> Layers:
    """Layers by height; on top of flat ones the turns of a continuous spiral. bed_m: height of the bed in the file."""
    top = np.maximum(replayed.start_m[:, 2], replayed.end_m[:, 2])
    begins = spiral_begins(replayed)
    layer, turn = np.zeros(len(top), dtype=np.int64), np.zeros(len(top))
    if begins > 0:
        layer[:begins] = _by_height(top[:begins])
    if begins < len(top):
        turn[begins:] = np.maximum.accumulate(turns_of(replayed.start_m[begins:], replayed.end_m[begins:]))
        under = int(layer[:begins].max()) + 1 if begins else 0
        layer[begins:] = under + np.floor(turn[begins:] + NEARLY).astype(np.int64)
    return _gathered(replayed, layer, turn, bed_m)


def spiral_begins(replayed: Replayed) -> int:
    """Place of the first bead of a continuous spiral, or the number of beads where there is none.

    A path holds a spiral where its beads gain most of its height gently as they are laid, and lose next to none.
    It begins after the last step up from one flat layer to the next in the lower half; less than a turn laid flat
    just before it climbs belongs to it, as no layer is that, and so does a bead that steps up to it.
    """
    rise = replayed.end_m[:, 2] - replayed.start_m[:, 2]
    climbs = (rise > 0) & (rise < STEEPEST * replayed.length_m)
    height, climbed = float(np.ptp(replayed.end_m[:, 2])), float(rise[climbs].sum())
    if climbed > SPIRAL_SHARE * height and -rise[rise < 0].sum() < FALLS_SHARE * climbed:
        half = int(np.searchsorted(np.cumsum(np.where(climbs, rise, 0.0)), climbed / 2))
        steps = np.flatnonzero(replayed.start_m[1 : half + 1, 2] - replayed.end_m[:half, 2] > SAME_HEIGHT_M) + 1
        after = int(steps[-1]) if steps.size else 0
        return _with_flat_foot(replayed, after + int(climbs[after:].argmax()))
    return len(rise)


def _with_flat_foot(replayed: Replayed, begins: int) -> int:
    """The first of the flat beads just before a spiral climbs, where they make less than a turn."""
    foot = replayed.start_m[begins, 2]
    apart = np.abs(replayed.start_m[:begins, 2] - foot) > SAME_HEIGHT_M
    apart |= np.abs(replayed.end_m[:begins, 2] - foot) > SAME_HEIGHT_M
    first = int(np.flatnonzero(apart)[-1]) + 1 if apart.any() else 0
    if first == begins:
        return begins
    flat = turns_of(replayed.start_m[first:begins], replayed.end_m[first:begins])
    stepped = first > 0 and abs(float(replayed.end_m[first - 1, 2] - foot)) <= SAME_HEIGHT_M
    return first - stepped if flat[-1] < WHOLE_TURN else begins


def turns_of(start_m: Array, end_m: Array) -> Array:
    """Turns of a path up to the end of each bead: its corners added up, over 2 pi. Holds for any simple outline.

    The corners of a closed curve that does not cross itself sum to one turn, whatever its shape and wherever it
    wanders. A corner of exactly 180 deg counts as a right turn. Own geometry.
    """
    away = end_m[:, :2] - start_m[:, :2]
    flat = np.hypot(*away.T) > 0
    heading = np.arctan2(away[flat, 1], away[flat, 0])
    corners = np.mod(np.diff(heading, prepend=heading[:1]) + math.pi, 2 * math.pi) - math.pi
    found = np.zeros(len(away))
    found[flat] = corners
    summed = np.cumsum(found)
    return np.asarray(np.abs(summed) / (2 * math.pi))


def _by_height(top: Array) -> Places:
    """Number of the layer of each height, the lowest 0; heights within 10 um of the next lower are one."""
    change = np.flatnonzero(np.abs(np.diff(top)) > 0) + 1
    starts = np.append(0, change)
    heights, which = np.unique(top[starts], return_inverse=True)
    number = np.cumsum(np.diff(heights, prepend=heights[:1]) > SAME_HEIGHT_M)
    return np.asarray(np.repeat(number[which], np.diff(np.append(starts, len(top)))), dtype=np.int64)


def _gathered(replayed: Replayed, layer: Places, turn: Array, bed_m: float) -> Layers:
    layer = _without_gaps(layer)
    count = int(layer.max()) + 1
    order = slice(None) if np.all(np.diff(layer) >= 0) else np.argsort(layer, kind="stable")
    sorted_layer = layer[order]
    starts = np.searchsorted(sorted_layer, np.arange(count))
    top = np.maximum(replayed.start_m[:, 2], replayed.end_m[:, 2])
    height = np.maximum.reduceat(top[order], starts)
    return Layers(
        spiral=bool(turn.any()),
        layer=layer,
        turn=turn,
        height_m=height - bed_m,
        thickness_m=np.diff(height, prepend=bed_m),
        length_m=_summed(layer, replayed.length_m),
        volume_m3=_summed(layer, replayed.volume_m3),
        start_s=np.minimum.reduceat(replayed.start_s[order], starts),
        end_s=np.maximum.reduceat(replayed.end_s[order], starts),
    )


def _without_gaps(layer: Places) -> Places:
    """The layers counted without gaps: a bead longer than a turn skips numbers."""
    number = np.cumsum(np.bincount(layer) > 0) - 1
    return np.asarray(number[layer], dtype=np.int64)


def _summed(layer: Places, values: Array) -> Array:
    return np.asarray(np.bincount(layer, weights=values), dtype=np.float64)
