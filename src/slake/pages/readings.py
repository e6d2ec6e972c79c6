"""A form for any declared bench test, and a reading as pages say it. Nothing here knows any one test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django import forms
from django.utils import timezone

from slake.actions.answers import Meaning
from slake.actions.instruments import WITH, instruments, kinds_of, last_used
from slake.bench.declaration import BenchTest, Choice, Input, Scalar
from slake.bench.shelf import all_tests
from slake.ground.problems import Problem, plain
from slake.records.models import Reading

from .forms import Asking, Row, Typed, choice, form_of, line, number

INPUT = "in_"
"""Inputs of a test get this before their name, so that no declaration can clash with a form's own fields."""


def field_of(item: Input) -> forms.Field:
    if isinstance(item, Choice):
        left_open = [] if item.typical is None else [("", f"don't know: {item.words[item.typical]}")]
        return choice(_capital(item.label), [*item.words.items(), *left_open], hint=_capital(item.help))
    left_open = "" if item.typical is None else f"left open: {item.open_means or plain(item.typical)}"
    return number(_capital(item.label), item.unit, hint=_limits(item), open_word=left_open)


def _limits(item: Scalar) -> str:
    unit = f" {item.unit}" if item.unit else ""
    limits = f"From {plain(item.low)} to {plain(item.high)}{unit}{', whole' if item.whole else ''}."
    return f"{_capital(item.help)}. {limits}" if item.help else limits


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


class ReadingForm(Asking):
    """The fields of one test; `taken` is the reading's own time where it was not just now."""

    @property
    def fields_typed(self) -> dict[str, str]:
        said = {name.removeprefix(INPUT): text for name, text in self.typed.items() if name.startswith(INPUT)}
        return {**said, WITH: self.typed[WITH]} if self.typed.get(WITH) else said

    @property
    def of_instrument(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name == WITH]

    @property
    def of_test(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name.startswith(INPUT)]

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
    fields = {f"{INPUT}{item.name}": field_of(item) for item in test.inputs}
    return form_of("ReadingOf", {**_taken_with(test), **fields, "taken": taken}, ReadingForm)


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
    return form_of("RowOf", {column.name: field_of(column) for column in test.rows.columns}, Row)


@dataclass(frozen=True, kw_only=True)
class Said:
    """One reading as a page says it: what it means, or why it can no longer be read."""

    reading: Reading
    test: BenchTest | None
    meaning: Meaning | None
    trouble: str
    strike: object | None


def said_of(reading: Reading, meaning: Callable[[Reading], Meaning]) -> Said:
    struck = getattr(reading, "strike", None)
    test = all_tests().get(reading.test)
    if test is None:
        trouble = f"the test “{reading.test}” is not on this bench now: the raw reading is kept as typed"
        return Said(reading=reading, test=None, meaning=None, trouble=trouble, strike=struck)
    try:
        return Said(reading=reading, test=test, meaning=meaning(reading), trouble="", strike=struck)
    except Problem as problem:
        return Said(reading=reading, test=test, meaning=None, trouble=str(problem), strike=struck)
