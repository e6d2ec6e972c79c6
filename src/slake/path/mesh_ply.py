"""PLY, text and binary of either byte order: corners and faces only. It carries no unit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from slake.ground.problems import Problem, as_typed

from .mesh import FloatArray, IntArray
from .mesh_limits import MeshLimits, cut_short, require_triangles
from .mesh_text import lines_of
from .ply_faces import Faces, binary_lists, text_lists
from .ply_header import Element, Header, read_header
from .ply_text import corners_of_text


@dataclass(frozen=True, kw_only=True)
class _Body:
    """What follows the header."""

    content: bytes
    header: Header
    name: str


def read_ply(content: bytes, name: str, limits: MeshLimits) -> tuple[FloatArray, IntArray]:
    """Corners in the unit of the file; faces of more than three corners cut into fans. Raises Problem."""
    header = read_header(content, name)
    for element in header.elements:
        most = limits.most_triangles if element.has_list else 3 * limits.most_triangles
        if element.count > len(content):
            raise cut_short(name, f"it says {element.count} of “{as_typed(element.name)}” in {len(content)} bytes")
        if element.count > most:
            raise Problem(
                f"“{name}” has {element.count} of “{as_typed(element.name)}”, at most {most}: save it coarser"
            )
    body = _Body(content=content, header=header, name=name)
    corners, faces = _text(body, limits) if header.text else _binary(body)
    if corners is None or faces is None:
        raise Problem(f"“{name}” holds no corners and faces: save the object as a mesh")
    require_triangles(sum(len(block) * (block.shape[1] - 2) for block in faces), name, limits)
    return corners, _fans(faces)


def _text(body: _Body, limits: MeshLimits) -> tuple[FloatArray | None, Faces | None]:
    rows, corners, faces = _rows(body, limits), None, None
    for element in body.header.elements:
        if element.name == "vertex":
            corners = corners_of_text(element, rows, body.name)
        elif element.name == "face":
            faces = text_lists(element, rows, body.name)
        else:
            for _ in range(element.count):
                next(rows)
    return corners, faces


def _rows(body: _Body, limits: MeshLimits) -> Iterator[list[bytes]]:
    """Words of one line after the other, empty ones left out. Raises Problem where there are no more."""
    for _, line in lines_of(body.content, body.name, limits, body.header.body):
        words = line.split()
        if words:
            yield words
    raise cut_short(body.name, "its lines end before their number")


def _binary(body: _Body) -> tuple[FloatArray | None, Faces | None]:
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
            corners = _corners(element, body, at)
        at = end
    return corners, faces


def _corners(element: Element, body: _Body, at: int) -> FloatArray:
    element.corner_places(body.name)
    rows = np.frombuffer(body.content, dtype=element.row_type(), count=element.count, offset=at)
    with np.errstate(invalid="ignore"):
        return np.stack([rows[axis].astype(np.float64) for axis in ("x", "y", "z")], axis=1)


def _fans(faces: list[IntArray]) -> IntArray:
    """Triangles (m, 3) of faces given as blocks (k, corners) of alike ones."""
    cut = [
        np.stack([block[:, 0], block[:, place], block[:, place + 1]], axis=1)
        for block in faces
        for place in range(1, block.shape[1] - 1)
    ]
    return np.concatenate(cut) if cut else np.empty((0, 3), dtype=np.int64)
