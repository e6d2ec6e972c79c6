"""A cut through the recipe space over two of its axes: where each line of the brief holds, and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .seen_axes import Axis, moved
from .seen_near import ROOM, fence, near_what_was_tried
from .seen_outlook import Outlook, chances, of_this_cut

Array = NDArray[np.float64]
ACROSS, UP = 25, 17
LEAST_ROOM = 0.06
"""Of the middle of an axis: the least room beside what was tried."""


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Chances (up, across) of every line by itself and of all together; nan where no such recipe can be mixed.

    `tried`: which places lie between batches. `places`: (n, 2) of the batches; `near`: which of them are otherwise
    about as `held`; `off`: which lie too far away to be drawn.
    """

    across: Axis
    up: Axis
    xs: Array
    ys: Array
    each: Mapping[str, Array]
    together: Array
    tried: NDArray[np.bool_]
    places: Array
    near: NDArray[np.bool_]
    off: NDArray[np.bool_]
    held: Array


def cut(seen: Outlook, across: Axis, up: Axis, held: Array) -> Cut:
    """The map over two axes with everything else as in `held`."""
    axes = (across, up)
    places = np.column_stack([axis.values(seen.space, seen.tried) for axis in axes])
    centre = [float(axis.values(seen.space, held[None, :])[0]) for axis in axes]
    xs, outside = span_of(places[:, 0], centre[0], ACROSS)
    ys, above = span_of(places[:, 1], centre[1], UP)
    grid_x, grid_y = np.meshgrid(xs, ys)
    rows = moved(seen.space, held, {across: grid_x.ravel(), up: grid_y.ravel()})
    each, together = chances(seen, rows)
    shape = grid_x.shape
    off = outside | above
    inside = [(float(x), float(y)) for x, y in places[~off]]
    return Cut(
        across=across,
        up=up,
        xs=xs,
        ys=ys,
        each={name: each[:, i].reshape(shape) for i, (name, _) in enumerate(seen.lines)},
        together=together.reshape(shape),
        tried=np.array(near_what_was_tried(list(xs), list(ys), inside)),
        places=places,
        near=of_this_cut(seen, moved(seen.space, held, {across: places[:, 0], up: places[:, 1]})),
        off=off,
        held=np.array(centre),
    )


def span_of(values: Array, centre: float, count: int) -> tuple[Array, NDArray[np.bool_]]:
    """Even values over most of what was tried and over the centre, with room beside; and which values lie off them."""
    least = LEAST_ROOM * max(abs(centre), float(np.median(values)) if len(values) else 0.0, 1e-3)
    low, high = fence([*values, centre], least)
    off = (values < low) | (values > high)
    kept = np.append(values[~off], centre)
    room = max(ROOM * float(np.ptp(kept)), least)
    return np.linspace(max(float(kept.min()) - room, 0.0), float(kept.max()) + room, count), off
