"""Water held back of a batch is kneaded in: it is the batch's own water, and the card asks for it no longer."""

from __future__ import annotations

from slake.ground.numbers import read_number
from slake.ground.problems import Problem
from slake.records.models import Amount, Batch, Weighing

from .bowl import IN
from .entry import Entry, recorded
from .sizes import held_left_g


def knead_held_back(entry: Entry, batch_id: int, grams: str) -> Weighing:
    """Grams of the water held back; what is more than was left of it is other water, kneaded in beside the card."""
    with recorded(entry, "knead in held back", {"batch": batch_id, "grams": grams}) as log:
        if log.before is not None:
            return Weighing.objects.get(pk=log.before["weighing"])
        batch = Batch.objects.get(pk=batch_id)
        held, left = batch.amounts.filter(held_back=True).first(), held_left_g(batch)
        if held is None or left <= 0:
            raise Problem(f"no water is held back of {batch} any more: say that it is other water")
        added = read_number(grams, "kneaded in", IN)
        row = _poured(entry, batch, held, min(added, round(left, 4)), grams)
        if added > left:
            more = Entry(id=entry.part("more"), at=entry.at, person=entry.person)
            _poured(more, batch, None, round(added - left, 4), grams)
        log.answer = {"weighing": row.pk}
        return row


def _poured(entry: Entry, batch: Batch, amount: Amount | None, grams: float, typed: str) -> Weighing:
    return Weighing.objects.create(
        batch=batch,
        amount=amount,
        grams=grams,
        typed=typed.strip()[:80],
        at=entry.at,
        person_id=entry.person,
        entry=entry.id,
    )
