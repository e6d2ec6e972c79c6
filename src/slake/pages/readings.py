"""A form for any declared bench test, and a reading as pages say it. Nothing here knows any one test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django import forms
from django.utils import timezone

from slake.actions.answers import Meaning
from slake.actions.instruments import WITH, carried_by, instruments, kinds_of, last_used
from slake.actions.limit_read import OWN_NUMBER
from slake.bench.declaration import BenchTest, Choice, Input, Scalar
from slake.bench.shelf import all_tests
from slake.ground.evidence import Kind
from slake.ground.problems import BEYOND, Problem, plain
from slake.records.models import Instrument, Reading
from slake.records.values import raw_of, says_nothing_yet

from .forms import Asking, Chosen, Row, Typed, choice, form_of, line, needed, number
from .templatetags.bench import unit_word

INPUT = "in_"
"""Inputs of a test get this before their name, so that no declaration can clash with a form's own fields."""


def field_of(item: Input) -> Chosen:
    """The field of one input, read on its own as its declaration reads it."""
    if isinstance(item, Choice):
        left_open = [] if item.typical is None else [("", f"don't know: {item.words[item.typical]}")]
        asked = choice(_capital(item.label), [*item.words.items(), *left_open], hint=_capital(item.help))
        asked.reads = item.read
        return asked if item.typical is not None else needed(asked)
    field = number(
        _capital(item.label), unit_word(item.unit), hint=_limits(item), open_word=_open(item), reads=item.read
    )
    return field if item.typical is not None or item.later else needed(field)


def _open(item: Scalar) -> str:
    if item.typical is not None:
        return f"left open: {item.open_means or plain(item.typical)}"
    return "later, when it is known" if item.later else ""


def limits_words(item: Scalar) -> str:
    """Between which limits, in plain numbers; a limit as far out as none is not said."""
    unit = f" {item.unit}" if unit_word(item.unit) else ""
    if item.low <= -BEYOND and item.high >= BEYOND:
        return f"any number{unit}"
    if item.low <= -BEYOND:
        return f"{plain(item.high)}{unit} or less"
    if item.high >= BEYOND:
        return f"{plain(item.low)}{unit} or more"
    return f"from {plain(item.low)} to {plain(item.high)}{unit}"


def _limits(item: Scalar) -> str:
    limits = f"{_capital(limits_words(item))}{', whole' if item.whole else ''}."
    return f"{_capital(item.help)}. {limits}" if item.help else limits


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


class ReadingForm(Asking):
    """The fields of one test; `taken` is the reading's own time where it was not just now."""

    test: BenchTest | None = None
    further: frozenset[str] = frozenset()

    @property
    def fields_typed(self) -> dict[str, str]:
        said = {name.removeprefix(INPUT): text for name, text in self.typed.items() if name.startswith(INPUT)}
        return {**said, WITH: self.typed[WITH]} if self.typed.get(WITH) else said

    @property
    def of_instrument(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name == WITH]

    @property
    def of_test(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name.startswith(INPUT) and field.name not in self.further]

    @property
    def of_further(self) -> list[forms.BoundField]:
        """What is asked under “more”."""
        return [field for field in self.asked if field.name in self.further]

    @property
    def further_is_open(self) -> bool:
        """Open where something in it was typed or is wrong."""
        return any(field.errors or field.value() for field in self.of_further)

    @property
    def brought(self) -> frozenset[str]:
        """What the instrument chosen fills in."""
        number = self.cleaned_data.get(WITH, "")
        row = Instrument.objects.filter(pk=int(number)).first() if number.isdecimal() and len(number) < 10 else None
        return frozenset(f"{INPUT}{name}" for name in carried_by(self.test, row)) if row and self.test else frozenset()

    @property
    def of_time(self) -> forms.BoundField:
        return self["taken"]

    @property
    def taken_at(self) -> datetime:
        """When it was read. Raises Problem for a time that cannot be read or lies ahead."""
        return read_time(self.cleaned_data.get("taken", ""))


