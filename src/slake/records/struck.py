"""Which batches are struck: kept and shown, but left out of everything that is learnt or drawn."""

from __future__ import annotations

from django.db.models import QuerySet

from .models import Batch, BatchStrike


def struck_batches() -> frozenset[int]:
    """The rows of `Batch` whose last line stands, in one short query."""
    said = dict(BatchStrike.objects.order_by("id").values_list("batch", "undone"))
    return frozenset(batch for batch, undone in said.items() if not undone)


def standing_batches() -> QuerySet[Batch]:
    """All batches that are not struck."""
    struck = struck_batches()
    return Batch.objects.exclude(pk__in=struck) if struck else Batch.objects.all()


def strike_of(batch: Batch) -> BatchStrike | None:
    """The line through this batch that stands, or None."""
    last = BatchStrike.objects.filter(batch=batch).last()
    return None if last is None or last.undone else last
