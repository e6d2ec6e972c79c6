"""Batches that are still drying: their recipe is known, part of their readings is to come."""

from __future__ import annotations

from collections.abc import Collection
from copy import copy
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .belief import Belief, forecast
from .choose import Aim
from .history import Mixed, Seen
from .layout import table
from .notebook import Notebook
from .outcomes import Ending, Outcome
from .told import Told

Array = NDArray[np.float64]
NEVER_DRIES = (Ending.TOO_RUNNY, Ending.PUDDLED, Ending.STALLED, Ending.WOULD_NOT_EXTRUDE, Ending.CLOGGED)
READ_AT_MIN = 60.0
LATELY = 6
"""A batch with this many after it, of which nothing more was ever said, is not waited for any more."""
DRYING = Outcome(text="still drying", endings=(Ending.DRYING,))


def pending(book: Notebook) -> list[int]:
    """Numbers of the last batches that dry and of which some line of the brief is not read yet."""
    lines = {line.name for line in book.brief.lines}
    return [
        number
        for number, told in enumerate(book.batches)
        if number >= len(book.batches) - LATELY
        and told.mixed.outcome.has(Ending.DRYING)
        and not told.mixed.outcome.has(*NEVER_DRIES)
        and lines - {seen.gauge.name for seen in told.mixed.readings}
    ]


def looking_ahead(book: Notebook, belief: Belief, aim: Aim, more: Array, wet_only: Collection[str] = ()) -> Notebook:
    """The notebook as it will be: pending batches, and batches of the rows of `more`, with the readings expected of
    them. What is expected moves no middle; it only says what will be known by then.

    wet_only: lines of the brief that will not be read of `more` in time.
    """
    ahead = copy(book)
    waiting = pending(book)
    ahead.batches = [
        replace_told(told, _with_expected(book, belief, aim, told.mixed, ())) if number in waiting else told
        for number, told in enumerate(book.batches)
    ]
    look = aim.looks[0]
    for row in more:
        mixed = Mixed(fractions=tuple(map(float, row)), outcome=DRYING, lots=look.lots, machine=look.machine or "")
        mixed = _with_expected(book, belief, aim, mixed, wet_only)
        ahead.batches.append(Told(fractions=mixed.fractions, mixed=mixed, machine=book.machine))
    return ahead


def replace_told(told: Told, mixed: Mixed) -> Told:
    return Told(fractions=told.fractions, mixed=mixed, machine=told.machine)


def _with_expected(book: Notebook, belief: Belief, aim: Aim, mixed: Mixed, leave_out: Collection[str]) -> Mixed:
    """The batch with the middle of what is expected of every line that was not read of it."""
    row = np.array([mixed.fractions])
    middle = forecast(belief, table(belief.layout, row), aim.looks).mean[0]
    read = {seen.gauge.name for seen in mixed.readings} | set(leave_out)
    expected = []
    for line, latent in zip(book.brief.lines, middle[: len(book.brief.lines)], strict=True):
        if line.name not in read:
            value = min(max(line.gauge.value(float(latent)), line.gauge.low), line.gauge.high)
            expected.append(Seen(gauge=line.gauge, value=value, minutes=READ_AT_MIN))
    return replace(mixed, readings=(*mixed.readings, *expected))
