"""When to stop: a recipe that is good enough, and the window one may weigh within.

Said of the recipe itself (holding.py), only where a batch like it was mixed and broke no line. Stated chances of
recipes are too low on made-up wastes; `sure` sets them right as measured there (docs/belief.md).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from .belief import Belief
from .choose import Aim, climbed
from .holding import Known, known, recipe_chances, recipe_line_chances
from .notebook import Notebook

Array = NDArray[np.float64]
SURE_ENOUGH = 0.85
WITHIN = 0.75
"""At the worst corner of the window: a batch there is still likely to hold."""
SHIFT, SLOPE = 1.0, 1.2
SUREST = 0.97
"""No more than this was ever shown: beyond it there were too few recipes to say."""
LIKELY_ALONE = 0.8
"""Stated at least so high, one batch like it is enough; else two are asked for, of which one broke no line."""
LIKE = 0.12
"""A batch counts as one of this recipe within this share of the bounds' span in every part."""
WIDEST = 0.5
MOST_CORNERS = 64


@dataclass(frozen=True, kw_only=True)
class Window:
    """How far each ingredient may be off, as parts of its own amount: low <= 0 <= high. chance: at the worst corner."""

    together: Mapping[str, tuple[float, float]]
    alone: Mapping[str, tuple[float, float]]
    chance: float


@dataclass(frozen=True, kw_only=True)
class Enough:
    """A recipe to stop at. chance: that it truly meets every line, as measured; stated: as the belief has it.

    like_it: batches that were this recipe or near it and broke no line; whole: those of them that had every line read
    and held; broke: near ones that broke one.
    """

    fractions: Mapping[str, float]
    chance: float
    stated: float
    lines: Mapping[str, float]
    like_it: tuple[int, ...]
    whole: tuple[int, ...]
    broke: tuple[int, ...]
    window: Window


def sure(stated: float) -> float:
    """How often a recipe of this stated chance truly met every line, on made-up wastes."""
    return min(float(expit(SHIFT + SLOPE * logit(np.clip(stated, 1e-9, 1 - 1e-9)))), SUREST)


def stated_for(chance: float) -> float:
    """The stated chance that stands for so sure a one."""
    return float(expit((logit(chance) - SHIFT) / SLOPE))


def good_enough(book: Notebook, seed: int = 1) -> Enough | None:
    """The recipe to stop at, or None. Of recipes that are sure enough, one that was mixed before others."""
    return enough_of(known(book), seed) if book.batches else None


def enough_of(what: Known, seed: int) -> Enough | None:
    return enough_at(what, *surest(what, seed))


def enough_at(what: Known, recipe: Array, stated: float) -> Enough | None:
    """Whether one may stop at this recipe, of this stated chance."""
    like, _, broke = like_it(what, recipe)
    fewest = 1 if stated >= LIKELY_ALONE else 2
    if sure(stated) < SURE_ENOUGH or not like or len(like) + len(broke) < fewest:
        return None
    return described_enough(what, recipe, stated)


def surest(what: Known, seed: int) -> tuple[Array, float]:
    """The recipe surest to meet every line, and its stated chance: a mixed one where that is sure enough."""
    near, _, _ = climbed(what.belief, what.aim, np.random.default_rng([seed, len(what.book.batches), 5]))
    mixed = mixed_in_bounds(what)
    for rows in (mixed, near):
        if len(rows):
            chances = recipe_chances(what.belief, what.aim, rows)
            best = int(np.argmax(chances))
            if rows is near or sure(float(chances[best])) >= SURE_ENOUGH:
                return np.asarray(rows[best]), float(chances[best])
    raise AssertionError("climbing always finds recipes")


def mixed_in_bounds(what: Known) -> Array:
    """Recipes mixed so far that can still be mixed."""
    rows = np.array([told.fractions for told in what.book.batches])
    return np.asarray(rows[can_be_mixed(what.aim, rows)])


