"""OBJ: corners and faces only. Materials and other files it names are never opened. It carries no unit."""

from __future__ import annotations

from array import array
from collections.abc import Iterator

import numpy as np

from slake.ground.problems import Problem, as_typed

from .mesh import FloatArray, IntArray
from .mesh_limits import MeshLimits, cut_short, require_triangles
from .mesh_text import LONGEST_LINE, lines_of, number_of


def read_obj(content: bytes, name: str, limits: MeshLimits) -> tuple[FloatArray, IntArray]:
    """Corners in the unit of the file; faces of more than three corners cut into fans, which is right for flat,
    bulging ones. Raises Problem with the line.
    """
    if b"\0" in content:
        raise Problem(f"“{name}” is no text and so no OBJ: bring it under the ending it was saved with")
    corners, faces = array("d"), array("q")
    for number, line in _lines(content, name, limits):
        if line.startswith((b"v ", b"v\t")):
            corners.extend(_corner(line.split(), name, number))
            if len(corners) > 9 * limits.most_triangles:
                raise Problem(f"“{name}” has over {3 * limits.most_triangles} corners: save it coarser")
        elif line.startswith((b"f ", b"f\t")):
            faces.extend(_fan(line.split()[1:], len(corners) // 3, name, number))
            if len(faces) > 3 * limits.most_triangles:
                require_triangles(len(faces) // 3, name, limits)
    require_triangles(len(faces) // 3, name, limits)
    if not corners:
        raise cut_short(name, "faces and no corners")
    return np.array(corners).reshape(-1, 3), np.array(faces, dtype=np.int64).reshape(-1, 3)


def _lines(content: bytes, name: str, limits: MeshLimits) -> Iterator[tuple[int, bytes]]:
    """Lines with their numbers, one that ends in a backslash joined with the next."""
    begun = b""
    for number, line in lines_of(content, name, limits):
        whole = begun + line
        begun = whole[:-1] + b" " if whole.endswith(b"\\") else b""
        if len(begun) > LONGEST_LINE:
            raise Problem(f"“{name}”, line {number} goes on and on: this is no mesh, save it again")
        if not begun:
            yield number, whole.lstrip()
    if begun:
        raise cut_short(name, "its last line goes on and there is no more")


def _corner(words: list[bytes], name: str, line: int) -> tuple[float, float, float]:
    if len(words) < 4:
        raise cut_short(name, f"line {line} holds {len(words) - 1} numbers where a corner has 3")
    try:
        return float(words[1]), float(words[2]), float(words[3])
    except ValueError:
        first, second, third = (number_of(word, name, line) for word in words[1:4])
        return first, second, third


def _fan(words: list[bytes], known: int, name: str, line: int) -> list[int]:
    """Corners of the triangles of one face, one after the other. A corner is named from 1, or backwards from -1; what
    follows a slash is not shape.
    """
    try:
        named = [int(word.split(b"/", 1)[0]) for word in words]
    except ValueError:
        shown = as_typed(b" ".join(words[:20]).decode("utf-8", "replace"))
        raise Problem(f"“{name}”, line {line}: “{shown}” names no corners: save it again") from None
    if len(named) < 3:
        raise cut_short(name, f"line {line} holds a face of {len(named)} corners")
    places = [place - 1 if place > 0 else known + place for place in named]
    if 0 in named or min(places) < 0 or max(places) > 2**40:
        raise Problem(f"“{name}”, line {line}: a face names a corner that is not there: save it again")
    return [place for at in range(1, len(places) - 1) for place in (places[0], places[at], places[at + 1])]
