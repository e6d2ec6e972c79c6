"""Looks through a packed workbook before anybody opens it: how large it really is, and nothing in it that unfolds."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from dataclasses import dataclass, field

from slake.ground.problems import Problem

from .table import Merge

MOST_UNPACKED_BYTES = 100 * 2**20
MOST_PARTS = 2000
MOST_MERGES = 2000
CHUNK = 2**18
OVERLAP = 256
_UNFOLDS = re.compile(rb"<!(?:DOCTYPE|ENTITY)", re.IGNORECASE)
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_MERGE = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=[\"']([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})[\"']")
DAMAGED = "the workbook is damaged: open it in a spreadsheet program and save it again as .xlsx, or as CSV"
LOCKED = "the workbook is locked with a password: save it without one"


@dataclass(kw_only=True)
class Part:
    """What was seen in one packed part."""

    formulas: bool = False
    merges: set[Merge] = field(default_factory=set)


def looked_through(content: bytes) -> dict[str, Part]:
    """What each part of a workbook holds. Raises Problem where it is too large unpacked, damaged, locked, or no
    workbook.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            infos = packed.infolist()
            _refuse_large(infos)
            names = {info.filename for info in infos}
            if "xl/workbook.xml" not in names:
                raise Problem("the file is packed but is no .xlsx workbook: save the table as .xlsx or CSV")
            left = MOST_UNPACKED_BYTES
            parts = {}
            for info in infos:
                parts[info.filename], used = _read(packed, info, left)
                left -= used
            return parts
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:
        raise Problem(DAMAGED) from error


def _refuse_large(infos: list[zipfile.ZipInfo]) -> None:
    if len(infos) > MOST_PARTS:
        raise Problem(
            f"the workbook has {len(infos)} parts, but at most {MOST_PARTS} are opened: save the table as CSV"
        )
    if any(info.flag_bits & 1 for info in infos):
        raise Problem(LOCKED)
    declared = sum(info.file_size for info in infos)
    if declared > MOST_UNPACKED_BYTES:
        raise too_large(declared)


def too_large(unpacked_bytes: int) -> Problem:
    return Problem(
        f"the workbook unpacks to {unpacked_bytes / 2**20:.0f} MB or more, but at most "
        f"{MOST_UNPACKED_BYTES // 2**20} MB are opened: save only the table you need"
    )


def _read(packed: zipfile.ZipFile, info: zipfile.ZipInfo, left: int) -> tuple[Part, int]:
    """The part read in pieces, none of them kept: what it says of its size is not trusted."""
    part, used, tail = Part(), 0, b""
    is_markup = info.filename.endswith((".xml", ".rels", ".vml"))
    is_sheet = info.filename.startswith("xl/worksheets/")
    with packed.open(info) as stream:
        while piece := stream.read(CHUNK):
            used += len(piece)
            if used > left:
                raise too_large(MOST_UNPACKED_BYTES - left + used)
            if is_markup:
                _look(part, tail + piece, is_sheet)
                tail = (tail + piece)[-OVERLAP:]
    return part, used


def _look(part: Part, text: bytes, is_sheet: bool) -> None:
    if b"\x00" in text or _UNFOLDS.search(text):
        raise Problem("the workbook holds text that unfolds into more than it shows, and is not opened: save it as CSV")
    if not is_sheet:
        return
    part.formulas = part.formulas or _FORMULA.search(text) is not None
    for left, top, right, bottom in _MERGE.findall(text):
        part.merges.add(Merge(top=int(top), left=_column(left), bottom=int(bottom), right=_column(right)))
        if len(part.merges) > MOST_MERGES:
            raise Problem(f"more than {MOST_MERGES} blocks of cells are merged: unmerge them, and save it again")


def _column(letters: bytes) -> int:
    number = 0
    for one in letters:
        number = number * 26 + one - 64
    return number
