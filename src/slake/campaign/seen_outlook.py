"""What one looks at the recipe space with: the belief, what every line asks, and the recipe the rest is held at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .belief import Belief, Forecast, forecast
from .brief import Brief
from .chances import PASSES, all_hold, line_chances
from .choose import Aim, climbed
from .features import Space
from .layout import table
from .seen_axes import Axis, axes_of
from .told import Book

Array = NDArray[np.float64]
HALF_ALIKE = 1.0
"""Distance, in lengths over which recipes share their remainder, up to which a batch counts as being of one cut through
the recipe space: it shares at least six tenths of the remainder there.
"""


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """`tried`: (n, k) every batch so far. `best`: the likeliest recipe now, and `chance` that all lines hold there."""

    space: Space
    brief: Brief
    belief: Belief
    aim: Aim
    axes: tuple[Axis, ...]
    tried: Array
    best: Array
    chance: float

    @property
    def lines(self) -> tuple[tuple[str, str], ...]:
        """(name, words) of every line; last the one no brief needs to say, where a machine is known."""
        named = [(line.name, line.words) for line in self.brief.lines]
        return tuple([*named, (PASSES, PASSES)][: len(self.aim.looks)])

    def foreseen(self, rows: Array) -> Forecast:
        return forecast(self.belief, table(self.belief.layout, rows), self.aim.looks)


def outlook(book: Book, rng: np.random.Generator) -> Outlook:
    """Everything a map or a curve needs, worked out once."""
    belief, aim = book.belief(), book.aim()
    tried = np.array([told.fractions for told in book.batches]).reshape(len(book.batches), len(book.keys))
    near, _, _ = climbed(belief, aim, rng)
    view = forecast(belief, table(belief.layout, near), aim.looks)
    chances = all_hold(view.mean, view.cov, aim.windows)
    best = int(np.argmax(chances))
    return Outlook(
        space=book.space,
        brief=book.brief,
        belief=belief,
        aim=aim,
        axes=axes_of(book.space, np.concatenate([tried, near[best : best + 1]])),
        tried=tried,
        best=near[best],
        chance=float(chances[best]),
    )


def chances(seen: Outlook, rows: Array) -> tuple[Array, Array]:
    """(n, L) chance of each line by itself and (n,) of all together; nan where a recipe cannot be mixed."""
    fine = np.isfinite(rows).all(1)
    each = np.full((len(rows), len(seen.aim.looks)), np.nan)
    together = np.full(len(rows), np.nan)
    if fine.any():
        view = seen.foreseen(rows[fine])
        each[fine] = line_chances(view, seen.aim.windows)
        together[fine] = all_hold(view.mean, view.cov, seen.aim.windows)
    return each, together


def of_this_cut(seen: Outlook, rows: Array) -> NDArray[np.bool_]:
    """(n,) whether each batch is much like the recipe (n, k) of the cut at its own place: the same kinds and lots in
    about the same amounts.
    """
    fine = np.isfinite(rows).all(1)
    near = np.zeros(len(rows), dtype=np.bool_)
    if fine.any():
        here, there = (table(seen.belief.layout, one[fine]).local for one in (seen.tried, rows))
        near[fine] = ((here - there) ** 2).sum(1) <= HALF_ALIKE**2
    return near
