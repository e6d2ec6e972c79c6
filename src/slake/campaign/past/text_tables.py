"""A text table (CSV and its kin) to cells: which letters, which mark between cells, which row is which."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator

from slake.ground.problems import Problem

from .outgoing import as_meant
from .table import MARK_WORDS, Cell, Gathered, Mark, Table

LOOK_ROWS = 60
_STRANGE = re.compile(r"[\x00-\x08\x0e-\x1f]")


def read_text_table(content: bytes, mark: Mark | None = None) -> Table:
    """The cells of a text table; the mark between cells is found where it is not said. Raises Problem for what is
    no text, or cannot be a table.
    """
    text, encoding = decoded(content)
    if not text.strip():
        raise Problem("the file has no text in it: choose the file that holds the table")
    chosen = mark or _mark(text)
    gathered = Gathered()
    for number, cells in _records(text, chosen):
        gathered.add(number, list(cells))
    return Table(rows=tuple(gathered.rows), mark=chosen, encoding=encoding)


def decoded(content: bytes) -> tuple[str, str]:
    """The text and how it was written: UTF-8 (with or without its mark), UTF-16 with its mark, else cp1252."""
    try:
        if content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
            text, encoding = content.decode("utf-16"), "UTF-16"
        else:
            text, encoding = content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        text, encoding = _western(content), "cp1252"
    if _STRANGE.search(text):
        raise Problem("the file is no text table, whatever its name says: save it as .xlsx or CSV")
    return text, encoding


def _western(content: bytes) -> str:
    try:
        return content.decode("cp1252")
    except UnicodeDecodeError:
        raise Problem("the file is no text in UTF-8 or cp1252: save it as .xlsx, or as CSV in UTF-8") from None


def _mark(text: str) -> Mark:
    """The mark that cuts the most of the first rows into the same number of cells, two or more.

    A decimal comma cuts rows unevenly, or cuts headings less than rows; a tie goes to tabs, then semicolons.
    """
    head = "".join(text.splitlines(keepends=True)[: 2 * LOOK_ROWS])
    return max(Mark, key=lambda mark: _evenness(head, mark))


def _evenness(head: str, mark: Mark) -> int:
    widths = []
    try:
        for _, cells in _records(head, mark):
            if any(cells):
                widths.append(len(cells))
            if len(widths) >= LOOK_ROWS:
                break
    except Problem:
        pass
    width, count = max(Counter(w for w in widths if w > 1).items(), key=lambda pair: pair[1], default=(0, 0))
    headed = sum(1 for w in widths[:1] if w == width)
    return 2 * count + headed


def _records(text: str, mark: Mark) -> Iterator[tuple[int, list[Cell]]]:
    """Records with the number of the row they begin in, lines inside quotes counted as a spreadsheet counts: one."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark.value, strict=True)
    number = 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise Problem(
                f"row {number + 1} cannot be cut into cells at {MARK_WORDS[mark]} ({error}): look for a quotation mark "
                "that is not closed there, or say what separates the cells"
            ) from error
        number += 1
        yield number, [as_meant(cell.strip(" \xa0")).strip() for cell in cells]
