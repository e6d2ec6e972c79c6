"""What was typed of a reading, as a person reads it: labels in place of names, units, and how a text was read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slake.bench.declaration import Choice, Input
from slake.bench.shelf import all_tests
from slake.ground.numbers import is_open, other_unit
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.records.models import Reading

from .templatetags.bench import plain, spaced, unit_word


@dataclass(frozen=True, kw_only=True)
class AsTyped:
    """Pairs of label and text: those of the reading, and those of each row under what the rows are."""

    fields: Sequence[tuple[str, str]]
    rows: Sequence[Sequence[tuple[str, str]]]
    of_rows: str


def as_typed(reading: Reading) -> AsTyped:
    test = all_tests().get(reading.test)
    rows = test.rows if test else None
    named: dict[str, Input] = {item.name: item for item in (test.inputs if test else ())}
    columns: dict[str, Input] = {item.name: item for item in (rows.columns if rows else ())}
    units = reading.typed.get("units", {})
    return AsTyped(
        fields=_pairs(reading.typed.get("fields", {}), named, units),
        rows=[_pairs(row, columns, units) for row in reading.typed.get("rows", [])],
        of_rows=rows.label if rows else "rows",
    )


def _pairs(texts: Mapping[str, str], named: Mapping[str, Input], units: Mapping[str, str]) -> list[tuple[str, str]]:
    pairs = [(_label(name, named), _said(text, named.get(name), units.get(name, ""))) for name, text in texts.items()]
    return [(label, said) for label, said in pairs if said]


def _label(name: str, named: Mapping[str, Input]) -> str:
    return named[name].label if name in named else spaced(name)


def _said(text: str, item: Input | None, unit: str) -> str:
    """The text with its unit, and the number it was read as where it was typed in another one."""
    if is_open(text):
        return "" if item is not None and item.further else "left open"
    if isinstance(item, Choice):
        return item.words.get(text, text)
    typed_in = other_unit(text, unit)
    if typed_in and item is not None:
        try:
            return f"{text.strip()}, read as {plain(from_si(item.read(text), unit))} {unit}"
        except Problem:
            return text
    return text.strip() if not unit_word(unit) or text.strip().endswith(unit) else f"{text.strip()} {unit}"
