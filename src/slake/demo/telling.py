"""Tells the story (story.toml) into the bench one is at, with the actions a person would use, ending on a given day.

The same day gives the same rows. Told twice it changes nothing: every entry has a fixed id.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from importlib.resources import files
from random import Random
from typing import Any

from slake.actions.buckets import look_at_bucket, take_bucket, weigh_bucket
from slake.actions.details import note_detail
from slake.actions.entry import Entry
from slake.actions.heating import log_heat
from slake.actions.instruments import check_instrument, describe_instrument
from slake.actions.lots import move_stock, take_lots
from slake.actions.mixing import begin_from_recipe, rescale_rest, start_clock, weigh
from slake.actions.notebook import take_in
from slake.actions.own_readings import declare_reading, strike_declaration
from slake.actions.past import Asked, keep_sheet, table_of
from slake.actions.reading import log_reading, say_outcome, strike
from slake.actions.setting_up import add_person, describe_machine, say_room, set_brief
from slake.campaign.past.guessing import guess_settled
from slake.jobs.asking import put_down
from slake.jobs.doing import work
from slake.records.models import Action, Batch, Instrument, Lot

SEED = 7
DAYS = 42
SCALE_G = 0.1
END = "demo.end"
Row = Mapping[str, Any]
Step = tuple[float, Callable[[], object]]


def load(now: datetime) -> None:
    """Tell everything, the last day being that of `now`. Meant for an empty bench: the sample's own."""
    if Action.objects.filter(entry=END).exists():
        return
    story = tomllib.loads(files("slake.demo").joinpath("story.toml").read_text(encoding="utf-8"))
    teller = Teller(now)
    teller.meet(story["people"])
    for _, tell in sorted(teller.steps(story), key=lambda step: step[0]):
        tell()
    _bring_old_table(teller.entry("demo.sheet", DAYS, 0), story["old_table"])
    last = Batch.objects.last()
    assert last is not None
    note_detail(teller.entry(END, DAYS, 0), "recipe", last.recipe_id, "proven_object", story["about"])


def _bring_old_table(entry: Entry, row: Row) -> None:
    """A table from before, in which one row cannot be read: nothing of it is taken in until somebody mends it."""
    sheet = keep_sheet(entry, row["name"], row["text"].encode())
    settled = guess_settled(table_of(sheet.pk))
    picks = {at: {"pick": str(_lot(name).pk), "moisture": ""} for at, name in row["lots"].items()}
    asked = Asked(settled=settled, picks=picks)
    job = Entry(id=f"{entry.id}.in", at=entry.at, person=entry.person)
    put_down(job, "take in sheet", {"sheet": sheet.pk, **asked.plain()})
    work(lambda: entry.at)


