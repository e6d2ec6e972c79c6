"""Bytes to a table, whatever the file is called: an .xlsx workbook or a text table; everything else in one sentence."""

from __future__ import annotations

from slake.ground.problems import Problem

from .table import LARGEST_BYTES, Mark, Table
from .text_tables import read_text_table
from .workbooks import read_workbook

FIRST_SHEETS = 6
_PACKED = b"PK\x03\x04"
_OTHER_KINDS = (
    (b"\xd0\xcf\x11\xe0", "an old .xls workbook, or one locked with a password"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"Rar!", "a packed file"),
    (b"SQLite format 3", "a database"),
    (b"{\\rtf", "a text document"),
)
_PAGES = (b"<!doctype", b"<html", b"<?xml")


def open_table(content: bytes, sheet: str = "", mark: Mark | None = None) -> Table:
    """The table in a file. Raises Problem, one sentence, for a file that is empty, too large, of another kind,
    damaged, or holds more than is taken in; memory stays bounded by the limits of table.py and unpacking.py.
    """
    if not content:
        raise Problem("the file is empty (0 bytes): choose the file that holds the table")
    if len(content) > LARGEST_BYTES:
        raise Problem(
            f"the file has {len(content) / 2**20:.1f} MB, but at most {LARGEST_BYTES // 2**20} MB are taken: cut it, "
            "or bring it in several files"
        )
    for begins, kind in _OTHER_KINDS:
        if content.startswith(begins):
            raise Problem(f"the file is {kind}, whatever its name says: save the table as .xlsx or CSV")
    if content[:64].lstrip(b"\xef\xbb\xbf \r\n\t").lower().startswith(_PAGES):
        raise Problem("the file is a web page or XML, whatever its name says: save the table as .xlsx or CSV")
    table = _workbook(content, sheet) if content.startswith(_PACKED) else read_text_table(content, mark)
    if not table.rows:
        where = f"sheet “{table.sheet[:40]}”" if table.sheet else "the file"
        others = [name[:30] for name in table.sheets if name != table.sheet][:10]
        more = f"take one of the other sheets: {', '.join(others)}" if others else "choose the file that has the rows"
        raise Problem(f"{where} is empty: {more}")
    if table.width < 2:
        raise Problem("the table has only one column: an amount and the water are needed, each in a column of its own")
    return table


def _workbook(content: bytes, sheet: str) -> Table:
    """The sheet asked for; where none is, the first of the first ones that has something in it."""
    table = read_workbook(content, sheet)
    others = (read_workbook(content, name) for name in table.sheets[1:FIRST_SHEETS])
    return table if table.rows or sheet else next((other for other in others if other.rows), table)
