"""The lists of corner numbers in a PLY file, as blocks of faces with as many corners."""

from __future__ import annotations

from array import array
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import Problem

from .mesh import IntArray
from .mesh_limits import cut_short
from .ply_header import FACE_LISTS, Element, indices

MOST_CORNERS = 1000
Faces = list[IntArray]
"""Blocks (k, corners) of faces with as many corners."""


def _require_corners(count: int, name: str) -> None:
    if not 0 <= count <= MOST_CORNERS:
        raise cut_short(name, f"a face of {count} corners")


def text_lists(element: Element, rows: Iterator[list[bytes]], name: str) -> Faces:
    """Faces of a text PLY. Raises Problem for a row that is cut short or holds no numbers."""
    by_count: dict[int, array[int]] = {}
    try:
        for _ in range(element.count):
            named = _named(element, next(rows), name)
            if len(named) >= 3:
                by_count.setdefault(len(named), array("q")).extend(named)
    except (IndexError, ValueError, OverflowError):
        raise Problem(f"“{name}” has a face that names no corners: the file is damaged, save it again") from None
    return [np.array(found, dtype=np.int64).reshape(-1, count) for count, found in sorted(by_count.items())]


def _named(element: Element, row: list[bytes], name: str) -> list[int]:
    """Corners one row of a face names."""
    at = 0
    for item in element.properties:
        if not item.how_many:
            at += 1
            continue
        count = int(row[at])
        _require_corners(count, name)
        if item.name in FACE_LISTS:
            named = [int(word) for word in row[at + 1 : at + 1 + count]]
            if len(named) < count:
                raise cut_short(name, f"a face of {count} corners that names {len(named)}")
            return named
        at += 1 + count
    return []


def binary_lists(element: Element, content: bytes, at: int, name: str) -> tuple[Faces, int]:
    """Faces of a binary PLY from byte `at`, and the byte after them. All alike at one stroke, else one by one."""
    alike = _all_alike(element, content, at)
    if alike is not None:
        return alike
    by_count: dict[int, list[IntArray]] = {}
    for _ in range(element.count):
        for item in element.properties:
            count = 1
            if item.how_many:
                count = int(_numbers(content, at, item.how_many, 1, name)[0])
                _require_corners(count, name)
                at += np.dtype(item.how_many).itemsize
            found = _numbers(content, at, item.kind, count, name)
            at += found.nbytes
            if item.name in FACE_LISTS and item.how_many and count >= 3:
                by_count.setdefault(count, []).append(indices(found))
    return [np.stack(found) for _, found in sorted(by_count.items())], at


def _numbers(content: bytes, at: int, kind: str, count: int, name: str) -> NDArray[np.generic]:
    if at + count * np.dtype(kind).itemsize > len(content):
        raise cut_short(name, "its faces end before their number")
    return np.frombuffer(content, dtype=kind, count=count, offset=at)


def _all_alike(element: Element, content: bytes, at: int) -> tuple[Faces, int] | None:
    """As above where one list of the same count stands in every row; None where that is not so."""
    lists = [item for item in element.properties if item.how_many]
    if len(lists) != 1 or lists[0].name not in FACE_LISTS or not element.count:
        return None
    before = element.properties[: element.properties.index(lists[0])]
    count_at = at + sum(np.dtype(item.kind).itemsize for item in before)
    step = np.dtype(lists[0].how_many)
    if count_at + step.itemsize > len(content):
        return None
    count = int(np.frombuffer(content, dtype=step, count=1, offset=count_at)[0])
    if not 3 <= count <= MOST_CORNERS:
        return None
    kind = _row_type(element, count)
    if at + element.count * kind.itemsize > len(content):
        return None
    rows = np.frombuffer(content, dtype=kind, count=element.count, offset=at)
    if not (rows["how many"] == count).all():
        return None
    return [indices(rows["named"])], at + element.count * kind.itemsize


def _row_type(element: Element, count: int) -> np.dtype[np.void]:
    """One row of a face whose list holds `count` corners."""
    fields: list[tuple[str, str] | tuple[str, str, tuple[int]]] = []
    for item in element.properties:
        if item.how_many:
            fields += [("how many", item.how_many), ("named", item.kind, (count,))]
        else:
            fields.append((f"own {item.name}", item.kind))
    return np.dtype(fields)
