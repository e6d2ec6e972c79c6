"""Bring an object: STL, 3MF, OBJ or PLY from bytes or from a file, within limits, in metres."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from slake.ground.problems import Problem, as_typed
from slake.ground.units import to_si

from .mesh import FloatArray, IntArray, Mesh, merged
from .mesh_3mf import read_3mf
from .mesh_limits import MeshLimits, cut_short, plain_name
from .mesh_obj import read_obj
from .mesh_ply import read_ply
from .mesh_stl import read_stl

Reader = Callable[[bytes, str, MeshLimits], tuple[FloatArray, IntArray]]
WITHOUT_UNIT: dict[str, Reader] = {".stl": read_stl, ".obj": read_obj, ".ply": read_ply}
PACKED = ".3mf"
LENGTHS_M = {
    "um": to_si(1, "um"),
    "mm": to_si(1, "mm"),
    "cm": to_si(1, "cm"),
    "in": to_si(25.4, "mm"),
    "ft": to_si(304.8, "mm"),
    "m": 1.0,
}
"""One of each in metres; an inch is 25.4 mm and a foot 12 inches, exactly."""
NAMED_IN_3MF = {
    "": "mm", "micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"
}  # fmt: skip
"""Without one a 3MF is in millimetres: the open description of the format."""
LARGEST_M = 1e4
"""Corners further out than this are a slip of unit or of the file."""


def read_mesh(content: bytes, name: str, limits: MeshLimits | None = None) -> Mesh:
    """An object from the bytes of a file; its name only says by its ending which kind it is.

    What carries no unit is taken for millimetres: see `sizes.units_asked`. Raises Problem in one sentence for what is
    too large, cut short, of another kind, or holds no mesh.
    """
    limits = limits or MeshLimits()
    shown = plain_name(name)
    _require_size(len(content), shown, limits)
    ending = Path(shown.lower()).suffix if "." in shown else ""
    packed = content.startswith(b"PK")
    if ending not in (*WITHOUT_UNIT, PACKED):
        raise Problem(f"“{shown}” is not a mesh slake reads: bring it as {', '.join((*WITHOUT_UNIT, PACKED))}")
    if packed != (ending == PACKED):
        is_one = "a packed file" if packed else "no packed file"
        raise Problem(
            f"“{shown}” is {is_one} and so no {as_typed(ending)}: bring it under the ending it was saved with"
        )
    if packed:
        corners, triangles, named = read_3mf(content, shown, limits)
        unit = _named(named, shown)
    else:
        corners, triangles = WITHOUT_UNIT[ending](content, shown, limits)
        unit = "mm"
    return _made(corners, triangles, shown, unit, packed)


def _made(corners: FloatArray, triangles: IntArray, name: str, unit: str, said: bool) -> Mesh:
    """The mesh in metres, with corners at one place made one."""
    whole = Mesh(corners_m=corners, triangles=triangles, name=name, unit=unit, unit_said=said)
    furthest = float(abs(whole.corners_m).max())
    if furthest * LENGTHS_M[unit] > LARGEST_M:
        raise Problem(
            f"“{name}” has a corner {furthest:.3g} {unit} out, further than {LARGEST_M / 1e3:.0f} km: "
            "the file is damaged or its unit is wrong, save it again"
        )
    corners, triangles, dropped = merged(whole.corners_m * LENGTHS_M[unit], triangles)
    if not len(triangles):
        raise Problem(f"“{name}” holds {dropped} triangles and none has an area: save the object as a mesh")
    return replace(whole, corners_m=corners, triangles=triangles, dropped=dropped)


def read_mesh_file(path: Path, limits: MeshLimits | None = None) -> Mesh:
    """As `read_mesh`, from a file; one that is too large is refused before it is read."""
    limits = limits or MeshLimits()
    try:
        _require_size(path.stat().st_size, plain_name(path.name), limits)
        with path.open("rb") as file:
            content = file.read(limits.most_bytes + 1)
    except OSError as error:
        why = (error.strerror or "not readable").lower()
        raise Problem(f"“{plain_name(path.name)}” cannot be read ({why}): check its name and place") from None
    return read_mesh(content, path.name, limits)


def in_unit(mesh: Mesh, unit: str) -> Mesh:
    """The same numbers of the file read in another unit, as the person says. Raises Problem for an unknown unit."""
    if unit not in LENGTHS_M:
        raise Problem(f"a mesh cannot be in “{as_typed(unit)}”: say one of {', '.join(LENGTHS_M)}")
    factor = LENGTHS_M[unit] / LENGTHS_M[mesh.unit]
    return replace(mesh, corners_m=mesh.corners_m * factor, unit=unit, unit_said=True)


def _require_size(count: int, name: str, limits: MeshLimits) -> None:
    if count > limits.most_bytes:
        raise Problem(
            f"“{name}” has {count / 1e6:.0f} MB, but at most {limits.most_bytes / 1e6:.0f} MB are read: save it coarser"
        )
    if not count:
        raise cut_short(name, "it is empty")


def _named(said: str, name: str) -> str:
    if said not in NAMED_IN_3MF:
        raise Problem(f"“{name}” is in “{as_typed(said)}”, which is no unit of a 3MF: save it in millimetres")
    return NAMED_IN_3MF[said]
