"""A batch begun for a new lot: what its first stiffness reading should show, and the water to add by what it shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slake.actions.gone_in import gone_in_since
from slake.actions.lot_grams import then_in_bowl
from slake.actions.reading_said import STIFFNESS
from slake.bench.shelf import all_tests
from slake.records.models import Batch, Reading

from ..next.lot_words import ThenRow, range_words, shown_at_start
from ..next.words import read_with


@dataclass(frozen=True, kw_only=True)
class StartDry:
    """shows: what the test should read at the start, with which instrument. read: whether it was read by now."""

    rows: Sequence[ThenRow]
    shows: str
    read_with: str
    read: bool


def start_dry(batch: Batch, readings: Sequence[Reading]) -> StartDry | None:
    """None for any other batch, and once more water went in after the first reading: then readings of the bowl itself
    say more than what was expected of it.
    """
    rows = then_in_bowl(batch)
    if batch.proposal is None or not rows:
        return None
    tests, answer = all_tests(), batch.proposal.answer
    read = [row for row in readings if row.test in tests and tests[row.test].informs == STIFFNESS]
    if any(gone_in_since(batch, row) for row in read):
        return None
    line = answer["lot_change"]["watered"]["line"]
    return StartDry(
        rows=range_words(answer, rows), shows=shown_at_start(answer), read_with=read_with(answer, line), read=bool(read)
    )
