"""Workbooks made for tests: rows in, bytes out; and one with a part of it changed."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Sequence
from typing import Any

import openpyxl


def workbook(rows: Sequence[Sequence[object]], change: Callable[[Any], object] | None = None) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(list(row))
    if change:
        change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(content: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """The same workbook with one packed part changed (or added, from nothing)."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        for one in names:
            new.writestr(one, change(old.read(one)) if one == name else old.read(one))
        if name not in names:
            new.writestr(name, change(b""))
    return out.getvalue()
