"""A table as it came: cells with the row number a person sees, and the limits of what is taken in."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum

from slake.ground.problems import Problem

LARGEST_BYTES = 20 * 2**20
MOST_ROWS = 20_000
MOST_COLUMNS = 200
MOST_CELLS = 1_000_000
LONGEST_CELL = 2000
FIRST_LOOK = 40
"""How many rows from the top are looked through for headings."""

Cell = str | float | datetime
Place = tuple[int, int]


class Mark(Enum):
    """What stands between the cells of a text table."""

    TAB = "\t"
    SEMICOLON = ";"
    COMMA = ","


MARK_WORDS = {Mark.TAB: "tabs", Mark.SEMICOLON: "semicolons", Mark.COMMA: "commas"}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row that has something in it; `number` as a spreadsheet counts, from 1."""

    number: int
    cells: tuple[Cell, ...]

    def cell(self, column: int) -> Cell:
        return self.cells[column] if column < len(self.cells) else ""


@dataclass(frozen=True, kw_only=True)
class Merge:
    """A block of merged cells, edges included; rows and columns from 1."""

    top: int
    left: int
    bottom: int
    right: int

    def covers(self, row: int, column: int) -> bool:
        return self.top <= row <= self.bottom and self.left <= column <= self.right

    @property
    def corner(self) -> Place:
        return self.top, self.left


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows of one sheet. `formulas` are the places (row, column from 1) whose value was worked out by a program that
    saved it; `unsaved` those where none was saved. `from_1904`: how this workbook counts days.
    """

    rows: tuple[Row, ...]
    sheet: str = ""
    sheets: tuple[str, ...] = ()
    mark: Mark | None = None
    encoding: str = ""
    merges: tuple[Merge, ...] = ()
    formulas: frozenset[Place] = field(default_factory=frozenset)
    unsaved: frozenset[Place] = field(default_factory=frozenset)
    from_1904: bool = False

    @property
    def width(self) -> int:
        return max((len(row.cells) for row in self.rows), default=0)

    def row_at(self, number: int) -> Row:
        """The row a person calls by this number. Raises Problem where it is empty or not there."""
        found = next((row for row in self.rows if row.number == number), None)
        if found is None:
            raise Problem(f"row {number} is empty or not there: say which row holds the headings")
        return found


def shown(cell: Cell) -> str:
    """A cell as text: numbers without needless digits, days as 2024-03-05."""
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == cell.time().min else cell.isoformat(" ", "minutes")
    if isinstance(cell, float):
        return str(int(cell)) if cell == int(cell) and abs(cell) < 1e15 else repr(cell)
    return cell


def letter(column: int) -> str:
    """What a spreadsheet calls a column; `column` from 0."""
    text, left = "", column + 1
    while left:
        left, rest = divmod(left - 1, 26)
        text = chr(65 + rest) + text
    return text


class Gathered:
    """Rows as they are read, refused as soon as there are too many, too wide or too long ones."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self.filled = 0

    def add(self, number: int, cells: list[Cell], at_least: int = 0) -> None:
        """Raises Problem at the first row over a limit, so that nothing after it is read. Empty cells at the end are
        dropped, but not the first `at_least`: a row of nothing but unsaved formulas is still a row.
        """
        while len(cells) > at_least and cells[-1] == "":
            cells.pop()
        if not cells:
            return
        if len(cells) > MOST_COLUMNS:
            raise Problem(
                f"row {number} reaches column {letter(len(cells) - 1)}, but at most {MOST_COLUMNS} columns are read: "
                "keep the columns you need"
            )
        for column, cell in enumerate(cells):
            if isinstance(cell, str) and len(cell) > LONGEST_CELL:
                raise Problem(
                    f"cell {letter(column)}{number} holds {len(cell)} characters, but at most {LONGEST_CELL} are read: "
                    "shorten it"
                )
        self.filled += sum(1 for cell in cells if cell != "")
        self.rows.append(Row(number=number, cells=tuple(cells)))
        if len(self.rows) > MOST_ROWS + FIRST_LOOK or self.filled > MOST_CELLS:
            raise Problem(
                f"the table has more than {MOST_ROWS} rows or {MOST_CELLS:,} filled cells: bring it in several files"
            )