class Teller:
    """Turns rows of the story into actions. The scatter of its scale comes from a fixed seed."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        self.people: list[int] = []
        self.scatter = Random(SEED)

    def entry(self, entry_id: str, day: float, hour: float) -> Entry:
        """Who and when. Nobody writes anything after `now`."""
        midnight = self.now.replace(hour=0, minute=0, second=0, microsecond=0)
        at = midnight + timedelta(days=day - DAYS, hours=hour)
        person = self.people[int(day) % len(self.people)] if self.people else None
        return Entry(id=entry_id, at=min(at, self.now), person=person)

    def meet(self, names: list[str]) -> None:
        met = [add_person(self.entry(f"demo.person{n}", 0, 8.5), name) for n, name in enumerate(names)]
        self.people = [person.pk for person in met]

    def steps(self, story: Row) -> Iterator[Step]:
        """Everything that happens, each with its time in hours since day 0."""
        for kind, tell in (
            ("machine", _machine),
            ("instrument", _instrument),
            ("check", _check),
            ("brief", _brief),
            ("room", _room),
            ("lots", _deliver),
            ("heat", _heat),
            ("bucket", _bucket),
            ("lot_reading", _lot_reading),
            ("own_reading", _own_reading),
            ("detail", _detail),
            ("batch", self.mix),
        ):
            rows = story[kind] if isinstance(story[kind], list) else [story[kind]]
            for number, row in enumerate(rows, 1):
                entry = self.entry(f"demo.{kind}{number}", row["day"], row["hour"])
                yield _hours(row), _bound(tell, entry, row)
        for row in story["batch"]:
            yield from self.after_mixing(row)

    def mix(self, entry: Entry, row: Row) -> None:
        """A batch is written down as a line, or repeated from its weigh card; its clock starts where it has one."""
        if "line" in row:
            written = self.entry(entry.id, row["day"], row["hour"] + row.get("written_min", 0) / 60)
            take_in(written, row["line"], {name: lot.pk for name, lot in _lots().items()})
            _take_from_stock(entry, _batch(row["number"]))
        else:
            self.repeat(entry, row)
        if row.get("clock"):
            start_clock(Entry(id=f"{entry.id}.clock", at=entry.at, person=entry.person), _batch(row["number"]).pk)

    def repeat(self, entry: Entry, row: Row) -> None:
        """Weighed from the card in its order; one ingredient goes over, the rest is rescaled and topped up."""
        batch = begin_from_recipe(entry, _batch(row["repeats"]).recipe_id, {"dry_g": row["dry_g"]})
        over = row["overshoot"]
        for order in batch.amounts.values_list("order", flat=True):
            amount = batch.amounts.get(order=order)
            slip = over["grams"] if amount.lot and amount.lot.name == over["lot"] else -SCALE_G * self.scatter.random()
            pour = self.entry(f"{entry.id}.pour{order}", row["day"], row["hour"])
            weigh(pour, batch.pk, order, f"{amount.target_g + slip:.1f}")
        rescale_rest(self.entry(f"{entry.id}.rescale", row["day"], row["hour"]), batch.pk)
        for amount in batch.amounts.all():
            short = amount.target_g - sum(amount.weighings.values_list("grams", flat=True))
            if short > SCALE_G:
                top_up = self.entry(f"{entry.id}.topup{amount.order}", row["day"], row["hour"])
                weigh(top_up, batch.pk, amount.order, f"{short:.1f}")

    def after_mixing(self, row: Row) -> Iterator[Step]:
        """Readings at their paste age, lines struck through, and how it ended."""
        latest = _hours(row)
        for number, reading in enumerate(row.get("readings", ()), 1):
            hour = row["hour"] + reading["minutes"] / 60
            entry = self.entry(f"demo.batch{row['number']}.reading{number}", row["day"], hour)
            latest = 24 * row["day"] + hour
            yield latest, _bound(_read, entry, {**reading, "batch": row["number"]})
        if "outcome" in row:
            day, hour = divmod(latest + 0.5, 24)
            entry = self.entry(f"demo.batch{row['number']}.outcome", day, hour)
            yield latest + 0.5, _bound(_ended, entry, row)


def _bound(tell: Callable[[Entry, Row], None], entry: Entry, row: Row) -> Callable[[], None]:
    return lambda: tell(entry, row)


def _hours(row: Row) -> float:
    return 24 * row["day"] + row["hour"]


def _lots() -> dict[str, Lot]:
    return {lot.name: lot for lot in Lot.objects.all()}


def _lot(name: str) -> Lot:
    return Lot.objects.get(name=name)


def _batch(number: int) -> Batch:
    return Batch.objects.get(number=number)


def _machine(entry: Entry, row: Row) -> None:
    describe_machine(entry, {key: text for key, text in row.items() if isinstance(text, str)})


def _instrument(entry: Entry, row: Row) -> None:
    describe_instrument(entry, {key: text for key, text in row.items() if isinstance(text, str)})


def _check(entry: Entry, row: Row) -> None:
    of = Instrument.objects.filter(name=row["of"]).last()
    assert of is not None
    check_instrument(entry, of.pk, row["known"], row["shown"], row["unit"])


def _brief(entry: Entry, row: Row) -> None:
    set_brief(entry, {name: (low, high) for name, (low, high) in row["windows"].items()}, row["words"])


def _room(entry: Entry, row: Row) -> None:
    say_room(entry, {key: text for key, text in row.items() if isinstance(text, str)})


def _deliver(entry: Entry, row: Row) -> None:
    take_lots(entry, row["rows"])


def _heat(entry: Entry, row: Row) -> None:
    log_heat(entry, _lot(row["lot"]).pk, row["rows"])


def _own_reading(entry: Entry, row: Row) -> None:
    """Declared, and where the story says why, struck through a quarter of an hour later."""
    own = declare_reading(entry, {key: row[key] for key in ("title", "unit", "floor", "ceiling", "note")})
    if row["struck"]:
        later = Entry(id=f"{entry.id}.struck", at=entry.at + timedelta(minutes=15), person=entry.person)
        strike_declaration(later, own.pk, row["struck"])


def _bucket(entry: Entry, row: Row) -> None:
    """Looked at, decided on, and weighed so many minutes after it came."""
    bucket = look_at_bucket(entry, {key: text for key, text in row.items() if isinstance(text, str)})
    decided = Entry(id=f"{entry.id}.decided", at=entry.at, person=entry.person)
    take_bucket(decided, bucket.pk, row["decision"], row["reason"])
    for number, (step, minutes, grams) in enumerate(row["weighings"], 1):
        at = entry.at + timedelta(minutes=minutes)
        weighed = Entry(id=f"{entry.id}.weighed{number}", at=at, person=entry.person)
        weigh_bucket(weighed, bucket.pk, {"step": step, "grams": grams})


def _lot_reading(entry: Entry, row: Row) -> None:
    log_reading(entry, "oven_moisture", ("lot", _lot(row["lot"]).pk), row["fields"], row["rows"])


def _detail(entry: Entry, row: Row) -> None:
    note_detail(entry, row["subject"], _lot(row["of"]).pk, row["field"], row["text"])


def _take_from_stock(entry: Entry, batch: Batch) -> None:
    """Lines of a notebook leave the stock alone; here somebody kept count of it too."""
    for amount in batch.amounts.exclude(lot=None):
        out = Entry(id=f"{entry.id}.out{amount.order}", at=entry.at, person=entry.person)
        move_stock(out, amount.lot_id, f"{amount.target_g:g}", "weighed out")


def _read(entry: Entry, row: Row) -> None:
    kept = log_reading(entry, row["test"], ("batch", _batch(row["batch"]).pk), row["fields"], row.get("rows", ()))
    if "struck" in row:
        line = Entry(id=f"{entry.id}.struck", at=entry.at, person=entry.person)
        strike(line, "reading", kept.pk, row["struck"])


def _ended(entry: Entry, row: Row) -> None:
    say_outcome(entry, _batch(row["number"]).pk, row["outcome"])
