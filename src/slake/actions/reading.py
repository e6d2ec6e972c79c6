"""A reading is taken, an outcome said, a line struck through. Raw stays as typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slake.bench.declaration import BenchTest, Scalar
from slake.bench.shelf import test_named
from slake.campaign.outcomes import read_outcome
from slake.ground.problems import Problem
from slake.records.checks import LONGEST_NAME
from slake.records.models import Batch, Lot, Outcome, Reading, Strike, Weighing
from slake.records.values import raw_of_typed

from .entry import Entry, recorded, short_text
from .instruments import WITH, taken_with
from .lots import take_out

Typed = Mapping[str, str]
THINGS = {"batch": Batch, "lot": Lot}
STRIKABLE = {"reading": Reading, "weighing": Weighing, "outcome": Outcome}
MOST_TYPED = 4000


def log_reading(
    entry: Entry, test_id: str, about: tuple[str, int], fields: Typed, rows: Sequence[Typed] = ()
) -> Reading:
    """Keep one reading of a declared test, checked through its declaration; its paste age comes from the clock.

    `fields` may name the instrument by its number (instruments.WITH): what it carries fills the inputs left open.
    """
    inputs = {"test": test_id, "about": list(about), "fields": dict(fields), "rows": [dict(r) for r in rows]}
    with recorded(entry, "log reading", inputs) as log:
        if log.before is not None:
            return Reading.objects.get(pk=log.before["reading"])
        reading = new_reading(entry, test_id, about, (fields, rows))
        log.answer = {"reading": reading.pk}
        return reading


def new_reading(
    entry: Entry,
    test_id: str,
    about: tuple[str, int],
    said: tuple[Typed, Sequence[Typed]],
    more: Mapping[str, object] | None = None,
) -> Reading:
    """The row of a reading, inside somebody's transaction: fields and rows as typed, and what else is kept with it."""
    fields, rows = said
    test = test_named(test_id)
    kind, thing_id = about
    if not test.read_of(kind):
        raise Problem(
            f"{test.title} is read of a {test.about.value}, not of a {kind}: open the {test.about.value} first"
        )
    if len(str(fields)) + len(str(rows)) > MOST_TYPED:
        raise Problem(f"what was typed is longer than {MOST_TYPED} characters: a reading is a few numbers")
    thing = THINGS[kind].objects.get(pk=thing_id)
    filled, instrument = taken_with(test, fields)
    typed = {"fields": filled, "rows": [dict(r) for r in rows], "units": _units(test), WITH: instrument, **(more or {})}
    return write_reading(entry, test, thing, typed, _age_s(thing, entry) if isinstance(thing, Batch) else None)


def write_reading(
    entry: Entry, test: BenchTest, thing: Batch | Lot, typed: Mapping[str, object], age_s: float | None
) -> Reading:
    """Checked through the declaration, then kept as typed with its headline and its instrument beside it."""
    headline = test.headline(raw_of_typed(test, typed))
    return Reading.objects.create(
        test=test.id,
        test_version=test.version,
        typed={name: said for name, said in typed.items() if name != WITH},
        instrument=typed.get(WITH),
        age_s=age_s,
        at=entry.at,
        person_id=entry.person,
        entry=entry.id,
        headline_name=headline.name,
        headline_value=headline.value,
        headline_unit=headline.unit,
        headline_words=headline.words[:LONGEST_NAME],
        **{"batch" if isinstance(thing, Batch) else "lot": thing},
    )


def _units(test: BenchTest) -> dict[str, str]:
    inputs = [*test.inputs, *(test.rows.columns if test.rows else ())]
    return {item.name: item.unit for item in inputs if isinstance(item, Scalar)}


def _age_s(batch: Batch, entry: Entry) -> float | None:
    if batch.first_water_at is None:
        return None
    age = (entry.at - batch.first_water_at).total_seconds()
    if age < 0:
        raise Problem("this reading is from before water met the powder: check its time, or the start of the clock")
    return age


def say_outcome(entry: Entry, batch_id: int, words: str) -> Outcome:
    """How the batch ended, in words slake understands. The last one said stands."""
    with recorded(entry, "say outcome", {"batch": batch_id, "words": words}) as log:
        if log.before is not None:
            return Outcome.objects.get(pk=log.before["outcome"])
        text = short_text(words, "how it ended", needed=True)
        read_outcome(text)
        outcome = Outcome.objects.create(
            batch_id=Batch.objects.get(pk=batch_id).pk, words=text, at=entry.at, person_id=entry.person, entry=entry.id
        )
        log.answer = {"outcome": outcome.pk}
        return outcome


def strike(entry: Entry, kind: str, row_id: int, reason: str) -> Strike:
    """Draw a line through a reading, weighing or outcome, with the reason. Struck grams are back in stock."""
    with recorded(entry, "strike", {"kind": kind, "row": row_id, "reason": reason}) as log:
        if log.before is not None:
            return Strike.objects.get(pk=log.before["strike"])
        if kind not in STRIKABLE:
            raise Problem(f"a {kind[:20]} cannot be struck through: only {', '.join(STRIKABLE)}")
        row = STRIKABLE[kind].objects.get(pk=row_id)
        if Strike.objects.filter(**{kind: row}).exists():
            raise Problem(f"this {kind} is already struck through: nothing more to do")
        line = Strike.objects.create(
            reason=short_text(reason, "the reason", needed=True),
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
            **{kind: row},
        )
        if isinstance(row, Weighing) and row.lot is not None and row.grams > 0:
            take_out(row.lot, -row.grams, entry, "put right", batch=row.batch)
        log.answer = {"strike": line.pk}
        return line
