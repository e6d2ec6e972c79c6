"""A free note on a batch, jotted down at the bench. Notes are kept one after the other; none replaces another."""

from __future__ import annotations

from slake.records.models import Batch, Detail

from .entry import Entry, recorded, short_text

NOTE = "bench note"


def jot(entry: Entry, batch_id: int, text: str) -> Detail:
    """Words as typed, with their time and who typed them."""
    with recorded(entry, "note at the bench", {"batch": batch_id, "text": text}) as log:
        if log.before is not None:
            return Detail.objects.get(pk=log.before["detail"])
        row = Detail.objects.create(
            subject="batch",
            subject_id=Batch.objects.get(pk=batch_id).pk,
            field=NOTE,
            text=short_text(text, "the note", needed=True),
            at=entry.at,
            person_id=entry.person,
        )
        log.answer = {"detail": row.pk}
        return row


def jotted(batch: Batch) -> list[Detail]:
    """Newest first."""
    rows = Detail.objects.filter(subject="batch", subject_id=batch.pk, field=NOTE)
    return list(rows.select_related("person").order_by("-at", "-id"))