def read_time(typed: str) -> datetime:
    """A day and time by the clock of this machine; left open it is now."""
    if not typed.strip():
        return timezone.now()
    try:
        moment = datetime.fromisoformat(typed.strip()).astimezone()
    except (ValueError, OverflowError, OSError):
        raise Problem(f"the time is “{typed[:30]}”: give day and time as 2026-11-25 14:30, or leave it open") from None
    if moment > timezone.now():
        raise Problem("the time lies ahead: give the time it was read, or leave it open for now")
    return moment


def reading_form(test: BenchTest) -> type[ReadingForm]:
    taken: Typed = line("Read when", hint="Left open: now. Otherwise as 2026-11-25 14:30.", longest=40)
    taken.reads = read_time
    fields = {f"{INPUT}{item.name}": field_of(item) for item in test.inputs}
    form = form_of("ReadingOf", {**_taken_with(test), **fields, "taken": taken}, ReadingForm)
    form.test = test
    form.further = frozenset(f"{INPUT}{item.name}" for item in test.inputs if item.further)
    return form


def _taken_with(test: BenchTest) -> dict[str, forms.Field]:
    """The instruments of a fitting kind, the one of the last reading chosen; nothing where there is none."""
    kinds = kinds_of(test)
    rows = [row for row in instruments() if row.kind in kinds]
    if not rows:
        return {}
    hint = "What it carries counts where you leave the fields below open."
    asked = choice("Taken with", [*((str(row.pk), row.name) for row in rows), ("", "another one")], hint=hint)
    last = last_used(test)
    asked.initial = next((str(row.pk) for row in rows if row.name == last), "")
    return {WITH: asked}


def row_form(test: BenchTest) -> type[Row] | None:
    if test.rows is None:
        return None
    form = form_of("RowOf", {column.name: field_of(column) for column in test.rows.columns}, RowOfTest)
    form.further = frozenset(column.name for column in test.rows.columns if column.further)
    return form


class RowOfTest(Row):
    """One row of a series; columns that seldom matter are asked under “more”."""

    further: frozenset[str] = frozenset()

    @property
    def in_sight(self) -> list[forms.BoundField]:
        return [field for field in self if field.name not in self.further]

    @property
    def of_further(self) -> list[forms.BoundField]:
        return [field for field in self if field.name in self.further]

    @property
    def further_is_open(self) -> bool:
        return any(field.errors or field.value() for field in self.of_further)


@dataclass(frozen=True, kw_only=True)
class Said:
    """One reading as a page says it: what it means, what it still waits for, or why it can no longer be read."""

    reading: Reading
    test: BenchTest | None
    meaning: Meaning | None = None
    trouble: str = ""
    strike: object | None = None
    waits_for: str = ""

    @property
    def over_days(self) -> bool:
        """Whether it is taken over days, so that no one paste age is its own."""
        return self.test is not None and self.test.goes_on is not None

    @property
    def bound(self) -> str:
        """The word before a number that is only a limit; "" where it is the value."""
        kind = self.meaning.evidence.kind if self.meaning and self._is_its_own_number else None
        return {Kind.ABOVE: "over", Kind.BELOW: "under"}.get(kind, "") if kind else ""

    @property
    def _is_its_own_number(self) -> bool:
        """Whether the number shown is the property itself, and rises with it."""
        return self.test is not None and self.test.informs in OWN_NUMBER


def said_of(reading: Reading, meaning: Callable[[Reading], Meaning]) -> Said:
    struck = getattr(reading, "strike", None)
    test = all_tests().get(reading.test)
    if test is None:
        trouble = f"the test “{reading.test}” is not on this bench now: the raw reading is kept as typed"
        return Said(reading=reading, test=None, trouble=trouble, strike=struck)
    try:
        waits_for = "" if struck else test.still_to_do(raw_of(reading))
        means = None if says_nothing_yet(reading) else meaning(reading)
        return Said(reading=reading, test=test, meaning=means, strike=struck, waits_for=waits_for)
    except Problem as problem:
        return Said(reading=reading, test=test, trouble=str(problem), strike=struck)