def can_be_mixed(aim: Aim, rows: Array) -> NDArray[np.bool_]:
    """Which recipes lie within the bounds there are now."""
    low, high = aim.box
    slack = 1e-6 + 0.01 * (high - low)
    return np.asarray(((rows >= low - slack) & (rows <= high + slack)).all(1))


def like_it(what: Known, recipe: Array) -> tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]:
    """Batches like this recipe: that broke no line, of these those with every line read, and those that broke one."""
    book, aim = what.book, what.aim
    span = np.maximum(aim.box[1] - aim.box[0], 1e-9)
    like, whole, broke = [], [], []
    for number, told in enumerate(book.batches):
        if (np.abs(np.array(told.fractions) - recipe) / span).max() > LIKE:
            continue
        held = [verdict.held for verdict in book.explain(number)[: len(book.brief.lines)]]
        if False in held:
            broke.append(number)
        elif True in held:
            like.append(number)
            whole += [number] if None not in held else []
    return tuple(like), tuple(whole), tuple(broke)


def described_enough(what: Known, recipe: Array, stated: float) -> Enough:
    like, whole, broke = like_it(what, recipe)
    each = recipe_line_chances(what.belief, what.aim, recipe[None, :])[0]
    return Enough(
        fractions=dict(zip(what.book.keys, map(float, recipe), strict=True)),
        chance=sure(stated),
        stated=stated,
        lines={line.name: sure(float(p)) for line, p in zip(what.book.brief.lines, each, strict=False)},
        like_it=like,
        whole=whole,
        broke=broke,
        window=window_around(what.book.keys, what.belief, what.aim, recipe),
    )


def window_around(keys: tuple[str, ...], belief: Belief, aim: Aim, recipe: Array) -> Window:
    """What may be off: each ingredient by itself, and all of them together."""
    level = stated_for(WITHIN)

    def holds(off: Array) -> bool:
        rows = recipe * (1 + off)
        return bool(recipe_chances(belief, aim, rows / rows.sum(1, keepdims=True), 64).min() >= level)

    used = [i for i, part in enumerate(recipe) if part > 0]
    alone = np.zeros((2, len(recipe)))
    for i in used:
        for side, way in enumerate((-1.0, 1.0)):
            alone[side, i] = way * _farthest(lambda far, i=i, way=way: holds(_one(len(recipe), i, way * far)), WIDEST)
    corners = _corners(alone[:, used])
    whole = np.zeros((len(corners), len(recipe)))
    whole[:, used] = corners
    share = _farthest(lambda part: holds(part * whole), 1.0)
    rows = recipe * (1 + share * whole)
    worst = float(recipe_chances(belief, aim, rows / rows.sum(1, keepdims=True), 64).min())

    def spans(times: float) -> dict[str, tuple[float, float]]:
        return {keys[i]: (float(times * alone[0, i]), float(times * alone[1, i])) for i in used}

    return Window(together=spans(share), alone=spans(1.0), chance=sure(worst))


def _one(count: int, i: int, far: float) -> Array:
    """One ingredient off by so much, and by half of it on the way."""
    off = np.zeros((2, count))
    off[:, i] = far / 2, far
    return off


def _corners(alone: Array) -> Array:
    """Corners of the box: all of them, or an even choice where there are too many."""
    signs = np.array(list(product((0, 1), repeat=alone.shape[1])))
    signs = signs[:: max(1, len(signs) // MOST_CORNERS)]
    return np.asarray(np.take_along_axis(alone, signs, axis=0))


def _farthest(holds: object, most: float) -> float:
    """How far one may go while it holds, by halving: 0 where it does not hold at the start."""
    assert callable(holds)
    near, far = 0.0, most
    if holds(far):
        return far
    for _ in range(9):
        middle = (near + far) / 2
        near, far = (middle, far) if holds(middle) else (near, middle)
    return near
