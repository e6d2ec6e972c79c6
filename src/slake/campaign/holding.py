"""Whether the recipe itself meets the brief: what a reading's scatter and one batch's own misfit blur is left out.

A line of a brief is about the paste one means to make. That one batch of it reads a little off is no fault of the
recipe, so "good enough" is said of this, while the chance of a batch (chances.py) counts its own misfit too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .belief import Belief, Forecast, forecast
from .chances import all_hold, draws, line_chances, of_the_recipe
from .choose import Aim
from .layout import spreads, table
from .notebook import Notebook
from .remainder import Looks, shared

Array = NDArray[np.float64]
DRAWS = 1024


@dataclass(frozen=True, kw_only=True)
class Known:
    """A notebook with what it says, worked out once."""

    book: Notebook
    belief: Belief
    aim: Aim


def known(book: Notebook) -> Known:
    return Known(book=book, belief=book.belief(), aim=book.aim())


def the_recipes(belief: Belief, aim: Aim, rows: Array) -> Forecast:
    """The lines at recipes as they are without what a batch of each does by itself."""
    return of_the_recipe(forecast(belief, table(belief.layout, rows), aim.looks))


def recipe_chances(belief: Belief, aim: Aim, rows: Array, count: int = 128) -> Array:
    """(n,) chance that each recipe itself meets every line."""
    view = the_recipes(belief, aim, rows)
    return all_hold(view.mean, view.cov, aim.windows, count)


def recipe_line_chances(belief: Belief, aim: Aim, rows: Array) -> Array:
    """(n, L) chance of each line by itself, of the recipe."""
    return line_chances(the_recipes(belief, aim, rows), aim.windows)


def batch_chances(belief: Belief, aim: Aim, rows: Array, *, read: bool = False) -> Array:
    """(n,) chance that one batch of each recipe holds every line; with `read`, that its readings all say so."""
    view = forecast(belief, table(belief.layout, rows), aim.looks)
    cov = view.cov + np.diag(aim.reading_sd**2) if read else view.cov
    return all_hold(view.mean, cov, aim.windows, 128)


def jointly(belief: Belief, aim: Aim, rows: Array, *, own: bool) -> tuple[Array, Array]:
    """Mean (n L,) and covariance (n L, n L) of all lines at several recipes together; `own`: of a batch of each."""
    tab = table(belief.layout, rows)
    view = forecast(belief, tab, aim.looks)
    n, lines = view.mean.shape
    looks, evidence = (part.reshape(n * lines, -1) for part in (view.looks, view.cross))
    smooth, _ = spreads(belief.layout, aim.looks, belief.scale)
    there = Looks(smooth=np.tile(smooth, (n, 1)), tab=tab, rows=np.repeat(np.arange(n), lines))
    cov = (looks * belief.layout.sd**2) @ looks.T
    cov += shared(belief.layout, belief.scale, smooth, tab, there).reshape(cov.shape)
    if belief.sites:
        cov -= evidence @ belief.fit.hold @ evidence.T
    for i in range(n if own else 0):
        at = slice(i * lines, (i + 1) * lines)
        cov[at, at] += view.own_var[i]
    return view.mean.ravel(), (cov + cov.T) / 2


def any_holds(belief: Belief, aim: Aim, rows: Array) -> float:
    """Chance that at least one batch of these recipes holds every line: they rise and fall together."""
    mean, cov = jointly(belief, aim, rows, own=True)
    size = len(mean)
    root = root_of(cov)
    lines = (mean + draws(DRAWS, size) @ root.T).reshape(DRAWS, len(rows), -1)
    inside = np.asarray(((lines >= aim.windows[:, 0]) & (lines <= aim.windows[:, 1])).all(2))
    return float(inside.any(1).mean())


def root_of(cov: Array) -> Array:
    """A root of a covariance that may be singular: equal recipes move as one."""
    size = len(cov)
    for jitter in (1e-9, 1e-7, 1e-5):
        try:
            return np.asarray(np.linalg.cholesky(cov + jitter * max(np.trace(cov) / size, 1e-9) * np.eye(size)))
        except np.linalg.LinAlgError:
            continue
    values, vectors = np.linalg.eigh(cov)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0)))
