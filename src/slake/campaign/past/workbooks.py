"""An .xlsx workbook to a table. Formulas are never run: a cell has the value its program last saved, or none."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any
from zipfile import BadZipFile

from openpyxl import load_workbook  # type: ignore[import-untyped]
from openpyxl.utils.datetime import CALENDAR_MAC_1904  # type: ignore[import-untyped]
from openpyxl.utils.exceptions import InvalidFileException  # type: ignore[import-untyped]

from slake.ground.problems import Problem

from .table import MOST_COLUMNS, MOST_ROWS, Cell, Gathered, Place, Table, letter
from .unpacking import DAMAGED, Part, looked_through

_BROKEN = (SyntaxError, KeyError, ValueError, TypeError, IndexError, AttributeError, BadZipFile, InvalidFileException)
"""What the reader of workbooks raises for a file whose parts do not fit each other."""
LOWEST_ROW = 1_048_576


def read_workbook(content: bytes, sheet: str = "") -> Table:
    """One sheet of a workbook, the first unless named. Raises Problem for whatever is no sound workbook."""
    parts = looked_through(content)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _read(content, sheet, parts)
    except _BROKEN as error:
        raise Problem(DAMAGED) from error


def _read(content: bytes, sheet: str, parts: dict[str, Part]) -> Table:
    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    try:
        names = tuple(one.title for one in book.worksheets)
        chosen = _chosen(names, sheet)
        one = book[chosen]
        part = parts.get(str(one._worksheet_path).lstrip("/"), Part())
        formulas = _formulas(content, chosen) if part.formulas else frozenset()
        gathered, empty = _gathered(one, formulas)
        return Table(
            rows=tuple(gathered.rows),
            sheet=chosen,
            sheets=names,
            merges=tuple(sorted(part.merges, key=lambda merge: merge.corner)),
            formulas=formulas - empty,
            unsaved=frozenset(empty),
            from_1904=book.epoch == CALENDAR_MAC_1904,
        )
    finally:
        book.close()


def _gathered(one: Any, formulas: frozenset[Place]) -> tuple[Gathered, set[Place]]:
    """The rows of a sheet, and the places whose formula has no saved value."""
    gathered, empty = Gathered(), set[Place]()
    for number, values in _numbered(one):
        cells = [_cell(value) for value in values]
        unsaved = [c for c, cell in enumerate(cells, 1) if cell == "" and (number, c) in formulas]
        empty |= {(number, c) for c in unsaved}
        gathered.add(number, cells, at_least=max(unsaved, default=0))
    return gathered, empty


def _chosen(names: tuple[str, ...], sheet: str) -> str:
    if not names:
        raise Problem("the workbook holds no sheet with cells, only charts: save the table as a sheet or as CSV")
    if sheet and sheet not in names:
        raise Problem(f"the workbook has no sheet “{sheet[:40]}”: it has {', '.join(name[:30] for name in names[:10])}")
    return sheet or names[0]


def _numbered(sheet: Any) -> Iterator[tuple[int, tuple[object, ...]]]:
    """Rows with their numbers. What the file says of its size is not trusted: every row is looked at, up to one
    column more than are read.
    """
    said = sheet.max_column
    if said is not None and said > 2 * MOST_COLUMNS and (sheet.max_row or 0) <= 1:
        raise Problem(f"the sheet has {said} columns, but at most {MOST_COLUMNS} are read: keep the ones you need")
    sheet.reset_dimensions()
    empty = 0
    for number, values in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1, values_only=True), 1):
        empty = 0 if any(value is not None for value in values) else empty + 1
        if number > LOWEST_ROW:
            raise Problem(DAMAGED)
        if empty > 2 * MOST_ROWS:
            return
        yield number, values


def _cell(value: object) -> Cell:
    """Numbers stay numbers and days days; what is neither becomes text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, datetime):
        return value.replace(tzinfo=None)
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day)
    if isinstance(value, time | timedelta):
        return str(value)
    return str(value).replace("\x00", "").strip()


def _number(value: int | float) -> Cell:
    try:
        number = float(value)
    except OverflowError:
        return "a number of very many digits"
    return number if number - number == 0 else "not a number"


def _formulas(content: bytes, sheet: str) -> frozenset[Place]:
    """Places that hold a formula, from a second look at the same sheet; the formulas themselves are not kept."""
    book = load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
    try:
        one = book[sheet]
        one.reset_dimensions()
        rows = one.iter_rows(max_col=MOST_COLUMNS + 1)
        return frozenset((cell.row, cell.column) for row in rows for cell in row if _is_formula(cell))
    finally:
        book.close()


def _is_formula(cell: Any) -> bool:
    return getattr(cell, "data_type", "") == "f"


def place_words(place: Place) -> str:
    """A place as a spreadsheet calls it."""
    return f"{letter(place[1] - 1)}{place[0]}"
