"""Other batches that wait for something at the bench: a tap from this one to each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from slake.actions.campaign import last_outcome
from slake.actions.continuing import Begun, begun
from slake.actions.timing import timeline
from slake.records.models import Batch
from slake.records.struck import standing_batches

LOOKED_AT = 6
OPEN_FOR = timedelta(days=2)
"""Paste of a batch whose water went in longer ago is not read at the bench any more: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Other:
    """Another batch and what it waits for. `reading`: the begun reading to go on with, None for a timed step."""

    batch: Batch
    words: str
    due: datetime | None
    reading: int | None = None


def others_waiting(batch: Batch, now: datetime) -> Sequence[Other]:
    """Batches in the bowl now, each with its next step, then readings begun of other batches."""
    open_now = standing_batches().filter(from_notebook=False, first_water_at__gte=now - OPEN_FOR).exclude(pk=batch.pk)
    rows = [row for row in open_now.order_by("-number")[:LOOKED_AT] if last_outcome(row) is None]
    waiting = [other for row in rows if (other := _next(row)) is not None]
    of_batches = [row for row in begun() if row.reading.batch_id not in {None, batch.pk}]
    return [*waiting, *(_to_go_on_with(one) for one in of_batches[:LOOKED_AT])]


def _to_go_on_with(one: Begun) -> Other:
    words = f"{one.test.title}: {one.still_to_do}"
    return Other(batch=one.reading.batch, words=words, due=None, reading=one.reading.pk)


def _next(batch: Batch) -> Other | None:
    coming = next((line for line in timeline(batch) if line.next), None)
    return None if coming is None else Other(batch=batch, words=coming.step.words, due=coming.due)
