"""What is due next on this bench, in the order a person would do it."""

from __future__ import annotations

from dataclasses import dataclass

from slake.actions.bucket_told import item_of
from slake.actions.campaign import last_outcome
from slake.actions.keeping import deadlines
from slake.records.models import Batch, Brief, Bucket, Lot, Machine

from .templatetags.bench import when

BATCHES_LOOKED_AT = 6
BUCKETS_LOOKED_AT = 4


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
    return [*_set_up(), *_buckets(), *_open_batches(), *_next()]


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
    begun = Batch.objects.filter(from_notebook=False).order_by("-number")[:BATCHES_LOOKED_AT]
    return [_open(batch) for batch in begun if last_outcome(batch) is None]


def _open(batch: Batch) -> Due:
    keeps = deadlines(batch)
    if keeps is None:
        return Due(words=f"Weigh batch {batch.number}", where=f"batches/{batch.number}/", why="no water yet")
    discard = f"discard by {when(keeps.discard_warm_by)}, or if cold and covered by {when(keeps.discard_by)}"
    why = f"print by about {when(keeps.print_by)}; {discard}"
    return Due(words=f"Say how batch {batch.number} ended", where=f"batches/{batch.number}/", why=why)


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
