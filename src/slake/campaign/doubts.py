"""What to look at twice before anything rests on it: said, never put right by itself."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import plain

from .belief import Belief, Odd, forecast
from .explain import Verdict
from .holding import Known
from .layout import Look, table
from .notebook import Notebook
from .outcomes import Ending
from .pending import replace_told

Array = NDArray[np.float64]
EQUAL, LEAST_PART = 0.01, 1e-3
"""Recipes of which no part differs by more than this share of itself are the same one."""
SOFT = (Ending.TOO_RUNNY, Ending.PUDDLED)
STIFF = (Ending.STALLED, Ending.WOULD_NOT_EXTRUDE)


def doubts(what: Known, names: Sequence[str]) -> list[str]:
    """Sentences: readings far off, equal recipes that ended differently, lines nobody read, a single batch."""
    book = what.book
    found = [_far_off(what, odd, names) for odd in what.belief.odd]
    found += [_unequal(pair, names) for pair in unequal_twins(book)]
    found += _not_read(book)
    if len(book.batches) == 1:
        found.append(
            f"There is one batch so far ({names[0]}): nothing is known yet of how well you repeat one, and what it "
            "does not tell rests on usual behaviour."
        )
    return [sentence for sentence in found if sentence]


def unequal_twins(book: Notebook) -> list[tuple[int, int]]:
    """Pairs of batches of one recipe of which one was too soft and the other too stiff, or a line held in one only."""
    rows = [np.array(told.fractions) for told in book.batches]
    verdicts = [book.explain(number) for number in range(len(rows))]
    return [
        (one, other)
        for one, other in combinations(range(len(rows)), 2)
        if _same(rows[one], rows[other]) and _differ(book, (one, other), verdicts)
    ]


def _same(one: Array, other: Array) -> bool:
    return bool((np.abs(one - other) <= EQUAL * np.maximum(one, LEAST_PART)).all())


def _differ(book: Notebook, pair: tuple[int, int], verdicts: Sequence[tuple[Verdict, ...]]) -> bool:
    first, second = (book.batches[number].mixed.outcome for number in pair)
    if (first.has(*SOFT) and second.has(*STIFF)) or (first.has(*STIFF) and second.has(*SOFT)):
        return True
    lines = zip(*(verdicts[number] for number in pair), strict=True)
    return any({one.held, other.held} == {True, False} for one, other in lines)


def _unequal(pair: tuple[int, int], names: Sequence[str]) -> str:
    one, other = (names[number] for number in pair)
    return (
        f"{one.capitalize()} and {other} are one recipe and ended differently: both count, and what lies between them "
        "is taken as what one batch does by itself; look whether a weighing, a lot or the water differed."
    )


def _not_read(book: Notebook) -> list[str]:
    """Lines of the brief that were never read: nothing but expectation stands behind their chances."""
    if not book.batches:
        return []
    read = {seen.gauge.name for told in book.batches for seen in told.mixed.readings}
    told_of = {
        verdict.name for n in range(len(book.batches)) for verdict in book.explain(n) if verdict.held is not None
    }
    return [
        f"Nobody has read {line.gauge.words} yet: its chance rests on usual behaviour and on what goes with it."
        for line in book.brief.lines
        if line.name not in read | told_of
    ]


def _far_off(what: Known, odd: Odd, names: Sequence[str]) -> str:
    """A reading far from what all others say: kept, and how far it still pulls."""
    read = [seen for seen in what.book.batches[odd.batch].mixed.readings if seen.gauge.name == odd.source]
    if not read:
        return ""
    gauge = read[-1].gauge
    now, without = (gauge.value(middle) for middle in pulled(what.book, what.belief, odd))
    return (
        f"{gauge.words.capitalize()} of {names[odd.batch]}, {plain(read[-1].value)} {gauge.unit}, lies "
        f"{abs(odd.z):.0f} standard deviations from what everything else says: it is kept and counts far less; with it "
        f"this recipe is expected at {plain(float(f'{now:.3g}'))} {gauge.unit}, without it at "
        f"{plain(float(f'{without:.3g}'))} {gauge.unit}. If it was a slip, strike it through."
    )


def pulled(book: Notebook, belief: Belief, odd: Odd) -> tuple[float, float]:
    """The latent middle of the property of an odd reading at its own recipe: with the reading, and without it."""
    less = copy(book)
    told = book.batches[odd.batch]
    kept = tuple(seen for seen in told.mixed.readings if seen.gauge.name != odd.source)
    less.batches = [
        replace_told(one, replace(one.mixed, readings=kept)) if number == odd.batch else one
        for number, one in enumerate(book.batches)
    ]
    channel = next(seen.gauge.channel.name for seen in told.mixed.readings if seen.gauge.name == odd.source)
    return _middle(belief, told.fractions, channel, told.mixed.machine), _middle(
        less.belief(), told.fractions, channel, told.mixed.machine
    )


def _middle(belief: Belief, fractions: Sequence[float], channel: str, machine: str) -> float:
    look = Look(channel=channel, row=0, batch=-1, machine=machine)
    return float(forecast(belief, table(belief.layout, np.array([fractions])), [look]).mean[0, 0])
