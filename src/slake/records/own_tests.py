"""Readings a lab declared as data, as bench tests. Rows to values, no arithmetic."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import OperationalError

from slake.bench.declaration import About, BenchTest
from slake.bench.own import OwnReading, declared

from .models import OwnTest


def own_reading_of(row: OwnTest) -> OwnReading:
    return OwnReading(
        key=row.key,
        title=row.title,
        unit=row.unit,
        about=About(row.about),
        floor=row.floor,
        ceiling=row.ceiling,
        informs=row.informs,
        scatter=row.scatter,
        note=row.note,
    )


def declared_here() -> Mapping[str, BenchTest]:
    """The readings declared on the bench one is at and not struck; none in a file not brought up to date yet."""
    try:
        rows = list(OwnTest.objects.filter(strike=None))
    except OperationalError:
        return {}
    return {row.key: declared(own_reading_of(row)) for row in rows}
