"""Numbers and days of a table, written as its author's country writes them: "1.234,5", 05.03.2024, a day count."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime, timedelta
from enum import Enum

from slake.ground.numbers import Limits, is_open, read_number
from slake.ground.problems import NotANumber, Problem, as_typed

from .table import Cell, shown


class Figures(Enum):
    """How numbers are written in a text table. `EITHER`: point and comma both before the decimals, no groups."""

    EITHER = "either"
    COMMA = "comma"
    POINT = "point"


class Days(Enum):
    """Which comes first in a day such as 03/04/2024."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


FIGURE_WORDS = {
    Figures.EITHER: "1.5 and 1,5 mean the same, no groups of thousands",
    Figures.COMMA: "1.234,5: comma before decimals, points between thousands",
    Figures.POINT: "1,234.5: point before decimals, commas between thousands",
}
DAY_WORDS = {Days.DAY_FIRST: "31/12/2024: day first", Days.MONTH_FIRST: "12/31/2024: month first"}
_COMMA = re.compile(r"[+\-−]?\d{1,3}(?:[.' ]\d{3})*(?:,\d+)?|[+\-−]?\d+(?:,\d+)?")
_POINT = re.compile(r"[+\-−]?\d{1,3}(?:[,' ]\d{3})*(?:\.\d+)?|[+\-−]?\d+(?:\.\d+)?")
_BOTH_COMMA = re.compile(r"[+\-−]?\d{1,3}(?:\.\d{3})+,\d+|[+\-−]?\d{1,3}(?:\.\d{3}){2,}")
_BOTH_POINT = re.compile(r"[+\-−]?\d{1,3}(?:,\d{3})+\.\d+|[+\-−]?\d{1,3}(?:,\d{3}){2,}")
_ISO = re.compile(r"(\d{4})[-./](\d{1,2})[-./](\d{1,2})(?:[T ]+(\d{1,2}):(\d{2})(?::\d{2})?)?")
_SHORT = re.compile(r"(\d{1,2})[-./](\d{1,2})[-./](\d{4})(?:[T ,]+(\d{1,2}):(\d{2})(?::\d{2})?)?")
FIRST_COUNTED, LAST_COUNTED = 20_000, 80_000
COUNTED_FROM = {False: datetime(1899, 12, 30), True: datetime(1904, 1, 1)}
"""Day 0 of a workbook's day count; the 1900 one counts a 29 February 1900 that never was, so it starts a day early."""
EARLIEST = datetime(1950, 1, 1)


def guess_figures(cells: Iterable[Cell]) -> Figures:
    """From numbers that carry both marks; without any, or where they disagree, both marks mean the same."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    comma = any(_BOTH_COMMA.fullmatch(text) for text in texts)
    point = any(_BOTH_POINT.fullmatch(text) for text in texts)
    if comma == point:
        return Figures.EITHER
    return Figures.COMMA if comma else Figures.POINT


def guess_days(cells: Iterable[Cell]) -> Days:
    found = [hit for cell in cells if isinstance(cell, str) and (hit := _SHORT.match(cell.strip()))]
    second = any(int(hit[2]) > 12 for hit in found)
    first = any(int(hit[1]) > 12 for hit in found)
    return Days.MONTH_FIRST if second and not first else Days.DAY_FIRST


def figure(cell: Cell, what: str, figures: Figures, limits: Limits | None = None) -> float:
    """One number of a table through the one reader of numbers. Raises NotANumber or OutsideRange."""
    if isinstance(cell, datetime):
        raise NotANumber(what, typed=shown(cell), do="the cell is a day: format the column as numbers, or ignore it")
    return read_number(cell if isinstance(cell, float) else _plain(cell, what, figures), what, limits)


def is_blank(cell: Cell) -> bool:
    return isinstance(cell, str) and (is_open(cell) or cell.casefold() in {"na", "n/a", "none", "null"})


def _plain(text: str, what: str, figures: Figures) -> str:
    """The text without groups of thousands. Raises NotANumber where it is not written as the table is said to be."""
    text = text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{NARROW NO-BREAK SPACE}", " ").strip()
    if figures is Figures.EITHER:
        return text
    wanted, groups = (_COMMA, ".' ") if figures is Figures.COMMA else (_POINT, ",' ")
    if not wanted.fullmatch(text):
        raise NotANumber(what, typed=text, do=f"numbers of this table are said to be written {_example(figures)}")
    return "".join(one for one in text if one not in groups)


def _example(figures: Figures) -> str:
    return "1.234,5" if figures is Figures.COMMA else "1,234.5"


def day(cell: Cell, what: str, days: Days, from_1904: bool) -> datetime:
    """A day of a table; one without a time is taken at noon. Raises Problem for what is no day."""
    if isinstance(cell, datetime):
        return _checked(cell, what)
    if isinstance(cell, float) or re.fullmatch(r"\d{5}(?:[.,]\d+)?", cell.strip()):
        return _checked(_counted(cell, what, from_1904), what)
    found = _ISO.fullmatch(cell.strip())
    if found:
        return _checked(_made(cell, what, [found[1], found[2], found[3], found[4], found[5]]), what)
    found = _SHORT.fullmatch(cell.strip())
    if not found:
        raise Problem(f"{what} is “{as_typed(cell)}”: write days as 2024-12-31, 31.12.2024 or 12/31/2024")
    d, m = (found[1], found[2]) if days is Days.DAY_FIRST else (found[2], found[1])
    return _checked(_made(cell, what, [found[3], m, d, found[4], found[5]]), what)


def _made(cell: str, what: str, parts: list[str]) -> datetime:
    year, month, date = (int(part) for part in parts[:3])
    hour, minute = (int(parts[3]), int(parts[4])) if parts[3] else (0, 0)
    try:
        return datetime(year, month, date, hour, minute)
    except ValueError:
        raise Problem(
            f"{what} is “{as_typed(cell)}”, and there is no such day: look which comes first, day or month"
        ) from None


def _counted(cell: Cell, what: str, from_1904: bool) -> datetime:
    """A day count as spreadsheets keep days."""
    limits = Limits(low=FIRST_COUNTED, high=LAST_COUNTED, do="format the column as days, or write 2024-12-31")
    return COUNTED_FROM[from_1904] + timedelta(days=figure(cell, what, Figures.EITHER, limits))


def _checked(moment: datetime, what: str) -> datetime:
    if moment < EARLIEST:
        raise Problem(
            f"{what} is {moment:%Y-%m-%d}, before {EARLIEST:%Y}: check the year, and how the days are counted"
        )
    return moment.replace(hour=12) if moment.time() == moment.time().min else moment
