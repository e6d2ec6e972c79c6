"""PLY, text and binary of either byte order: corners and faces only. It carries no unit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slake.ground.problems import Problem, as_typed

from .mesh import FloatArray, IntArray
from .mesh_limits import MeshLimits, cut_short, require_triangles
from .ply_faces import binary_lists, text_lists
from .ply_header import Element, Header, read_header


@dataclass(frozen=True, kw_only=True)
class _Body:
    """What follows the header, and how far it has been read."""

    content: bytes
    header: Header
    name: str


def read_ply(content: bytes, name: str, limits: MeshLimits) -> tuple[FloatArray, IntArray]:
    """Corners in the unit of the file; faces of more than three corners cut into fans. Raises Problem."""
    header = read_header(content, name)
    for element in header.elements:
        if element.count > len(content):
            raise cut_short(name, f"it says {element.count} of “{as_typed(element.name)}” in {len(content)} bytes")
    body = _Body(content=content, header=header, name=name)
    corners, faces = _text(body) if header.text else _binary(body)
    if corners is None or faces is None:
        raise Problem(f"“{name}” holds no corners and faces: save the object as a mesh")
    triangles = _fans(faces)
    require_triangles(len(triangles), name, limits)
    return corners, triangles


def _text(body: _Body) -> tuple[FloatArray | None, list[IntArray] | None]:
    lines = [words for line in body.content[body.header.body :].splitlines() if (words := line.split())]
    at, corners, faces = 0, None, None
    for element in body.header.elements:
        rows = lines[at : at + element.count]
        if len(rows) < element.count:
            raise cut_short(body.name, f"{len(rows)} of {element.count} lines of “{as_typed(element.name)}”")
        at += element.count
        if element.name == "vertex":
            corners = _corners_of_text(element, rows, body.name)
        elif element.name == "face":
            faces = text_lists(element, rows, body.name)
    return corners, faces


def _corners_of_text(element: Element, rows: list[list[bytes]], name: str) -> FloatArray:
    places = element.corner_places(name)
    try:
        return np.array([[row[place] for place in places] for row in rows]).astype(np.float64).reshape(-1, 3)
    except (IndexError, ValueError):
        raise cut_short(name, "a corner that is not three numbers") from None


def _binary(body: _Body) -> tuple[FloatArray | None, list[IntArray] | None]:
    at, corners, faces = body.header.body, None, None
    for element in body.header.elements:
        if element.has_list:
            found, at = binary_lists(element, body.content, at, body.name)
            faces = found if element.name == "face" else faces
            continue
        kind = element.row_type()
        end = at + element.count * kind.itemsize
        if end > len(body.content):
            raise cut_short(body.name, f"{len(body.content)} bytes where {end} are needed")
        if element.name == "vertex":
            element.corner_places(body.name)
            rows = np.frombuffer(body.content, dtype=kind, count=element.count, offset=at)
            with np.errstate(invalid="ignore"):
                corners = np.stack([rows[axis].astype(np.float64) for axis in ("x", "y", "z")], axis=1)
        at = end
    return corners, faces


def _fans(faces: list[IntArray]) -> IntArray:
    """Triangles (m, 3) of faces given as blocks (k, corners) of alike ones."""
    cut = [
        np.stack([block[:, 0], block[:, place], block[:, place + 1]], axis=1)
        for block in faces
        for place in range(1, block.shape[1] - 1)
    ]
    return np.concatenate(cut) if cut else np.empty((0, 3), dtype=np.int64)
