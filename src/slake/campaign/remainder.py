"""What is expected of looks before any reading: their covariance, and what of it like recipes share beyond the features
(the smooth remainder).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .layout import Layout, Look, Table, spreads, watered_each
from .reach import Reach, alike
from .scales import Scales

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Looks:
    """Some looks: (s, C) sd of the smooth remainder in every channel, and the row of the table each is taken of."""

    smooth: Array
    tab: Table
    rows: NDArray[np.intp]


def rows_of(looks: Sequence[Look]) -> NDArray[np.intp]:
    return np.array([look.row for look in looks], dtype=np.intp)


def expected_cov(layout: Layout, scale: Scales, looks: Sequence[Look], parts: tuple[Table, Array]) -> Array:
    """(s, s) covariance of some looks: weights, smooth remainder, and what each batch does by itself. `parts`: the
    table of their recipes and their rows on the weights.
    """
    tab, seen = parts
    smooth, own = spreads(layout, list(looks), scale)
    batch = np.array([look.batch for look in looks])
    cov = (seen * layout.sd**2) @ seen.T
    cov += among(layout, scale, Looks(smooth=smooth, tab=tab, rows=rows_of(looks)))
    water = watered_each(layout, tab, looks)
    cov += (own @ own.T + np.outer(water, water)) * (batch[:, None] == batch[None, :])
    return np.asarray(cov)


def shared(layout: Layout, scale: Scales, smooth: Array, tab: Table, others: Looks) -> Array:
    """(n, L, s) of L looks at every row of a table with some other looks."""
    found = np.zeros((len(tab.values), len(smooth), len(others.rows)))
    for mine, reach in _groups(layout, scale):
        near = likeness(tab, others.tab, reach)
        if len(mine) > 1:
            found += (smooth[:, mine] @ others.smooth[:, mine].T) * near[:, others.rows][:, None, :]
            continue
        at, there = np.flatnonzero(smooth[:, mine[0]]), np.flatnonzero(others.smooth[:, mine[0]])
        times = np.outer(smooth[at, mine[0]], others.smooth[there, mine[0]])
        found[:, at[:, None], there[None, :]] += times * near[:, others.rows[there]][:, None, :]
    return found


def among(layout: Layout, scale: Scales, looks: Looks) -> Array:
    """(s, s) of some looks with each other."""
    found = np.zeros((len(looks.rows), len(looks.rows)))
    for mine, reach in _groups(layout, scale):
        near = likeness(looks.tab, looks.tab, reach)[np.ix_(looks.rows, looks.rows)]
        found += (looks.smooth[:, mine] @ looks.smooth[:, mine].T) * near
    return found


def likeness(tab: Table, other: Table, reach: Reach | None) -> Array:
    """(n, m) how much of the remainder the recipes of two tables share."""
    if reach is None:
        return alike(tab.local, other.local)
    return reach.alike(tab.shares, other.shares) if reach.by_shares else reach.alike(tab.local, other.local)


def _groups(layout: Layout, scale: Scales) -> Iterator[tuple[NDArray[np.intp], Reach | None]]:
    """Columns of channels that share one reach: the usual one, then each channel with a reach of its own."""
    own = [channel.name in scale.reach for channel in layout.channels]
    if not all(own):
        yield np.flatnonzero(~np.array(own)), None
    for i in np.flatnonzero(own):
        yield np.array([i]), scale.reach[layout.channels[i].name]
