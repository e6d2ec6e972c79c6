"""A drying plan answered: the schedule for this piece, corrected by its weighings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from slake.paste.drying_run import Way
from slake.paste.drying_schedule import Schedule, Told, schedule
from slake.paste.drying_unknowns import Drying, draw_scores
from slake.paste.drying_weighed import Weighed, corrected

from .drying_asked import Asked

DRAWS, SEED = 160, 2026
"""Enough for the ends of an 80 % range to stand to some 5 %; the same question always gets the same draws."""


@dataclass(frozen=True, kw_only=True)
class Answered:
    """The schedule and what it was before any weighing, None where there was none."""

    asked: Asked
    schedule: Schedule
    before: Schedule | None


def answer(asked: Asked) -> Answered:
    """Work it out: some tenths of a second. Raises Problem for weighings that fit no drying of such a piece.

    While it was weighed it is taken to have been covered and turned as typed, else as the schedule said without
    weighings; what lies later than the last of them is worked out anew.
    """
    plain = _planned(asked.drying, asked.told)
    if asked.weighed is None:
        return Answered(asked=asked, schedule=plain, before=None)
    found = _corrected(asked.drying, _done(asked, plain), asked.weighed, plain.way)
    return Answered(asked=asked, schedule=found, before=plain)


def _done(asked: Asked, plain: Schedule) -> Told:
    """What was typed or lies behind by the last weighing."""
    assert asked.weighed is not None
    last_s = asked.weighed.at_s[-1]
    covered_s, freed_s = plain.way.covered_s, plain.way.freed_s
    return Told(
        covered_s=covered_s if asked.told.covered_s is not None or covered_s <= last_s else None,
        freed_s=freed_s if asked.told.freed_s is not None or freed_s <= last_s else None,
    )


@lru_cache(maxsize=32)
def _planned(drying: Drying, told: Told) -> Schedule:
    return schedule(drying, draw_scores(np.random.default_rng(SEED), DRAWS), told)


@lru_cache(maxsize=32)
def _corrected(drying: Drying, told: Told, weighed: Weighed, way: Way) -> Schedule:
    rng = np.random.default_rng(SEED)
    scores = corrected(drying, draw_scores(rng, DRAWS), way, weighed, rng)
    found = schedule(drying, scores, told)
    if told.covered_s is None and found.way.covered_s < weighed.at_s[-1]:
        found = schedule(drying, scores, Told(covered_s=weighed.at_s[-1], freed_s=told.freed_s))
    return found
