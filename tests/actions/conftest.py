"""A bench with mussel shell, guar and alginate, as a first day has it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from slake.actions.entry import Entry
from slake.actions.lots import take_lots

MORNING = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def entry() -> Callable[..., Entry]:
    """A new entry each call, `minutes` after nine in the morning."""
    numbers = count(1)
    return lambda minutes=0.0, id=None: Entry(id=id or f"e{next(numbers)}", at=MORNING + timedelta(minutes=minutes))


@pytest.fixture
def first_day(databases, entry):
    rows = [
        {"ingredient": "mussel shell", "sieve_um": "125", "dried": "yes", "grams": "2000"},
        {"ingredient": "guar", "dried": "yes"},
        {"ingredient": "alginate", "dried": "yes"},
    ]
    return take_lots(entry(), rows)
