"""Which recipe to mix next: the chance that all lines hold, with a look ahead at what the batch teaches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .belief import Belief, Forecast, forecast
from .candidates import around, spread_out
from .chances import all_hold, line_chances
from .layout import Look, table

Array = NDArray[np.float64]
SPREAD, LOCAL, ROUNDS, KEPT = 800, 200, 3, 40


@dataclass(frozen=True, kw_only=True)
class Aim:
    """What to choose for: looks and windows of the lines, and the box of recipes."""

    looks: list[Look]
    windows: Array
    box: tuple[Array, Array]


@dataclass(frozen=True, kw_only=True)
class Chosen:
    recipe: Array
    chance: float
    pool: Array
    pool_chances: Array


def chances_at(belief: Belief, aim: Aim, rows: Array) -> tuple[Array, Forecast]:
    view = forecast(belief, table(belief.layout, rows), aim.looks)
    return all_hold(view.mean, view.cov, aim.windows, 64), view


def soft_score(belief: Belief, aim: Aim, rows: Array) -> Array:
    """Log of the product of line chances: has a slope even where the joint chance is nil."""
    view = forecast(belief, table(belief.layout, rows), aim.looks)
    return np.asarray(np.log(np.maximum(line_chances(view, aim.windows), 1e-12)).sum(1))


def best_chance(belief: Belief, aim: Aim, rng: np.random.Generator) -> Chosen:
    """The recipe with the greatest chance among many spread out, then near the best, three times closer."""
    rows = spread_out(*aim.box, SPREAD, rng)
    score = soft_score(belief, aim, rows)
    for round_ in range(ROUNDS):
        best = rows[np.argsort(-score)[:KEPT]]
        near = around(best, aim.box, LOCAL, 0.15 / 2.5**round_, rng)
        rows = np.concatenate([best, near])
        score = soft_score(belief, aim, rows)
    chance, _ = chances_at(belief, aim, rows)
    top = int(np.argmax(chance + 1e-6 * score))
    return Chosen(recipe=rows[top], chance=float(chance[top]), pool=rows, pool_chances=chance)
