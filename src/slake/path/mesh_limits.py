"""How large a mesh file may be, and the sentences for one that is cut short or of another kind."""

from __future__ import annotations

import re
from dataclasses import dataclass

from slake.ground.problems import Problem, as_typed

MEGABYTE = 1_000_000


@dataclass(frozen=True, kw_only=True)
class MeshLimits:
    """most_unpacked_bytes: of everything in a packed file together; most_packing: unpacked over packed, from where a
    packed file is taken for a trap. Practice, no source: a scan of a vessel has under a million triangles.
    """

    most_bytes: int = 250 * MEGABYTE
    most_triangles: int = 1_000_000
    most_unpacked_bytes: int = 400 * MEGABYTE
    most_packing: float = 200.0
    most_packed_files: int = 1000


def plain_name(name: str) -> str:
    """The last part of a file name, on one line, fit for a sentence and for a label."""
    last = re.split(r"[/\\]", name.strip())[-1]
    return as_typed(last.lstrip(".")) or "mesh"


def require_triangles(count: int, name: str, limits: MeshLimits) -> None:
    """Raise Problem for a mesh of none or of more triangles than are worked on here."""
    if count < 1:
        raise Problem(f"“{name}” holds no triangle: save the object as a mesh, not as points or lines")
    if count > limits.most_triangles:
        raise Problem(
            f"“{name}” has {count} triangles, but at most {limits.most_triangles} are read: "
            "save it coarser; a paste print shows nothing finer than a tenth of a millimetre"
        )


def cut_short(name: str, says: str) -> Problem:
    return Problem(f"“{name}” is cut short or damaged ({says}): save or copy it again")
