"""A cut through the recipe space over two of its axes: where each line of the brief holds, and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .seen_axes import Axis, moved
from .seen_near import ROOM, fence, near_what_was_tried
from .seen_outlook import AROUND, NEAR, Outlook, apart, chances, told_alike

Array = NDArray[np.float64]
ACROSS, UP = 25, 17
LEAST_ROOM = 0.06
"""Of the middle of an axis: the least room beside what was tried."""


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Chances (up, across) of every line by itself and of all together; nan where no such recipe can be mixed.

    `places`: (n, 2) of the batches; `alike`: which of them are foretold as the recipe of the map at their place, `off`:
    which lie too far away to be drawn. `tried`: which places of the grid lie between batches not far from this map.
    """

    across: Axis
    up: Axis
    xs: Array
    ys: Array
    each: Mapping[str, Array]
    together: Array
    tried: NDArray[np.bool_]
    places: Array
    alike: NDArray[np.bool_]
    off: NDArray[np.bool_]
    held: Array


def cut(seen: Outlook, across: Axis, up: Axis, held: Array) -> Cut:
    """The map over two axes with everything else as in `held`."""
    places = np.column_stack([axis.values(seen.space, seen.tried) for axis in (across, up)])
    centre = np.array([float(axis.values(seen.space, held[None, :])[0]) for axis in (across, up)])
    beside = moved(seen.space, held, {across: places[:, 0], up: places[:, 1]})
    far = apart(seen, beside)
    xs = span_of(places[:, 0][far <= AROUND], float(centre[0]), ACROSS)
    ys = span_of(places[:, 1][far <= AROUND], float(centre[1]), UP)
    grid = np.meshgrid(xs, ys)
    each, together = chances(seen, moved(seen.space, held, {across: grid[0].ravel(), up: grid[1].ravel()}))
    off = beyond(places[:, 0], xs) | beyond(places[:, 1], ys)
    alike = told_alike(seen, beside, far)
    inside = [(float(x), float(y)) for x, y in places[(far <= NEAR) & ~off]]
    return Cut(
        across=across,
        up=up,
        xs=xs,
        ys=ys,
        each={name: each[:, i].reshape(UP, ACROSS) for i, (name, _) in enumerate(seen.lines)},
        together=together.reshape(UP, ACROSS),
        tried=np.array(near_what_was_tried(list(xs), list(ys), inside)),
        places=places,
        alike=alike,
        off=off,
        held=centre,
    )


def span_of(values: Array, centre: float, count: int) -> Array:
    """Even values over most of these and over the centre, with room beside."""
    least = LEAST_ROOM * max(abs(centre), float(np.median(values)) if len(values) else 0.0, 1e-3)
    low, high = fence([*values, centre], least)
    kept = np.append(values[(values >= low) & (values <= high)], centre)
    room = max(ROOM * float(np.ptp(kept)), least)
    return np.linspace(max(float(kept.min()) - room, 0.0), float(kept.max()) + room, count)


def beyond(values: Array, span: Array) -> NDArray[np.bool_]:
    """Which values lie outside of a span."""
    return np.asarray((values < span[0]) | (values > span[-1]))
