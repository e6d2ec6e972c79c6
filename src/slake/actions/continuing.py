"""A reading taken over days is begun, kept as it is, and gone on with: the later reading carries all rows and counts
instead of the begun one, which stays readable.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slake.bench.declaration import BenchTest
from slake.bench.shelf import all_tests
from slake.ground.problems import Problem
from slake.records.models import Reading, Strike
from slake.records.values import raw_of

from .entry import Entry, recorded
from .reading import new_reading

CONTINUED = "gone on with in a later reading"
CONTINUES = "continues"
"""Where the typed part of a reading keeps the number of the one it goes on with."""
BEGUN_LOOKED_AT = 40

Typed = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Begun:
    """A reading that waits for something, and for what."""

    reading: Reading
    test: BenchTest
    still_to_do: str


def go_on_with(entry: Entry, reading_id: int, fields: Typed, rows: Sequence[Typed] = ()) -> Reading:
    """Keep what is known now as a reading of its own; the begun one is struck through with that as its reason."""
    inputs = {"reading": reading_id, "fields": dict(fields), "rows": [dict(r) for r in rows]}
    with recorded(entry, "go on with reading", inputs) as log:
        if log.before is not None:
            return Reading.objects.get(pk=log.before["reading"])
        begun = Reading.objects.select_related("strike").get(pk=reading_id)
        if not may_go_on(begun):
            raise Problem("this reading was gone on with or struck through: open the latest one and go on with that")
        about = ("lot", begun.lot_id) if begun.lot_id else ("batch", begun.batch_id)
        reading = new_reading(entry, begun.test, about, (fields, rows), {CONTINUES: begun.pk})
        if not hasattr(begun, "strike"):
            Strike.objects.create(
                reading=begun, reason=CONTINUED, at=entry.at, person_id=entry.person, entry=entry.part("begun")
            )
        log.answer = {"reading": reading.pk}
        return reading


def may_go_on(reading: Reading) -> bool:
    """Whether it is of a test taken over days and nothing that stands goes on with it yet."""
    test = all_tests().get(reading.test)
    if test is None or test.goes_on is None:
        return False
    if not hasattr(reading, "strike"):
        return True
    return reading.strike.reason == CONTINUED and later_of(reading) is None


def later_of(reading: Reading) -> Reading | None:
    """The reading that stands and goes on with this one."""
    return Reading.objects.filter(**{f"typed__{CONTINUES}": reading.pk}, strike__isnull=True).last()


def still_to_do(reading: Reading) -> str:
    """What it waits for; "" where it is complete. Raises Problem where it can no longer be read."""
    test = all_tests().get(reading.test)
    return "" if test is None or test.goes_on is None else test.still_to_do(raw_of(reading))


def begun(of_batch: int | None = None) -> list[Begun]:
    """The readings that wait for something, the latest first; those that can no longer be read are left out."""
    over_days = {name: test for name, test in all_tests().items() if test.goes_on is not None}
    rows = Reading.objects.filter(test__in=over_days, strike__isnull=True).select_related("batch", "lot")
    rows = rows if of_batch is None else rows.filter(batch=of_batch)
    found = []
    for row in rows.order_by("-at", "-id")[:BEGUN_LOOKED_AT]:
        try:
            wanted = still_to_do(row)
        except Problem:
            continue
        if wanted:
            found.append(Begun(reading=row, test=over_days[row.test], still_to_do=wanted))
    return found
