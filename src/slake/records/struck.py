"""Which batches are struck: kept and shown, but left out of everything that is learnt or drawn."""

from __future__ import annotations

from collections.abc import Iterable

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


def struck_why(of: Iterable[Batch]) -> dict[int, str]:
    """By row of `Batch`: why those of these that are struck are so."""
    rows = BatchStrike.objects.filter(batch__in=of).order_by("id").values_list("batch", "undone", "reason")
    return {batch: why for batch, (undone, why) in {b: (u, w) for b, u, w in rows}.items() if not undone}


def strike_of(batch: Batch) -> BatchStrike | None:
    """The line through this batch that stands, or None."""
    last = BatchStrike.objects.filter(batch=batch).last()
    return None if last is None or last.undone else last
