"""A pasted table: one heading line with units, then one batch a row."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass

from slake.bench.declaration import BenchTest
from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si

from .reading_lines import MASS, Line, Read, Trouble, add_mass, checked_text, made_line, read_free
from .reading_words import ReadingSaid, converted, find_test

_MASS_UNITS = {"", "g", "kg", "mg"}
_PART_UNITS = {"kg/m3", "kg/m^3", "kg/m³", "%", "parts"}
_BRACKET = re.compile(r"[(\[]([^()\[\]]*)")
"""The last of several holds the unit: "strength (28 days) (MPa)"."""
SKIP_WORDS = {"no", "nr", "no.", "number", "#", "batch", "date", "day", "row", "id", "note", "notes", "name"}
OUTCOME_WORDS = {"outcome", "how it ended", "ended", "word", "words", "result"}
MINUTES_WORDS = {"minutes", "min", "age", "age min", "read at"}


@dataclass(frozen=True, kw_only=True)
class Column:
    """What a heading means: an ingredient with its unit, a reading, the outcome, the age, or nothing."""

    heading: str
    ingredient: str = ""
    unit: str = ""
    test: BenchTest | None = None
    outcome: bool = False
    minutes: bool = False


def read_lines(text: str) -> Read:
    """Read what was pasted, as a table where it begins with headings, else line by line.

    Raises Problem for an empty or too long text, or headings that cannot be.
    """
    rows = checked_text(text)
    mark = _separator(rows[0][1]) if len(rows) > 1 else None
    return read_free(rows) if mark is None else _table(rows, mark)


def _separator(heading: str) -> str | None:
    """The separator of a heading line; None where the line is no heading (it has an amount in it)."""
    cells = [cell.strip() for cell in re.split(r"[\t;,]", heading)]
    if any(re.search(r"(?<![(\w/])\d+([.,]\d+)?\s*(g|kg)?$", cell) for cell in cells):
        return None
    return next((mark for mark in "\t;," if mark in heading), None)


def _table(rows: list[tuple[int, str]], mark: str) -> Read:
    columns = [_column(cell) for cell in next(csv.reader([rows[0][1]], delimiter=mark))]
    units = {c.unit for c in columns if c.ingredient}
    if len(units & _PART_UNITS) and len(units) > 1:
        raise Problem(
            f"the headings mix {' and '.join(sorted(u or 'g' for u in units))}: give all ingredients in one unit"
        )
    twice = sorted(
        {c.heading for c in columns if c.ingredient and [d.ingredient for d in columns].count(c.ingredient) > 1}
    )
    if twice:
        raise Problem(f"two columns are called “{twice[0][:40]}”: give each its own heading")
    lines, troubles = [], []
    for number, text in rows[1:]:
        try:
            lines.append(_row(number, text, mark, columns))
        except Problem as problem:
            troubles.append(Trouble(number=number, text=text, why=str(problem)))
    left_out = [c.heading for c in columns if not (c.ingredient or c.test or c.outcome or c.minutes)]
    ignored = tuple(heading for heading in left_out if heading.casefold() not in SKIP_WORDS | {""})
    return Read(lines=tuple(lines), troubles=tuple(troubles), ignored=ignored)


def _column(heading: str) -> Column:
    words, unit = re.split(r"[(\[]", heading)[0].strip(), (_BRACKET.findall(heading) or [""])[-1].strip()
    plain = " ".join(words.casefold().split())
    if plain in OUTCOME_WORDS:
        return Column(heading=words, outcome=True)
    if plain in MINUTES_WORDS:
        return Column(heading=words, minutes=True)
    test = find_test(plain)
    if test is not None:
        return Column(heading=words, test=test, unit=unit)
    if plain in SKIP_WORDS or not plain or unit not in _MASS_UNITS | _PART_UNITS:
        return Column(heading=words)
    return Column(heading=words, ingredient=plain, unit=unit.replace("^", "").replace("³", "3"))


def _row(number: int, text: str, mark: str, columns: list[Column]) -> Line:
    cells = [cell.strip() for cell in next(csv.reader([text], delimiter=mark))]
    if len(cells) > len(columns):
        raise Problem(
            f"the row has {len(cells)} cells and the heading {len(columns)}: separate with tabs or semicolons where "
            "numbers have a decimal comma"
        )
    masses: dict[str, float] = {}
    said: list[tuple[BenchTest, float]] = []
    outcome, minutes = "", None
    for column, cell in zip(columns, cells, strict=False):
        if column.ingredient:
            add_mass(masses, column.ingredient, _mass(column, cell))
        elif column.outcome:
            outcome = cell
        elif column.minutes:
            minutes = read_optional(cell, "minutes since first water", Limits(low=0, high=1e6, unit="min"))
        elif column.test is not None and (value := read_optional(cell, column.test.title)) is not None:
            said.append((column.test, converted(value, column.unit, column.test)))
    readings = [ReadingSaid(name=test.notebook_name, value=value, minutes=minutes) for test, value in said]
    return made_line(number, text, masses, outcome, readings)


def _mass(column: Column, cell: str) -> float:
    if not cell:
        return 0.0
    amount = read_number(cell, f"the amount of {column.heading}", MASS)
    return from_si(to_si(amount, column.unit), "g") if column.unit in {"kg", "mg"} else amount
