"""STL, binary and text. It carries no unit."""

from __future__ import annotations

import io
import re
from itertools import islice

import numpy as np
from trimesh.exchange.stl import load_stl_binary

from slake.ground.problems import Problem

from .mesh import FloatArray, IntArray
from .mesh_limits import MeshLimits, cut_short, require_triangles
from .mesh_text import number_of

HEADER, PER_TRIANGLE = 84, 50
"""Bytes before the first triangle, and of each: the open description of the format."""
_CORNER = re.compile(rb"\bvertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)", re.I)
_BEGUN, _ENDED = re.compile(rb"\bfacet\b", re.I), re.compile(rb"\bendfacet\b", re.I)
AT_ONCE = 50_000
_LOOKS_LIKE_TEXT = re.compile(rb"\s*solid\b", re.I)


def read_stl(content: bytes, name: str, limits: MeshLimits) -> tuple[FloatArray, IntArray]:
    """Corners as they stand, three to a triangle, in the unit of the file. Raises Problem."""
    said = int.from_bytes(content[HEADER - 4 : HEADER], "little") if len(content) >= HEADER else -1
    if said >= 0 and len(content) == HEADER + PER_TRIANGLE * said:
        require_triangles(said, name, limits)
        with np.errstate(invalid="ignore"):
            corners = load_stl_binary(io.BytesIO(content))["vertices"].astype(np.float64)
    elif _LOOKS_LIKE_TEXT.match(content) and b"facet" in content[:2000].lower():
        corners = _text(content, name, limits)
    else:
        raise _not_whole(content, name, said)
    return corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)


def _not_whole(content: bytes, name: str, said: int) -> Problem:
    if said < 0:
        return cut_short(name, f"{len(content)} bytes, and the least an STL has is {HEADER}")
    there = (len(content) - HEADER) // PER_TRIANGLE
    if there >= said:
        return cut_short(name, f"it says {said} triangles and goes on for {len(content)} bytes")
    return cut_short(name, f"it says {said} triangles and holds {there}")


def _text(content: bytes, name: str, limits: MeshLimits) -> FloatArray:
    """Corners of a text STL: every facet closed, every solid ended, every number a number."""
    begun, ended = (sum(1 for _ in words.finditer(content)) for words in (_BEGUN, _ENDED))
    require_triangles(begun, name, limits)
    found = _CORNER.finditer(content)
    blocks = []
    try:
        while block := [match.groups() for match in islice(found, AT_ONCE)]:
            blocks.append(np.array(block).astype(np.float64))
    except ValueError:
        raise _which(content, name) from None
    count = sum(len(block) for block in blocks)
    if begun != ended or count != 3 * begun or b"endsolid" not in content[-400:].lower():
        raise cut_short(name, f"{begun} triangles begun, {ended} ended, {count} corners")
    return np.concatenate(blocks)


def _which(content: bytes, name: str) -> Problem:
    """The first corner that is none, with its line."""
    for match in _CORNER.finditer(content):
        for word in match.groups():
            try:
                number_of(word, name, content.count(b"\n", 0, match.start()) + 1)
            except Problem as problem:
                return problem
    return cut_short(name, "a corner that is no number")
