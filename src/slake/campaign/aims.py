"""What the next batch is chosen for: the lines of the brief, and what no brief needs to say once it may matter."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from .brief import Brief
from .chances import PASSES, UNCLOGGED, looks_for
from .choose import Aim
from .history import PUDDLES_BELOW_PA
from .layout import Look
from .outcomes import Ending
from .priors import CLOGGING, RAM_FORCE, YIELD_STRESS
from .told import Book, Told


def aimed(book: Book, machine: str, with_which: Mapping[str, str], *, known: bool) -> Aim:
    """`machine`: the name of the one used now, `known` where it was described; `with_which`: reading -> instrument."""
    lots = book.batches[-1].mixed.lots if book.batches else ()
    unsaid = _unsaid(book.brief, book.batches, known)
    looks, windows = looks_for(book.brief, machine, lots, with_which, unsaid)
    shape = Look(channel=YIELD_STRESS.name, row=0, batch=-1, machine=machine, lots=lots)
    push = Look(channel=RAM_FORCE.name, row=0, batch=-1, machine=machine, lots=lots, against_force=True)
    clear = [look for look in looks if look.channel == CLOGGING.name]
    sds = [line.reading_sd for line in book.brief.lines] + [1.0] * len(unsaid)
    ends = [(-np.inf, 0.0), (math.log(PUDDLES_BELOW_PA), np.inf), *((-np.inf, 0.0) for _ in clear)]
    return Aim(
        looks=looks,
        windows=windows,
        box=book.box,
        reading_sd=np.array(sds),
        printable=[push, shape, *clear],
        printable_windows=np.array(ends),
        unsaid=unsaid,
    )


def some_clogged(batches: Sequence[Told]) -> bool:
    """Whether clogging is a property to reckon with."""
    return _ended(batches, Ending.CLOGGED, Ending.WOULD_NOT_EXTRUDE)


def _unsaid(brief: Brief, batches: Sequence[Told], known_machine: bool) -> tuple[str, ...]:
    """That the ram pushes it, with a machine known or once it stalled; that it does not clog, once it did."""
    stalls = known_machine or _ended(batches, Ending.STALLED, Ending.WOULD_NOT_EXTRUDE)
    through = stalls and brief.line("ram_force_n") is None
    return (PASSES,) * through + (UNCLOGGED,) * some_clogged(batches)


def _ended(batches: Sequence[Told], *endings: Ending) -> bool:
    return any(told.mixed.outcome.has(*endings) for told in batches)
