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

from slake.actions.changing import begin_changed
from slake.actions.details import note_detail
from slake.actions.entry import Entry
from slake.actions.mixing import begin_from_recipe, rescale_rest, start_clock, weigh
from slake.actions.notebook import take_in
from slake.actions.past import Asked, keep_sheet, table_of
from slake.actions.setting_up import add_person
from slake.campaign.past.guessing import guess_settled
from slake.jobs.asking import put_down
from slake.jobs.doing import work
from slake.paste.recipe import Recipe
from slake.records.models import Action, Batch

from .happenings import (
    ask,
    batch_numbered,
    check_one,
    declare,
    deliver,
    feel,
    heat,
    lot_named,
    lots_here,
    note,
    read_batch,
    read_lot,
    receive,
    say_ended,
    set_up_instrument,
    set_up_machine,
    take_from_stock,
)

SEED = 7
DAYS = 53
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
    picks = {at: {"pick": str(lot_named(name).pk), "moisture": ""} for at, name in row["lots"].items()}
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
            ("machine", set_up_machine),
            ("instrument", set_up_instrument),
            ("check", check_one),
            ("brief", ask),
            ("room", feel),
            ("lots", deliver),
            ("heat", heat),
            ("bucket", receive),
            ("lot_reading", read_lot),
            ("own_reading", declare),
            ("detail", note),
            ("batch", self.mix),
        ):
            rows = story[kind] if isinstance(story[kind], list) else [story[kind]]
            for number, row in enumerate(rows, 1):
                entry = self.entry(f"demo.{kind}{number}", row["day"], row["hour"])
                yield _hours(row), _bound(tell, entry, row)
        for row in story["batch"]:
            yield from self.after_mixing(row)

    def mix(self, entry: Entry, row: Row) -> None:
        """A batch is written down as a line, repeated from its weigh card, or changed from one that cracked; its clock
        starts where it has one.
        """
        if "line" in row:
            written = self.entry(entry.id, row["day"], row["hour"] + row.get("written_min", 0) / 60)
            take_in(written, row["line"], {name: lot.pk for name, lot in lots_here().items()})
            take_from_stock(entry, batch_numbered(row["number"]))
        elif "changes" in row:
            self.change(entry, row)
        else:
            self.repeat(entry, row)
        if row.get("clock"):
            clock = Entry(id=f"{entry.id}.clock", at=entry.at, person=entry.person)
            start_clock(clock, batch_numbered(row["number"]).pk)

    def repeat(self, entry: Entry, row: Row) -> None:
        """Weighed from the card in its order; one ingredient goes over, the rest is rescaled and topped up."""
        batch = begin_from_recipe(entry, batch_numbered(row["repeats"]).recipe_id, {"dry_g": row["dry_g"]})
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

    def change(self, entry: Entry, row: Row) -> None:
        """The recipe slake gave after a batch that cracked, weighed from its card."""
        changed = Recipe(parts=row["parts"], water_per_dry=row["water_per_dry"])
        came_from = batch_numbered(row["changes"]).recipe_id
        batch = begin_changed(entry, came_from, changed, row["why"], {"dry_g": row["dry_g"]})
        for amount in batch.amounts.all():
            pour = self.entry(f"{entry.id}.pour{amount.order}", row["day"], row["hour"])
            weigh(pour, batch.pk, amount.order, f"{amount.target_g:.1f}")

    def after_mixing(self, row: Row) -> Iterator[Step]:
        """Readings at their paste age, lines struck through, and how it ended."""
        latest = _hours(row)
        for number, reading in enumerate(row.get("readings", ()), 1):
            hour = row["hour"] + reading["minutes"] / 60
            entry = self.entry(f"demo.batch{row['number']}.reading{number}", row["day"], hour)
            latest = 24 * row["day"] + hour
            yield latest, _bound(read_batch, entry, {**reading, "batch": row["number"]})
        if "outcome" in row:
            day, hour = divmod(latest + 0.5, 24)
            entry = self.entry(f"demo.batch{row['number']}.outcome", day, hour)
            yield latest + 0.5, _bound(say_ended, entry, row)


def _bound(tell: Callable[[Entry, Row], None], entry: Entry, row: Row) -> Callable[[], None]:
    return lambda: tell(entry, row)


def _hours(row: Row) -> float:
    return 24 * row["day"] + row["hour"]
