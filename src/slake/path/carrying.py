"""From a replayed toolpath to the stack that has to carry itself: width, contact, curve, lean, spans of each layer."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.tilting import STEEPEST_DEG

from .layers import Layers
from .replay import Replayed
from .standing import Stack
from .stands_outline import Outline, lies_on, outline_of

Array = NDArray[np.float64]
LEAST_CONTACT = 0.2
"""A pressed bead rests on a fifth of its width at the least: practice."""
MOST_BEADS_ACROSS = 50
FLAT = 0.05
FLOOR_FROM = 1.6
"""A lowest layer with this many times the usual length of bead is a floor: practice."""
ON_THE_BED = 1.2
"""What tops out lower than this many layers lies on the bed."""
STARTS = 2


def stack_from(replayed: Replayed, layers: Layers, beads_across: int = 1) -> Stack:
    """The stack of a toolpath, layer by layer or turn by turn.

    A bead is taken as pressed: round sides as deep as half its height, so it rests on its width less its height. Walls
    of several beads side by side are told by `beads_across`. The lowest layers that hold far more bead than those above
    are a floor and carry as the wall on them does. A spiral's first two turns, which rise from bed or floor, are as
    wide as the third, and its last turn, which does not rise all round, is left out. Of several runs in a layer the
    longest is looked at. Own geometry.
    """
    if not 1 <= beads_across <= MOST_BEADS_ACROSS:
        raise OutsideRange("beads across the wall", got=beads_across, low=1, high=MOST_BEADS_ACROSS, do="count them")
    layers = _without_flat_turns(layers)
    if len(layers.height_m) == 0 or not np.all(layers.volume_m3 > 0) or not np.all(layers.thickness_m > 0):
        raise DoesNotFit("a layer holds no paste or has no height: look at the first layer and where the bed lies")
    kept = slice(0, _whole_turns(layers))
    area, wall, contact = (_evened(values, layers)[kept] for values in _cut(layers, beads_across))
    rows = _rows(layers)[kept]
    outlines = [outline_of(replayed, row, float(width)) for row, width in zip(rows, wall, strict=True)]
    bed = float(np.max(replayed.end_m[rows[0], 2])) - float(layers.height_m[0])
    lean, span = _on_the_one_below(outlines, layers, (wall + contact) / 2, bed)
    shape = _as_the_wall_above(outlines)
    return Stack(
        thickness_m=layers.thickness_m[kept],
        done_s=np.maximum.accumulate(layers.end_s[kept]),
        wall_m=wall,
        contact_m=contact,
        area_m2=area,
        plan_m=np.array([one.side_m if one.closed and math.isinf(one.radius_m) else one.length_m for one in shape]),
        radius_m=np.array([one.radius_m for one in shape]),
        lean_deg=lean,
        span_m=span,
        closed=np.array([one.closed or layers.spiral for one in shape]),
    )


def _without_flat_turns(layers: Layers) -> Layers:
    """Turns of a spiral's floor or rim that do not rise belong to one layer with the turn that does."""
    rises = layers.thickness_m > FLAT * np.max(layers.thickness_m, initial=0.0)
    if not layers.spiral or np.all(rises):
        return layers
    number = np.maximum(np.cumsum(rises) - 1, 0)
    first = np.searchsorted(number, np.arange(number[-1] + 1))
    height = np.maximum.reduceat(layers.height_m, first)
    return replace(
        layers,
        layer=number[layers.layer],
        height_m=height,
        thickness_m=np.diff(height, prepend=0.0),
        length_m=np.add.reduceat(layers.length_m, first),
        volume_m3=np.add.reduceat(layers.volume_m3, first),
        start_s=np.minimum.reduceat(layers.start_s, first),
        end_s=np.maximum.reduceat(layers.end_s, first),
    )


def _whole_turns(layers: Layers) -> int:
    """Layers that are looked at: all, but not a turn at the top of a spiral that does not rise all round."""
    count = len(layers.thickness_m)
    rest = layers.spiral and count > STARTS + 1 and layers.thickness_m[-1] < 0.95 * np.median(layers.thickness_m)
    return count - 1 if rest else count


def _cut(layers: Layers, beads_across: int) -> tuple[Array, Array, Array]:
    """Area of the cut through the wall, its width and that of its contact, such that it holds what the path lays."""
    high, area = layers.thickness_m, layers.volume_m3 / layers.length_m * beads_across
    even = area / high
    contact = np.maximum(even - math.pi / 4 * high, LEAST_CONTACT * even)
    return area, contact + (even - contact) / (math.pi / 4), contact


def _evened(values: Array, layers: Layers) -> Array:
    """The first two turns of a spiral, and the floor under them, as the third."""
    third = int(layers.layer[int(np.argmax(layers.turn > 0))]) + STARTS
    if not layers.spiral or len(values) <= third:
        return values
    return np.concatenate([np.full(third, values[third]), values[third:]])


def _rows(layers: Layers) -> list[NDArray[np.int64]]:
    order = np.argsort(layers.layer, kind="stable")
    cuts = np.searchsorted(layers.layer[order], np.arange(1, len(layers.height_m)))
    return np.split(order, cuts)


def _as_the_wall_above(outlines: list[Outline]) -> list[Outline]:
    """The floor's layers take the shape of the first layer of wall; a solid object has no wall and stays as it is."""
    lengths = np.array([one.length_m for one in outlines])
    wall = np.flatnonzero(lengths <= FLOOR_FROM * np.median(lengths))
    first = int(wall[0]) if wall.size else 0
    return [outlines[first]] * first + outlines[first:]


def _on_the_one_below(outlines: list[Outline], layers: Layers, reach: Array, bed: float) -> tuple[Array, Array]:
    """Lean (deg) and longest stretch with nothing below (m) of each layer, (n,); of the first none."""
    lean, span = np.zeros(len(outlines)), np.zeros(len(outlines))
    on_bed = bed + ON_THE_BED * float(np.median(layers.thickness_m))
    for k in range(1, len(outlines)):
        lies = lies_on(outlines[k], outlines[k - 1], float(reach[k - 1] + reach[k]) / 2, on_bed)
        lean[k] = math.degrees(math.atan(lies.out_m / float(layers.thickness_m[k])))
        span[k] = lies.span_m
    return np.clip(lean, -STEEPEST_DEG, STEEPEST_DEG), span
