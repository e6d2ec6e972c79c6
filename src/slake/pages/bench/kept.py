"""What is kept of a batch so far as lines, newest first: a few in sight, the others a tap away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Model

from slake.actions.jotting import jotted
from slake.records.models import Batch

from ..readings import Said

IN_SIGHT = 6
NEWEST = 30


@dataclass(frozen=True, kw_only=True)
class Line:
    """One thing kept. `said`: where it is a reading."""

    kind: str
    row: Model
    at: datetime
    said: Said | None = None


@dataclass(frozen=True, kw_only=True)
class Kept:
    """All lines, newest first. `more_elsewhere`: older ones are on the page of the batch."""

    rows: Sequence[Line]
    more_elsewhere: bool

    @property
    def in_sight(self) -> Sequence[Line]:
        return self.rows[:IN_SIGHT]

    @property
    def further(self) -> Sequence[Line]:
        return self.rows[IN_SIGHT:]

    @property
    def count(self) -> int:
        return len(self.rows)


def kept_lines(batch: Batch, readings: Sequence[Said]) -> Kept:
    """At most the newest of each kind."""
    of_kind = {
        "outcome": batch.outcomes.select_related("strike").order_by("-at", "-id")[:NEWEST],
        "taken": batch.taken.order_by("-at", "-id")[:NEWEST],
        "weighing": batch.weighings.select_related("strike", "lot", "amount").order_by("-at", "-id")[:NEWEST],
        "note": jotted(batch)[:NEWEST],
    }
    lines = [Line(kind=kind, row=row, at=row.at) for kind, rows in of_kind.items() for row in rows]
    lines += [Line(kind="reading", row=said.reading, at=said.reading.at, said=said) for said in readings]
    full = any(len(rows) == NEWEST for rows in (*of_kind.values(), readings))
    return Kept(rows=sorted(lines, key=lambda line: (line.at, line.row.pk), reverse=True), more_elsewhere=full)
