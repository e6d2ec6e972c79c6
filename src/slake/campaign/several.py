"""One to three recipes to mix now, chosen together.

One after the other: each next one is worth what it adds when those before it, and the batches still drying, have
failed (where one of them holds, the search is over), and what its readings teach beside theirs. So two batches are
neither the same bet twice nor the same lesson twice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit

from .belief import Belief, forecast, sight
from .choose import HOPE_WEIGHT, Aim, options, readable, soft_score
from .holding import any_holds
from .layout import table
from .lookahead import Question, batches_to_expect
from .not_yet import times_left
from .notebook import Notebook
from .pending import looking_ahead, pending
from .proposal import Proposal, described, failed, first_side, side
from .within import Today, dried_lines, in_stock, readable_in_time, waiting_words

Array = NDArray[np.float64]
APART = 0.1
"""Recipes nearer than this share of the bounds' span in every part count as the same one."""


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """One of the recipes to mix now. settles: line -> what is left of the uncertainty of this line, of this recipe,
    once it is read: 0.6 means four tenths narrower.
    """

    proposal: Proposal
    settles: dict[str, float]


@dataclass(frozen=True, kw_only=True)
class Several:
    """chosen: in the order to mix them. any_holds: chance that at least one of these batches holds every line.

    pending: numbers of the batches still drying that were counted on.
    """

    chosen: tuple[Chosen, ...]
    any_holds: float
    pending: tuple[int, ...]
    notes: tuple[str, ...]


def propose_several(book: Notebook, today: Today, seed: int = 1) -> Several:
    """The recipes to mix now. The same batches, day and seed give the same answer. Raises DoesNotFit where the stock
    does not make even one batch.
    """
    belief, aim = book.belief(), readable_in_time(book.aim(), today)
    picks, notes = _picked(book, belief, aim, today, np.random.default_rng([seed, len(book.batches)]))
    return Several(
        chosen=tuple(
            Chosen(proposal=described(book, belief, aim, row, phase), settles=settled(book, belief, aim, row))
            for row, phase in picks
        ),
        any_holds=any_holds(belief, aim, np.array([row for row, _ in picks])),
        pending=tuple(pending(book)),
        notes=tuple(filter(None, (waiting_words(book.brief, today), *notes))),
    )


Pick = tuple[Array, str]
"""A recipe, and on which side of the likeliest one it lies."""


def _picked(
    book: Notebook, belief: Belief, aim: Aim, today: Today, rng: np.random.Generator
) -> tuple[list[Pick], list[str]]:
    """As many as were asked for and the stock makes; and what runs out."""
    picks: list[Pick] = []
    for _ in range(today.count):
        try:
            now = replace(aim, box=in_stock(aim.box, book.keys, today))
        except DoesNotFit as problem:
            if not picks:
                raise
            return picks, [f"No batch {len(picks) + 1} today: {problem}."]
        rows = np.array([row for row, _ in picks]).reshape(len(picks), len(book.keys))
        recipe, phase = _next(book, belief, now, rows, rng)
        picks.append((recipe / recipe.sum(), phase))
        today = today.less(book.keys, picks[-1][0])
    return picks, []


def _next(book: Notebook, belief: Belief, aim: Aim, picks: Array, rng: np.random.Generator) -> tuple[Array, str]:
    """The recipe that adds most to those picked and pending, and on which side of the likeliest one it lies."""
    unread = dried_lines(book.brief) if aim.reading_sd.max() >= 1e3 else ()
    ahead = looking_ahead(book, belief, aim, picks, unread)
    known = ahead.belief() if len(picks) or pending(book) else belief
    pool, tried, likeliest = options(belief, aim, rng, first_side(ahead))
    taken = np.concatenate([picks, [book.batches[n].fractions for n in pending(book)]]) if pending(book) else picks
    tried = apart(tried, taken, aim.box)
    question = Question(looks=aim.looks, windows=aim.windows, reading_sd=aim.reading_sd)
    now = (sight(belief, pool, aim.looks), sight(belief, tried, aim.looks))
    then = now if known is belief else (sight(known, pool, aim.looks), sight(known, tried, aim.looks))
    sought = [*failed(book), *(len(book.batches) + n for n in range(len(picks)))]
    left = times_left(with_rows(book, belief, picks), aim.looks, aim.windows, now, sought)
    expected = batches_to_expect(known, question, then, readable(belief, aim, tried), left)
    hope = np.clip(soft_score(belief, aim, tried), -60, 0)
    best = np.asarray(tried[int(np.argmin(expected - HOPE_WEIGHT * hope))])
    return best, side(ahead, best, likeliest)


def with_rows(book: Notebook, belief: Belief, rows: Array) -> Belief:
    """The same belief with these recipes counted among the tried ones: what comes next is worth what it adds."""
    if not len(rows) or not belief.sites:
        return belief
    mixed = np.array([told.fractions for told in book.batches])
    return replace(belief, rows=table(belief.layout, np.concatenate([mixed, rows])))


def apart(rows: Array, taken: Array, box: tuple[Array, Array]) -> Array:
    """Those of the rows that are none of the taken ones over again; all of them where none is left."""
    if not len(taken):
        return rows
    span = np.maximum(box[1] - box[0], 1e-9)
    far = (np.abs(rows[:, None, :] - taken[None, :, :]) / span).max(2).min(1)
    return rows[far > APART] if (far > APART).any() else rows


def settled(book: Notebook, belief: Belief, aim: Aim, row: Array) -> dict[str, float]:
    """How much narrower each line of this recipe is known once the batch is read (what can be read in time)."""
    view = forecast(belief, table(belief.layout, row[None, :]), aim.looks)
    shared = view.cov[0] - view.own_var[0]
    told = view.cov[0] + np.diag(aim.reading_sd**2)
    lines = len(book.brief.lines)
    after = shared - shared[:, :lines] @ np.linalg.solve(told[:lines, :lines], shared[:lines])
    left = np.sqrt(np.maximum(np.diag(after), 0) / np.maximum(np.diag(shared), 1e-12))
    names = [line.name for line in book.brief.lines]
    return dict(zip(names, map(float, np.clip(left[:lines], 0, 1)), strict=True))
