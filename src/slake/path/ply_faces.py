"""The lists of corner numbers in a PLY file, as blocks of faces with as many corners."""

from __future__ import annotations

import numpy as np

from slake.ground.problems import Problem

from .mesh import IntArray
from .mesh_limits import cut_short
from .ply_header import FACE_LISTS, Element, indices

MOST_CORNERS = 1000


def _require_corners(count: int, name: str) -> None:
    if not 0 <= count <= MOST_CORNERS:
        raise cut_short(name, f"a face of {count} corners")


def text_lists(element: Element, rows: list[list[bytes]], name: str) -> list[IntArray]:
    """Faces of a text PLY. Raises Problem for a row that is cut short or holds no numbers."""
    by_count: dict[int, list[list[bytes]]] = {}
    for row in rows:
        at = 0
        for item in element.properties:
            if not item.how_many:
                at += 1
                continue
            try:
                count = int(row[at])
            except (IndexError, ValueError):
                raise cut_short(name, "a face that does not say how many corners it has") from None
            _require_corners(count, name)
            named = row[at + 1 : at + 1 + count]
            if item.name in FACE_LISTS:
                if len(named) < count:
                    raise cut_short(name, f"a face of {count} corners that names {len(named)}")
                by_count.setdefault(count, []).append(named)
            at += 1 + count
    return [_whole(found, name) for count, found in sorted(by_count.items()) if count >= 3]


def _whole(found: list[list[bytes]], name: str) -> IntArray:
    try:
        return indices(np.array(found).astype(np.float64))
    except ValueError:
        raise Problem(f"“{name}” has a face that names no corners: the file is damaged, save it again") from None


def binary_lists(element: Element, content: bytes, at: int, name: str) -> tuple[list[IntArray], int]:
    """Faces of a binary PLY from byte `at`, and the byte after them. All alike at one stroke, else one by one."""
    alike = _all_alike(element, content, at)
    if alike is not None:
        return alike
    by_count: dict[int, list[IntArray]] = {}
    for _ in range(element.count):
        for item in element.properties:
            step = np.dtype(item.how_many or item.kind)
            if at + step.itemsize > len(content):
                raise cut_short(name, "its faces end before their number")
            if not item.how_many:
                at += step.itemsize
                continue
            count = int(np.frombuffer(content, dtype=step, count=1, offset=at)[0])
            _require_corners(count, name)
            at += step.itemsize
            kind = np.dtype(item.kind)
            if at + count * kind.itemsize > len(content):
                raise cut_short(name, "its faces end before their number")
            if item.name in FACE_LISTS and count >= 3:
                named = indices(np.frombuffer(content, dtype=kind, count=count, offset=at))
                by_count.setdefault(count, []).append(named)
            at += count * kind.itemsize
    return [np.stack(found) for _, found in sorted(by_count.items())], at


def _all_alike(element: Element, content: bytes, at: int) -> tuple[list[IntArray], int] | None:
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
    fields: list[tuple[str, str] | tuple[str, str, tuple[int]]] = []
    for item in element.properties:
        if item.how_many:
            fields += [("how many", item.how_many), ("named", item.kind, (count,))]
        else:
            fields.append((f"own {item.name}", item.kind))
    kind = np.dtype(fields)
    if at + element.count * kind.itemsize > len(content):
        return None
    rows = np.frombuffer(content, dtype=kind, count=element.count, offset=at)
    if not (rows["how many"] == count).all():
        return None
    return [indices(rows["named"])], at + element.count * kind.itemsize
