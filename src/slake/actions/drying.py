"""What is known of a batch that is still drying: its words say nothing of the dried piece yet. Reads only.

Told by the record alone, not by the clock: words said, or the last reading taken, before anything could be dry.
"""

from __future__ import annotations

from collections.abc import Sequence

from slake.bench.shelf import all_tests
from slake.campaign.outcomes import Ending, read_outcome
from slake.campaign.pending import DRYING, LATELY
from slake.campaign.within import DRY_FROM_DAYS
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.records.models import Batch, Outcome, Reading
from slake.records.values import standing, standing_readings

DRY_FROM_S = to_si(24 * DRY_FROM_DAYS, "h")
OF_THE_DRY = {"linear_shrinkage", "crack_grade", "bend_strength_pa", "dry_after_s"}


def words_told(batch: Batch, said: Outcome | None, *, lately: bool) -> str | None:
    """The words as a notebook takes them: what was said wet is told as of a batch still drying. None: no words."""
    if said is not None:
        return f"{said.words}; {DRYING.text}" if _said_wet(batch, said) else said.words
    return DRYING.text if lately and batch.first_water_at is not None and not _read_dry(batch) else None


def _said_wet(batch: Batch, said: Outcome) -> bool:
    """Whether nothing can have been dry when the words were said, and nothing was read dry before."""
    if batch.first_water_at is None or not _is_well_so_far(said.words):
        return False
    early = (said.at - batch.first_water_at).total_seconds() < DRY_FROM_S
    return early and not any(row.at <= said.at for row in _read_dry(batch))


def _is_well_so_far(words: str) -> bool:
    """What fell or cracked while wet is told as it is: nobody waits for it to dry."""
    try:
        found = read_outcome(words)
    except Problem:
        return False
    return found.came_out_well and not found.has(Ending.CRACKED, Ending.FELL)


def _read_dry(batch: Batch) -> list[Reading]:
    tests = all_tests()
    return [row for row in standing_readings(batch) if row.test in tests and tests[row.test].informs in OF_THE_DRY]


def is_begun(batch: Batch) -> bool:
    """Whether anything went into the bowl: a card alone is only a plan."""
    return batch.first_water_at is not None or any(row.grams > 0 for row in standing(batch, "weighings"))


def begun_unread(batches: Sequence[Batch], told: Sequence[Batch]) -> tuple[Batch, ...]:
    """The last batches that were mixed and of which nothing is read or said: their recipe is known, no more."""
    known = {batch.pk for batch in told}
    return tuple(batch for batch in batches[-LATELY:] if batch.pk not in known and is_begun(batch))
