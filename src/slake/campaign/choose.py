"""Which recipe to mix next: the one with the fewest batches still to be expected until all lines hold."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from .belief import Belief, forecast, sight
from .candidates import around, spread_out
from .chances import all_hold, line_chances, of_the_recipe
from .layout import Look, table
from .lookahead import Question, batches_to_expect
from .not_yet import times_left

Array = NDArray[np.float64]
Start = Callable[[Array, Array], Array]
"""(n, q) recipes and the likeliest one -> those of them a first batch may be."""
SPREAD, LOCAL, ROUNDS, KEPT = 800, 200, 3, 40
MANY_LOOKS, LEAST_SPREAD = 240, 150
"""Looks of evidence from which fewer recipes are gone through: each takes time by their square."""
CLOSER_ROUNDS, CLOSER, KEPT_CLOSER = 2, 100, 10
POOL_BEST, POOL_WIDE, TRIED_BEST, TRIED_WIDE, MOST_TRIED = 20, 70, 8, 22, 40

HOPE_WEIGHT = 0.02
"""Batches per unit of log chance: decides where the look ahead sees no difference."""


@dataclass(frozen=True, kw_only=True)
class Aim:
    """What to choose for: looks, windows and reading sd of the lines, the box of recipes, and the two looks that say
    whether a batch gives readings at all (through the nozzle; stiff enough to keep a shape) with their windows.
    `unsaid`: names of the last looks, of what no brief needs to say.
    """

    looks: list[Look]
    windows: Array
    box: tuple[Array, Array]
    reading_sd: Array
    printable: list[Look]
    printable_windows: Array
    unsaid: tuple[str, ...] = ()


def soft_score(belief: Belief, aim: Aim, rows: Array) -> Array:
    """Log of the product of line chances: has a slope even where the joint chance is nil."""
    view = of_the_recipe(forecast(belief, table(belief.layout, rows), aim.looks))
    return np.asarray(np.log(np.maximum(line_chances(view, aim.windows), 1e-12)).sum(1))


def readable(belief: Belief, aim: Aim, rows: Array) -> Array:
    """Chance that each recipe passes the nozzle and keeps a shape, so that it can be read at all."""
    view = forecast(belief, table(belief.layout, rows), aim.printable)
    sd = np.sqrt(np.diagonal(view.cov, axis1=1, axis2=2))
    low, high = aim.printable_windows[:, 0], aim.printable_windows[:, 1]
    return np.asarray((ndtr((high - view.mean) / sd) - ndtr((low - view.mean) / sd)).prod(1))


def climbed(belief: Belief, aim: Aim, rng: np.random.Generator) -> tuple[Array, Array, Array]:
    """Recipes near the best chance, likeliest first (among many spread out, then closer and closer), the spread-out
    ones, and their scores.
    """
    fewer = min(1.0, MANY_LOOKS / max(len(belief.sites), 1)) ** 1.5
    wide = spread_out(*aim.box, max(round(SPREAD * fewer), LEAST_SPREAD), rng)
    wide_score = soft_score(belief, aim, wide)
    rows, score = wide, wide_score
    for round_ in range(ROUNDS):
        best = rows[np.argsort(-score)[:KEPT]]
        rows = np.concatenate([best, around(best, aim.box, max(round(LOCAL * fewer), KEPT), 0.15 / 2.5**round_, rng)])
        score = soft_score(belief, aim, rows)
    return closer(belief, aim, rows, rng), wide, wide_score


def closer(belief: Belief, aim: Aim, rows: Array, rng: np.random.Generator) -> Array:
    """The recipes, and more near the best of them, closer and closer; by the chance of all lines together, likeliest
    first.
    """
    chance = together(belief, aim, rows)
    for round_ in range(CLOSER_ROUNDS):
        best = rows[np.argsort(-chance)[:KEPT_CLOSER]]
        more = around(best, aim.box, CLOSER, 0.04 / 2**round_, rng)
        rows, chance = np.concatenate([rows, more]), np.concatenate([chance, together(belief, aim, more)])
    return np.asarray(rows[np.argsort(-chance)])


def together(belief: Belief, aim: Aim, rows: Array, count: int = 64) -> Array:
    """(n,) chance that each recipe holds every line."""
    view = of_the_recipe(forecast(belief, table(belief.layout, rows), aim.looks))
    return all_hold(view.mean, view.cov, aim.windows, count)


def options(
    belief: Belief, aim: Aim, rng: np.random.Generator, start: Start | None = None
) -> tuple[Array, Array, Array]:
    """Recipes a choice looks at: the pool whose chances a batch may move, those that may be mixed next, and the one
    likeliest to hold now.
    """
    near, wide, score = climbed(belief, aim, rng)
    can_read = readable(belief, aim, wide)
    hopeful = _drawn(np.exp(0.4 * np.maximum(score, -40)), POOL_WIDE, rng)
    telling = _drawn(np.exp(0.1 * np.maximum(score, -20)) * can_read, TRIED_WIDE, rng)
    pool = np.concatenate([near[:POOL_BEST], wide[hopeful]])
    tried = np.concatenate([near[:TRIED_BEST], wide[hopeful[:TRIED_BEST]], wide[telling]])
    if start is not None:
        allowed = start(np.concatenate([near, wide[hopeful], wide[telling]]), near[0])
        tried = allowed[:MOST_TRIED] if len(allowed) else tried
    return pool, tried, np.asarray(near[0])


def next_recipe(
    belief: Belief,
    aim: Aim,
    rng: np.random.Generator,
    start: Start | None = None,
    failed: Collection[int] | None = None,
) -> tuple[Array, Array]:
    """The recipe to mix next, and the one likeliest to hold now. Deterministic for one state of `rng`.

    `start` keeps the first batches to one side of the likeliest recipe, where any recipe tried lies there. `failed`:
    the batches that did not hold every line; None for all.
    """
    pool, tried, likeliest = options(belief, aim, rng, start)
    question = Question(looks=aim.looks, windows=aim.windows, reading_sd=aim.reading_sd)
    sights = (sight(belief, pool, aim.looks), sight(belief, tried, aim.looks))
    left = times_left(belief, aim.looks, aim.windows, sights, failed)
    expected = batches_to_expect(belief, question, sights, readable(belief, aim, tried), left)
    hope = np.clip(soft_score(belief, aim, tried), -60, 0)
    return np.asarray(tried[int(np.argmin(expected - HOPE_WEIGHT * hope))]), likeliest


def _drawn(weight: Array, count: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Row numbers drawn without repeats, likelier with more weight."""
    weight = np.maximum(weight, 1e-12)
    picks = rng.choice(len(weight), size=min(count, len(weight)), replace=False, p=weight / weight.sum())
    return np.asarray(picks, dtype=np.int64)
