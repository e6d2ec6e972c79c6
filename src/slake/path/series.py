"""A series of numbers from a table: one column of a CSV, read as the bench types numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slake.ground.numbers import read_number
from slake.ground.problems import NotANumber, NotEnoughEvidence, OutsideRange, Problem, as_typed

from .mesh import FloatArray

MOST_BYTES = 5_000_000
MOST_NUMBERS = 100_000
FEWEST = 3
LARGEST = 1e12


@dataclass(frozen=True, kw_only=True)
class Series:
    """Numbers in their order, (n,). heading: of their column, "" without one; columns: how many the table has."""

    numbers: FloatArray
    heading: str
    columns: int


def read_series(content: bytes, column: int | None = None) -> Series:
    """One column of a CSV: the one asked for (from 1), else the last whose every cell is a number.

    Columns stand apart by semicolons, tabs, or by commas where lines hold more than one; a line with a single comma is
    one number with a decimal comma, as everywhere at the bench. Raises Problem with the line.
    """
    if len(content) > MOST_BYTES:
        raise Problem(f"the table has {len(content) / 1e6:.0f} MB, but at most 5 MB are read: leave rows out")
    text = _text(content)
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(lines) > MOST_NUMBERS:
        raise OutsideRange("numbers in the table", got=len(lines), low=FEWEST, high=MOST_NUMBERS, do="thin it out")
    apart = _apart([line for _, line in lines])
    rows = [
        (number, [cell.strip().strip('"') for cell in (line.split(apart) if apart else [line])])
        for number, line in lines
    ]
    headed = bool(rows) and not any(_is_number(cell) for cell in rows[0][1])
    body = rows[1:] if headed else rows
    if len(body) < FEWEST:
        raise NotEnoughEvidence("a form from numbers", have=len(body), need=FEWEST, do="bring a longer series")
    place = _column(body, column)
    numbers = [_number(row, place, line) for line, row in body]
    heading = rows[0][1][place] if headed and place < len(rows[0][1]) else ""
    return Series(numbers=np.array(numbers), heading=as_typed(heading), columns=max(len(row) for _, row in body))


def _text(content: bytes) -> str:
    if b"\0" in content:
        raise Problem("the table is no text: save it as CSV, in UTF-8")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def _apart(lines: list[str]) -> str:
    if any(";" in line for line in lines):
        return ";"
    if any("\t" in line for line in lines):
        return "\t"
    return "," if any(line.count(",") > 1 for line in lines) else ""


def _is_number(cell: str) -> bool:
    try:
        read_number(cell, "a cell")
    except Problem:
        return False
    return True


def _column(body: list[tuple[int, list[str]]], column: int | None) -> int:
    widest = max(len(row) for _, row in body)
    if column is not None:
        if not 1 <= column <= widest:
            raise OutsideRange("column", got=column, low=1, high=widest, do="count the columns from 1")
        return column - 1
    whole = [place for place in range(widest) if all(place < len(row) and _is_number(row[place]) for _, row in body)]
    return whole[-1] if whole else widest - 1


def _number(row: list[str], place: int, line: int) -> float:
    """Raises NotANumber with the line."""
    what = f"line {line}, column {place + 1} of the table"
    if place >= len(row):
        raise NotANumber(what, typed="", do="give every line this column")
    found = read_number(row[place], what)
    if abs(found) > LARGEST:
        raise OutsideRange(what, got=found, low=-LARGEST, high=LARGEST, do="give it in larger units")
    return found
