"""Text meshes, line by line: how many lines, how long a line, and numbers with the line they stand on."""

from __future__ import annotations

import io
from collections.abc import Iterator

from slake.ground.problems import Problem, as_typed

from .mesh_limits import MeshLimits

LINES_PER_TRIANGLE = 8
LONGEST_LINE = 16_384


def lines_of(content: bytes, name: str, limits: MeshLimits, begin: int = 0) -> Iterator[tuple[int, bytes]]:
    """Lines from a byte on, with their numbers in the file. Raises Problem for one that is far too long, and for more
    lines than a mesh of so many triangles has.
    """
    text = content if b"\n" in content else content.replace(b"\r", b"\n")
    most, count = LINES_PER_TRIANGLE * limits.most_triangles, text.count(b"\n")
    if count > most:
        raise Problem(f"“{name}” has {count} lines, but at most {most} are read: save it coarser")
    stream = io.BytesIO(text)
    stream.seek(begin)
    for number, line in enumerate(stream, text.count(b"\n", 0, begin) + 1):
        if len(line) > LONGEST_LINE:
            raise Problem(
                f"“{name}”, line {number} is over {LONGEST_LINE} letters long: this is no mesh, save it again"
            )
        yield number, line.rstrip(b"\r\n")


def number_of(text: bytes, name: str, line: int) -> float:
    """One number of a text mesh. Raises Problem with the line."""
    try:
        return float(text)
    except ValueError:
        shown = as_typed(text.decode("utf-8", "replace"))
        raise Problem(f"“{name}”, line {line}: “{shown}” is no number: the file is damaged, save it again") from None
