"""The bench as it was at one moment, to be read for as long as it takes while others go on writing."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connections

from slake.records.which import current_bench

NOWHERE = "file:"
"""SQLite's own private file without a name: it is gone when it is closed, also where the process is killed."""


@contextmanager
def bench_as_it_was() -> Iterator[str]:
    """A database alias that reads a copy of the bench one is at, made in one go by SQLite's backup call.

    Inside a transaction, which holds the file so that nobody else writes, that is the bench itself.
    """
    held = connections[current_bench.get()]
    if held.in_atomic_block:
        yield held.alias
        return
    alias = f"as-it-was-{secrets.token_hex(4)}"
    copy = held.copy(alias)
    copy.settings_dict["NAME"] = NOWHERE
    connections[alias] = copy
    try:
        held.ensure_connection()
        copy.ensure_connection()
        held.connection.backup(copy.connection)
        yield alias
    finally:
        copy.close()
        del connections[alias]
