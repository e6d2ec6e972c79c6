"""A line through a whole batch, or its end: what is struck is kept and shown, but nothing is learnt from it."""

from __future__ import annotations

from slake.ground.problems import Problem
from slake.records.models import Batch, BatchStrike
from slake.records.struck import strike_of

from .entry import Entry, recorded, short_text


def strike_batch(entry: Entry, batch_id: int, reason: str, undone: bool = False) -> BatchStrike:
    """Leave a batch out of belief, proposals, maps and trends, with the reason; `undone` takes it in again.

    What went into it stays out of the stock: it was weighed out all the same.
    """
    with recorded(entry, "strike batch", {"batch": batch_id, "reason": reason, "undone": undone}) as log:
        if log.before is not None:
            return BatchStrike.objects.get(pk=log.before["strike"])
        batch = Batch.objects.get(pk=batch_id)
        if (strike_of(batch) is None) == undone:
            word = "is not struck" if undone else "is already struck"
            raise Problem(f"batch {batch.number} {word}: nothing more to do")
        line = BatchStrike.objects.create(
            batch=batch,
            undone=undone,
            reason=short_text(reason, "the reason", needed=True),
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"strike": line.pk}
        return line
