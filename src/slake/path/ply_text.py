"""Corners of a text PLY, row by row, so that only numbers are kept."""

from __future__ import annotations

from array import array
from collections.abc import Iterator

import numpy as np

from .mesh import FloatArray
from .mesh_limits import cut_short
from .ply_header import Element


def corners_of_text(element: Element, rows: Iterator[list[bytes]], name: str) -> FloatArray:
    """(n, 3). Raises Problem for a row that holds no three numbers."""
    x, y, z = element.corner_places(name)
    found = array("d")
    try:
        for _ in range(element.count):
            row = next(rows)
            found.extend((float(row[x]), float(row[y]), float(row[z])))
    except (IndexError, ValueError):
        raise cut_short(name, "a corner that is not three numbers") from None
    return np.array(found).reshape(-1, 3)
