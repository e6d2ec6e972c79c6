"""Which bench a request, command or test is at: the person's own (`default`) or the invented sample workshop."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

OWN = "default"
SAMPLE = "sample"

current_bench: ContextVar[str] = ContextVar("current_bench", default=OWN)


@contextmanager
def using(alias: str) -> Iterator[None]:
    """Everything inside reads and writes the bench called `alias`; the two are never mixed."""
    token = current_bench.set(alias)
    try:
        yield
    finally:
        current_bench.reset(token)


class BenchRouter:
    """Django database router: every query goes to the bench one is at."""

    def db_for_read(self, model: type, **hints: object) -> str:
        return current_bench.get()

    def db_for_write(self, model: type, **hints: object) -> str:
        return current_bench.get()

    def allow_relation(self, one: object, other: object, **hints: object) -> bool:
        return one._state.db == other._state.db  # type: ignore[attr-defined]

    def allow_migrate(self, db: str, app_label: str, **hints: object) -> bool:
        return True
