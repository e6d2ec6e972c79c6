"""What went into the bowl after a reading: it made another paste of it."""

from __future__ import annotations

from collections.abc import Sequence

from slake.records.models import Action, Batch, Reading, Weighing
from slake.records.values import standing


def gone_in_since(batch: Batch, reading: Reading) -> list[Weighing]:
    """Pours later than the reading, struck lines left out, as they were poured.

    A pour of the card has no time but when it was typed. Who types a paper sheet types it all at once: of the card
    only what was typed after the reading counts.
    """
    rows = [row for row in standing(batch, "weighings") if row.grams > 0 and row.at > reading.at]
    entries = [reading.entry, *(row.entry for row in rows)]
    typed = dict(Action.objects.filter(entry__in=entries).values_list("entry", "pk"))
    read = typed.get(reading.entry, 0)
    return [row for row in rows if _kneaded(row) or typed.get(row.entry, read + 1) > read]


def gone_in_words(rows: Sequence[Weighing]) -> str:
    """Grams by what it was, the last two named; water is water, held back or not."""
    grams: dict[str, float] = {}
    for row in rows:
        name = row.lot.name if row.lot else "water"
        grams[name] = grams.pop(name, 0.0) + row.grams
    return " and ".join(f"{of:.1f} g of {name}" for name, of in list(grams.items())[-2:])


def _kneaded(row: Weighing) -> bool:
    return row.amount is None or row.amount.held_back
