"""The cheapest set of changes after which every wanted line holds: a linear programme, put right until it is true.

Along logarithms nearly everything here is nearly linear, so few rounds are enough. What it finds is only a proposal:
`smallest` puts it through the verdict itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.stats import qmc

from .change import Change
from .draws import draw
from .inputs import Question
from .lines import sides

Array = NDArray[np.float64]
FEW_DRAWS = 2048
STEP, TINY_PART, MOVED = 0.05, 1e-4, 1e-3
DEAR, NEAR = 1e3, 2e-3
WIDE, TAKEN, ONE_MORE = 256, 0.6, 1.4
"""One more part is dearer than more of those there are, so that it does not waver between the two."""


@dataclass(frozen=True, kw_only=True)
class Pace:
    """Rounds there are; after how many the slopes are taken afresh; how far one may reach, and how it settles.

    cushion: how much more is aimed at than is asked, as what bends comes out short.
    """

    rounds: int = 15
    afresh: int = 5
    reach: float = 20.0
    free: int = 5
    settling: float = 0.6
    cushion: float = 0.015


QUICK, STEADY, CAREFUL = Pace(rounds=7), Pace(), Pace(afresh=1, reach=4.0, free=0, settling=0.8, cushion=0.005)


@dataclass(frozen=True, kw_only=True)
class Reach:
    """How the lines answer to each change of a pool. margin: of each line now; slope: its rise per easy step."""

    question: Question
    pool: tuple[Change, ...]
    names: tuple[str, ...]
    margin: Array
    slope: Array

    @property
    def furthest(self) -> Array:
        return np.array([change.furthest(self.question) for change in self.pool])

    def without(self, keys: frozenset[str]) -> Reach:
        """The same with a smaller pool."""
        return self.only(frozenset(change.key for change in self.pool) - keys)

    def only(self, keys: frozenset[str]) -> Reach:
        kept = [i for i, change in enumerate(self.pool) if change.key in keys]
        return Reach(
            question=self.question,
            pool=tuple(self.pool[i] for i in kept),
            names=self.names,
            margin=self.margin,
            slope=self.slope[:, kept],
        )


def moved(question: Question, pool: Sequence[Change], path: Array) -> Question:
    """The question with every change of the pool made so far, in easy steps."""
    new = question
    for change, far in zip(pool, path, strict=True):
        if far > 0:
            new = change.put(new, change.at(question, float(far)))
    return new


def margins(question: Question) -> Mapping[str, float]:
    """Of each line the margin that is kept with the chance asked for: it holds where this is zero or more."""
    tried = bool(question.press.tried)
    got = draw(question, FEW_DRAWS * (2 if tried else 1))
    found = {}
    for side in sides(question, got):
        among = side.among if side.among.any() else got.weight
        even = not tried and side.rate is None
        found[side.name] = _kept(side.margins, None if even else among, 1 - question.plan.target)
    return found


def _kept(margin: Array, among: Array | None, share: float) -> float:
    """The margin below which this share of the draws is; `among`: their weights, where they are not even."""
    if among is None:
        at = min(int(share * len(margin)), len(margin) - 1)
        return float(np.partition(margin, at)[at])
    order = np.argsort(margin)
    upto = np.cumsum(among[order])
    return float(margin[order[min(int(np.searchsorted(upto, share * upto[-1], side="right")), len(order) - 1)]])


def reach(question: Question, changes: Sequence[Change]) -> Reach:
    """The pool of changes that this question has any room for, and what a little of each does."""
    pool = tuple(change for change in changes if change.furthest(question) > 0)
    now = margins(question)
    margin = np.array(list(now.values()))
    return Reach(question=question, pool=pool, names=tuple(now), margin=margin, slope=_slopes(question, pool, None))


def _margin_at(question: Question, pool: Sequence[Change], path: Array) -> Array:
    return np.array(list(margins(moved(question, pool, path)).values()))


def _slopes(question: Question, pool: Sequence[Change], path: Array | None) -> Array:
    """Rise of each margin along each path, by a small step on."""
    base = np.zeros(len(pool)) if path is None else path
    here = _margin_at(question, pool, base)
    found = np.zeros((len(here), len(pool)))
    for i, change in enumerate(pool):
        step = min(STEP, change.furthest(question))
        far = base.copy()
        far[i] += step if far[i] + step <= change.furthest(question) else -step
        found[:, i] = (_margin_at(question, pool, far) - here) / (far[i] - base[i])
    return found


def cheapest(at: Reach, wanted: frozenset[str], spare: float, thorough: bool = True) -> Array | None:
    """The path of least effort after which the wanted lines keep `spare`; None where none was found."""
    rows = [i for i, name in enumerate(at.names) if name in wanted and np.abs(at.slope[i]).max(initial=0.0) > MOVED]
    nowhere = np.zeros(len(at.pool))
    if not thorough:
        return _settled(at, rows, spare, nowhere, QUICK)
    found = _settled(at, rows, spare, nowhere, STEADY)
    found = _settled(at, rows, spare, nowhere, CAREFUL) if found is None else found
    return _settled(at, rows, spare, _far_out(at, rows), CAREFUL) if found is None else found


def _far_out(at: Reach, rows: list[int]) -> Array:
    """Of many ways set out far and wide the one that comes nearest to what is wanted."""
    points = qmc.Sobol(2 * len(at.pool), seed=1).random(WIDE)
    share, taken = points[:, : len(at.pool)], points[:, len(at.pool) :] < TAKEN
    ways = share ** np.resize(np.array([0.3, 1.0, 3.0]), WIDE)[:, None] * taken * at.furthest
    return max(ways, key=lambda way: float(_margin_at(at.question, at.pool, way)[rows].min()))


def _settled(at: Reach, rows: list[int], spare: float, start: Array, pace: Pace) -> Array | None:
    """Rounds of the programme, each put right by what came of the one before."""
    here, margin, slope, best = start, at.margin, at.slope, None
    if start.any():
        margin, slope = _margin_at(at.question, at.pool, start), _slopes(at.question, at.pool, start)
        best = start if np.all(margin[rows] >= spare) else None
    for turn in range(1, pace.rounds + 1):
        need = spare + pace.cushion - margin[rows] + slope[rows] @ here
        new = _programme(at, here, slope[rows], need, pace.reach * pace.settling ** max(turn - pace.free, 0))
        got, step = _margin_at(at.question, at.pool, new), new - here
        if np.all(got[rows] >= spare):
            best = new if best is None or new.sum() < best.sum() else best
            if np.all(np.abs(step) < NEAR + 0.02 * new):
                return best
        if turn % pace.afresh == 0:
            slope = _slopes(at.question, at.pool, new)
        elif step @ step > 0:
            slope = slope + np.outer(got - margin - slope @ step, step) / (step @ step)
        here, margin = new, got
    return best


def _programme(at: Reach, here: Array, slope: Array, need: Array, near: float) -> Array:
    """Least effort in the straight picture; what cannot be had is dear, not forbidden, so that rounds may go on."""
    lines, n = slope.shape
    most = at.furthest
    bounds = zip(np.maximum(here - near, 0.0), np.minimum(here + near, most), strict=True)
    found = linprog(
        np.concatenate([np.where(here > 0, 1.0, ONE_MORE) if here.any() else np.ones(n), np.full(lines, DEAR)]),
        A_ub=-np.hstack([slope, np.eye(lines)]),
        b_ub=-need,
        bounds=[*bounds, *[(0, None)] * lines],
    )
    path = here if found.x is None else np.asarray(found.x[:n])
    return np.where(path > TINY_PART * most, path, 0.0)
