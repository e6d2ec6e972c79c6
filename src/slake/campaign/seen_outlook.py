"""What one looks at the recipe space with: the belief, what every line asks, and the recipe the rest is held at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .belief import Belief, Forecast, forecast
from .brief import Brief
from .candidates import around
from .chances import all_hold, line_chances, of_the_recipe
from .choose import Aim, climbed, together
from .features import Space
from .layout import table
from .seen_axes import Axis, axes_of
from .told import Book

Array = NDArray[np.float64]
NEAR, AROUND = 1.0, 3.0
"""Distances of a batch from a cut through the recipe space, in lengths over which recipes share their remainder: up to
the first the place counts as tried, up to the second it stretches the drawing.
"""
ALIKE = 2.0
"""Standard deviations of what a batch and a reading do by themselves, up to which recipes are foretold alike."""
CLOSER, ROUNDS, KEPT = 150, 4, 12


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
        """(name, words) of every line; last what no brief needs to say, where it may matter."""
        named = [(line.name, line.words) for line in self.brief.lines]
        return (*named, *((name, name) for name in self.aim.unsaid))

    def foreseen(self, rows: Array) -> Forecast:
        return forecast(self.belief, table(self.belief.layout, rows), self.aim.looks)


def outlook(book: Book, rng: np.random.Generator) -> Outlook:
    """Everything a map or a curve needs, worked out once."""
    belief, aim = book.belief(), book.aim()
    tried = np.array([told.fractions for told in book.batches]).reshape(len(book.batches), len(book.keys))
    best, chance = _likeliest(belief, aim, tried, rng)
    return Outlook(
        space=book.space,
        brief=book.brief,
        belief=belief,
        aim=aim,
        axes=axes_of(book.space, np.concatenate([tried, best[None, :]])),
        tried=tried,
        best=best,
        chance=chance,
    )


def _likeliest(belief: Belief, aim: Aim, tried: Array, rng: np.random.Generator) -> tuple[Array, float]:
    """The recipe within bounds at which all lines hold likeliest: from many spread out and from what was mixed, closer
    and closer by the chance of all lines together.
    """
    low, high = aim.box
    within = tried[((tried >= low - 1e-9) & (tried <= high + 1e-9)).all(1)]
    rows = np.concatenate([climbed(belief, aim, rng)[0], within])
    for round_ in range(ROUNDS):
        chance = together(belief, aim, rows, 128)
        kept = rows[np.argsort(-chance)[:KEPT]]
        rows = np.concatenate([kept, around(kept, aim.box, CLOSER, 0.08 / 2**round_, rng)])
    chance = together(belief, aim, rows, 128)
    best = int(np.argmax(chance))
    return rows[best], float(chance[best])


def chances(seen: Outlook, rows: Array) -> tuple[Array, Array]:
    """(n, L) chance of each line of the recipe by itself and (n,) of all together; nan where it cannot be mixed."""
    fine = np.isfinite(rows).all(1)
    each = np.full((len(rows), len(seen.aim.looks)), np.nan)
    every = np.full(len(rows), np.nan)
    if fine.any():
        view = of_the_recipe(seen.foreseen(rows[fine]))
        each[fine] = line_chances(view, seen.aim.windows)
        every[fine] = all_hold(view.mean, view.cov, seen.aim.windows)
    return each, every


def apart(seen: Outlook, rows: Array) -> Array:
    """(n,) how far each batch lies from the recipe (n, k) of the cut at its own place: 0 for the same kinds in the same
    amounts; infinite where there is no such recipe.
    """
    fine = np.isfinite(rows).all(1)
    far = np.full(len(rows), np.inf)
    if fine.any():
        here, there = (table(seen.belief.layout, some[fine]).local for some in (seen.tried, rows))
        far[fine] = np.sqrt(((here - there) ** 2).sum(1))
    return far


def told_alike(seen: Outlook, rows: Array, far: Array) -> NDArray[np.bool_]:
    """(n,) whether each batch may stand for the recipe (n, k) of the cut at its own place: not far from it, and every
    line foretold alike for both.
    """
    near = far <= NEAR
    if near.any():
        mine, there = (seen.foreseen(some[near]) for some in (seen.tried, rows))
        alone = np.sqrt(np.diagonal(mine.own_var, axis1=1, axis2=2) + seen.aim.reading_sd**2)
        near[near] = (np.abs(mine.mean - there.mean) <= ALIKE * alone).all(1)
    return near
