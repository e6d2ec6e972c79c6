"""What is due next on this bench, in the order a person would do it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from slake.actions.bucket_told import item_of
from slake.actions.campaign import last_outcome
from slake.actions.continuing import Begun, begun
from slake.actions.keeping import Deadlines, deadlines
from slake.bench.declaration import BenchTest
from slake.bench.shelf import all_tests
from slake.records.models import Batch, Brief, Bucket, Lot, Machine
from slake.records.struck import standing_batches
from slake.records.values import windows_of

from .templatetags.bench import day, when

BATCHES_LOOKED_AT = 6
BUCKETS_LOOKED_AT = 4
BEGUN_SHOWN = 8
OF_THE_DRIED_PIECE = ("shrinkage_bar", "crack_grade", "mould_watch")
"""Read, or begun, after the print: what a day at the bench forgets."""
ASKED_WITHOUT_A_BRIEF = ("shrinkage_bar", "crack_grade")
PRINTED_AFTER = timedelta(hours=12)
REMEMBERED = timedelta(days=21)
"""Pieces of a batch mixed longer ago are no longer asked after."""


@dataclass(frozen=True, kw_only=True)
class Due:
    """One line: what to do, where (an address under the bench's root), and why now."""

    words: str
    where: str
    why: str = ""


def due() -> list[Due]:
    """Nothing on a bench without a lot: there the two doors are shown."""
    if not Lot.objects.exists():
        return _buckets()
    return [*_set_up(), *_buckets(), *_open_batches(), *_begun(), *_dried_pieces(), *_next()]


def _buckets() -> list[Due]:
    """Buckets nobody decided on yet, and those on their way to powder."""
    rows = Bucket.objects.filter(lot=None).exclude(decision="refused").order_by("-id")[:BUCKETS_LOOKED_AT]
    return [_bucket(row) for row in rows]


def _bucket(row: Bucket) -> Due:
    name, where = item_of(row).name, f"buckets/{row.pk}/"
    if row.decision == "waiting":
        return Due(words=f"Decide on bucket {row.pk}: {name}", where=where, why="the answer is worked out")
    return Due(words=f"Go on with bucket {row.pk}: {name}", where=where, why="weigh it, or make it a lot")


def _set_up() -> list[Due]:
    lines = []
    if not Machine.objects.exists():
        lines.append(Due(words="Say what your machine is", where="machine/", why="nozzle and barrel are enough"))
    if not Brief.objects.exists():
        lines.append(Due(words="Look at the brief", where="brief/", why="the usual windows are filled in"))
    return lines


def _open_batches() -> list[Due]:
    """The latest batches begun here that nobody said the end of."""
    return [_open(batch) for batch in _lately() if last_outcome(batch) is None]


def _lately() -> list[Batch]:
    """The latest batches begun here that are not struck."""
    return list(standing_batches().filter(from_notebook=False).order_by("-number")[:BATCHES_LOOKED_AT])


def _open(batch: Batch) -> Due:
    keeps = deadlines(batch)
    if keeps is None:
        return Due(words=f"Weigh batch {batch.number}", where=f"batches/{batch.number}/", why="no water yet")
    where = f"batches/{batch.number}/"
    return Due(words=f"Say how batch {batch.number} ended", where=where, why=keeping_words(keeps, timezone.now()))


def keeping_words(keeps: Deadlines, now: datetime) -> str:
    """Latest times, each said as past where it is: look and smell first all the same."""
    if now >= keeps.discard_by:
        return f"discard it: its latest time is past, cold or warm ({when(keeps.discard_by)})"
    cold = f"if cold and covered by {when(keeps.discard_by)}"
    if now >= keeps.discard_warm_by:
        return f"if it stood warm, discard it: past since {when(keeps.discard_warm_by)}; {cold} at the latest"
    past = " (past)" if now >= keeps.print_by else ""
    warm = f"discard by {when(keeps.discard_warm_by)} at the latest"
    return f"print by about {when(keeps.print_by)}{past}; {warm}, {cold}"


def _begun() -> list[Due]:
    """Readings taken over days that wait for something, each with when it was begun."""
    return [_to_go_on_with(one) for one in begun()[:BEGUN_SHOWN]]


def _to_go_on_with(one: Begun) -> Due:
    row = one.reading
    thing = row.lot.name if row.lot else f"batch {row.batch.number}"
    words = f"Go on with it: {one.test.title.lower()} of {thing}"
    return Due(words=words, where=f"readings/{row.pk}/go-on/", why=f"{one.still_to_do}; since {day(row.at)}")


def _dried_pieces() -> list[Due]:
    """What the brief asks of a dried piece, or of its keeping, and nobody read or began yet."""
    asked, now = _asked_of_pieces(), timezone.now()
    return [line for batch in _lately() if _is_printed(batch, now) for line in _unread_of(batch, asked)]


def _is_printed(batch: Batch, now: datetime) -> bool:
    """Printed by all we know, and not so long ago that its pieces are gone."""
    if batch.first_water_at is None or now - batch.first_water_at > REMEMBERED:
        return False
    return last_outcome(batch) is not None or now - batch.first_water_at > PRINTED_AFTER


def _asked_of_pieces() -> Mapping[str, BenchTest]:
    brief, here = windows_of(Brief.objects.last()), all_tests()
    tests = {name: here[name] for name in OF_THE_DRIED_PIECE if name in here}
    return {
        name: test
        for name, test in tests.items()
        if (test.notebook_name in brief if brief else name in ASKED_WITHOUT_A_BRIEF)
    }


def _unread_of(batch: Batch, tests: Mapping[str, BenchTest]) -> list[Due]:
    read = set(batch.readings.filter(strike__isnull=True).values_list("test", flat=True))
    where = f"read/{{}}/batch/{batch.pk}/"
    return [
        Due(
            words=f"{test.title} of batch {batch.number}",
            where=where.format(name),
            why=f"of a dry piece, or begin it; mixed {day(batch.first_water_at)}",
        )
        for name, test in tests.items()
        if name not in read
    ]


def _next() -> list[Due]:
    if Batch.objects.exists():
        return [
            Due(words="See the next batch in grams", where="next/", why="with its chance and the reason"),
            Due(words="See what was tried", where="map/", why="every batch over water and gum, and how it ended"),
        ]
    return [
        Due(words="Type in a few notebook lines", where="notebook/", why="also those that failed"),
        Due(words="Or begin without any: the first batch", where="next/", why="with wide ranges"),
    ]
