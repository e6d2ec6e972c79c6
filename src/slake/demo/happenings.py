"""One thing that happens in the story, each told by the action a person would use."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from slake.actions.buckets import look_at_bucket, take_bucket, weigh_bucket
from slake.actions.details import note_detail
from slake.actions.entry import Entry
from slake.actions.heating import log_heat
from slake.actions.instruments import check_instrument, describe_instrument
from slake.actions.lots import move_stock, take_lots
from slake.actions.own_readings import declare_reading, strike_declaration
from slake.actions.reading import log_reading, say_outcome, strike
from slake.actions.setting_up import describe_machine, say_room, set_brief
from slake.records.models import Batch, Instrument, Lot

Row = Mapping[str, Any]


def lots_here() -> dict[str, Lot]:
    return {lot.name: lot for lot in Lot.objects.all()}


def lot_named(name: str) -> Lot:
    return Lot.objects.get(name=name)


def batch_numbered(number: int) -> Batch:
    return Batch.objects.get(number=number)


def set_up_machine(entry: Entry, row: Row) -> None:
    describe_machine(entry, {key: text for key, text in row.items() if isinstance(text, str)})


def set_up_instrument(entry: Entry, row: Row) -> None:
    describe_instrument(entry, {key: text for key, text in row.items() if isinstance(text, str)})


def check_one(entry: Entry, row: Row) -> None:
    of = Instrument.objects.filter(name=row["of"]).last()
    assert of is not None
    check_instrument(entry, of.pk, row["known"], row["shown"], row["unit"])


def ask(entry: Entry, row: Row) -> None:
    set_brief(entry, {name: (low, high) for name, (low, high) in row["windows"].items()}, row["words"])


def feel(entry: Entry, row: Row) -> None:
    say_room(entry, {key: text for key, text in row.items() if isinstance(text, str)})


def deliver(entry: Entry, row: Row) -> None:
    take_lots(entry, row["rows"])


def heat(entry: Entry, row: Row) -> None:
    log_heat(entry, lot_named(row["lot"]).pk, row["rows"])


def declare(entry: Entry, row: Row) -> None:
    """Declared, and where the story says why, struck through a quarter of an hour later."""
    own = declare_reading(entry, {key: row[key] for key in ("title", "unit", "floor", "ceiling", "note")})
    if row["struck"]:
        later = Entry(id=f"{entry.id}.struck", at=entry.at + timedelta(minutes=15), person=entry.person)
        strike_declaration(later, own.pk, row["struck"])


def receive(entry: Entry, row: Row) -> None:
    """Looked at, decided on, and weighed so many minutes after it came."""
    bucket = look_at_bucket(entry, {key: text for key, text in row.items() if isinstance(text, str)})
    decided = Entry(id=f"{entry.id}.decided", at=entry.at, person=entry.person)
    take_bucket(decided, bucket.pk, row["decision"], row["reason"])
    for number, (step, minutes, grams) in enumerate(row["weighings"], 1):
        at = entry.at + timedelta(minutes=minutes)
        weighed = Entry(id=f"{entry.id}.weighed{number}", at=at, person=entry.person)
        weigh_bucket(weighed, bucket.pk, {"step": step, "grams": grams})


def read_lot(entry: Entry, row: Row) -> None:
    lot = lot_named(row["lot"])
    log_reading(entry, row.get("test", "oven_moisture"), ("lot", lot.pk), row["fields"], row.get("rows", ()))
    if "used_g" in row:
        move_stock(Entry(id=f"{entry.id}.out", at=entry.at, person=entry.person), lot.pk, row["used_g"], "weighed out")


def note(entry: Entry, row: Row) -> None:
    note_detail(entry, row["subject"], lot_named(row["of"]).pk, row["field"], row["text"])


def take_from_stock(entry: Entry, batch: Batch) -> None:
    """Lines of a notebook leave the stock alone; here somebody kept count of it too."""
    for amount in batch.amounts.exclude(lot=None):
        out = Entry(id=f"{entry.id}.out{amount.order}", at=entry.at, person=entry.person)
        move_stock(out, amount.lot_id, f"{amount.target_g:g}", "weighed out")


def read_batch(entry: Entry, row: Row) -> None:
    kept = log_reading(
        entry, row["test"], ("batch", batch_numbered(row["batch"]).pk), row["fields"], row.get("rows", ())
    )
    if "struck" in row:
        line = Entry(id=f"{entry.id}.struck", at=entry.at, person=entry.person)
        strike(line, "reading", kept.pk, row["struck"])


def say_ended(entry: Entry, row: Row) -> None:
    say_outcome(entry, batch_numbered(row["number"]).pk, row["outcome"])
