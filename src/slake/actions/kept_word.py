"""How well the ranges kept their word: every batch foretold without itself, and as it was foretold before it was mixed.

Reads only. What takes long is worked out part by part; `remember` keeps it for the evidence it was made from.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from django.db.models import QuerySet

from slake import __version__
from slake.bench.comparing import Ends
from slake.campaign.gauges import fitting
from slake.campaign.history import Seen
from slake.campaign.seen_left_out import left_out, parts, said
from slake.campaign.seen_word import Foretold
from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.records.models import Batch, Job, ProposalGiven, Reading
from slake.records.values import test_of

from .campaign import READ_AT_MIN, Campaign
from .looking import MOST_KEPT
from .readings_told import STIFFNESS, as_shown, minutes_of, own_repeatability, rows_told, scatter_times

LOOK_BACK = "look back"
AT_ONCE, WHILE_WAITING = 15, 60
"""Batches up to which it is worked out before the page is shown (under a second, docs/measured.md), and while a waiting
page is shown; more is work with progress of its own.
"""
NEAR_LOG_AGE = 0.5
"""Stiffness read at another age than it was foretold for, by more than this log ratio, is not compared."""
MIXED_WITHIN = 0.02
"""How far a batch may lie from its proposal, each ingredient as a share of what was proposed (or of 1 % of paste)."""
Tell = Callable[[int, int, str], None]
Plain = dict[str, Any]
_kept: dict[str, tuple[Foretold, ...]] = {}


@dataclass(frozen=True, kw_only=True)
class AsGiven:
    """One reading beside the range its proposal gave before it was mixed. `as_proposed`: mixed as the proposal said."""

    one: Foretold
    number: int
    as_proposed: bool


def remembered(told: Campaign) -> tuple[Foretold, ...] | None:
    """The look back at this evidence where it was worked out already, here or by a worker."""
    found = _kept.get(told.seen)
    if found is None:
        job = _jobs(told).filter(state="done").last()
        found = None if job is None else remember(told.seen, [_from_plain(row) for row in job.answer["foretold"]])
    return found


def asked_of(told: Campaign) -> Plain:
    """What work is asked for: what it is worked out from, and by which slake."""
    return {"seen": told.seen, "version": __version__}


def in_hand(told: Campaign) -> Job | None:
    """The work that was asked for already and still waits or runs."""
    return _jobs(told).filter(state__in=("waiting", "running")).last()


def _jobs(told: Campaign) -> QuerySet[Job]:
    return Job.objects.filter(kind=LOOK_BACK, inputs=asked_of(told))


def remember(seen: str, found: Sequence[Foretold]) -> tuple[Foretold, ...]:
    while len(_kept) >= MOST_KEPT:
        _kept.pop(next(iter(_kept)))
    _kept[seen] = tuple(found)
    return _kept[seen]


def look_back(told: Campaign, tell_how_far: Tell = lambda done, total, words: None) -> tuple[Foretold, ...]:
    """Every reading of a line of the brief, foretold by all batches but its own (of many batches: but a twentieth)."""
    total, found = len(parts(len(told.batches))), []
    tell_how_far(0, total, "leaving one batch out after the other")
    for done, some in enumerate(left_out(told.book, _scatters(told)), start=1):
        found += some
        tell_how_far(done, total, "leaving one batch out after the other")
    return remember(told.seen, found)


def _scatters(told: Campaign) -> Callable[[Collection[int]], Mapping[str, float]]:
    """How well this bench repeats its readings, as the batches that are not left out say."""

    def of_all_but(numbers: Collection[int]) -> Mapping[str, float]:
        return scatter_times(own_repeatability(b for i, b in enumerate(told.batches) if i not in numbers))

    return of_all_but


def plain_of(found: Sequence[Foretold]) -> list[Plain]:
    """As plain data; an open end is None."""
    return [{**asdict(one), "low": _finite(one.low), "high": _finite(one.high)} for one in found]


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _from_plain(row: Plain) -> Foretold:
    ends = (-math.inf if row["low"] is None else row["low"], math.inf if row["high"] is None else row["high"])
    around = Range(**row["around"])
    return Foretold(batch=row["batch"], name=row["name"], around=around, low=ends[0], high=ends[1])


def as_given(told: Campaign) -> list[AsGiven]:
    """Readings of batches that were mixed from a proposal, beside what that proposal foretold, as it was given."""
    given = ProposalGiven.objects.in_bulk({batch.proposal_id for batch in told.batches if batch.proposal_id})
    found = []
    for number, batch in enumerate(told.batches):
        if batch.proposal_id is not None:
            found += _given(told, number, batch, given[batch.proposal_id])
    return found


def _given(told: Campaign, number: int, batch: Batch, proposal: ProposalGiven) -> list[AsGiven]:
    found, rows = [], rows_told(batch)
    for name, three in proposal.answer.get("predictions", {}).items():
        seen = _seen(name, rows.get(name, []), proposal.answer)
        if seen is not None:
            low, high = said(seen)
            around = Range(low=three[0], mid=three[1], high=three[2])
            one = Foretold(batch=number, name=name, around=around, low=low, high=high)
            found.append(AsGiven(one=one, number=batch.number, as_proposed=_as_proposed(told, number, proposal.answer)))
    return found


def _seen(name: str, rows: Sequence[Reading], answer: Plain) -> Seen | None:
    """The reading nearest to the age it was foretold for, as the instrument it was foretold for shows it."""
    foretold_at = math.log(answer.get("read_at_min", READ_AT_MIN))
    with_what = answer.get("read_with", {}).get(name, {})
    best: tuple[float, float, Ends | None] | None = None
    for row in rows:
        shown, minutes = as_shown(row, with_what), minutes_of(row)
        away = abs(math.log(max(minutes, 1.0)) - foretold_at) if minutes is not None else 0.0
        if shown is None or (away > NEAR_LOG_AGE and test_of(row).informs == STIFFNESS):
            continue
        if best is None or away <= best[0]:
            best = (away, *shown)
    if best is None:
        return None
    try:
        return Seen(gauge=fitting(name, [best[1]], with_what), value=best[1], ends=best[2])
    except Problem:
        return None


def _as_proposed(told: Campaign, number: int, answer: Plain) -> bool:
    asked = np.array([float(answer.get("fractions", {}).get(key, 0.0)) for key in told.book.keys])
    mixed = np.array(told.book.batches[number].fractions)
    return bool((np.abs(mixed - asked) <= MIXED_WITHIN * np.maximum(asked, 0.01)).all())
