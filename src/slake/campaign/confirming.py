"""A lucky batch: all its readings lie in the window, yet scatter alone may have put them there. Then mix it again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .holding import Known, batch_chances, known, recipe_chances
from .notebook import Notebook
from .stopping import SURE_ENOUGH, can_be_mixed, sure, surest

Array = NDArray[np.float64]
WORTH_IT = 0.5
"""A repeat is proposed where its recipe is at least this share as sure as the best new one."""
CONFIRM_FROM = 0.5
"""So sure a recipe is mixed again (moved to the middle of what is believed) rather than looked past."""


@dataclass(frozen=True, kw_only=True)
class Repeat:
    """batch: the lucky one. recipe_chance: that its recipe truly meets every line (as measured); reads_again: that
    every reading of a repeat lies in the window; new_recipe_chance, new_reads: the same of the new recipe.
    """

    batch: int
    recipe_chance: float
    reads_again: float
    new_recipe_chance: float
    new_reads: float
    worth_it: bool


def lucky_batches(book: Notebook) -> list[int]:
    """Batches of which every line of the brief was read or said, and held."""
    lines = len(book.brief.lines)
    return [
        number for number in range(len(book.batches)) if all(verdict.held for verdict in book.explain(number)[:lines])
    ]


def repeat_of(what: Known, new: Array) -> Repeat | None:
    """The lucky batch to confirm beside the new recipe, where it is not sure enough already."""
    book, belief, aim = what.book, what.belief, what.aim
    lucky = [n for n in lucky_batches(book) if can_be_mixed(aim, np.array([book.batches[n].fractions]))[0]]
    if not lucky:
        return None
    rows = np.array([*(book.batches[n].fractions for n in lucky), new])
    recipe, read = recipe_chances(belief, aim, rows), batch_chances(belief, aim, rows, read=True)
    best = int(np.argmax(recipe[:-1]))
    if sure(float(recipe[best])) >= SURE_ENOUGH:
        return None
    return Repeat(
        batch=lucky[best],
        recipe_chance=sure(float(recipe[best])),
        reads_again=float(read[best]),
        new_recipe_chance=sure(float(recipe[-1])),
        new_reads=float(read[-1]),
        worth_it=bool(sure(float(recipe[best])) >= WORTH_IT * sure(float(recipe[-1]))),
    )


def next_to_mix(book: Notebook, seed: int = 1) -> Mapping[str, float]:
    """What a campaign mixes that wants to be told "good enough": the surest recipe once it is likely, else the proposal
    that promises the fewest batches.
    """
    if book.batches:
        recipe, stated = surest(known(book), seed)
        if sure(stated) >= CONFIRM_FROM:
            return dict(zip(book.keys, map(float, recipe / recipe.sum()), strict=True))
    return book.propose(seed).fractions
