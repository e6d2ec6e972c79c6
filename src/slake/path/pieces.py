"""A test piece: its beads, its mesh, the reading it will produce and its label."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule, Manifold, OpType
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from slake.bench.own import OwnReading
from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si, to_si

from .beads import Printer, Run, pushed_m3
from .mesh import FloatArray, Mesh
from .sections import parts
from .writing import write_gcode

LONGEST_LABEL = 60


@dataclass(frozen=True, kw_only=True, eq=False)
class Piece:
    """reading: id of the bench test it is printed for, or "" where `own` declares a reading of the lab's own.

    already: what of that reading the piece itself knows, in bench units by input name, such as the layer height.
    how: what to do with it, one sentence a line. marks: words for the label, such as the size it was printed at.
    """

    key: str
    title: str
    reading: str
    runs: tuple[Run, ...]
    mesh: Mesh
    printer: Printer
    how: tuple[str, ...]
    own: OwnReading | None = None
    already: dict[str, float] = field(default_factory=dict)
    marks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if bool(self.reading) == (self.own is not None):
            raise DoesNotFit(f"{self.title} must produce one reading: a bench test's or one declared here")

    @property
    def reads(self) -> str:
        """Name of the reading it will produce."""
        return self.reading or (self.own.key if self.own else "")

    @property
    def paste_m3(self) -> float:
        return pushed_m3(self.runs)


def label_of(piece: Piece, batch: str, number: int = 1) -> tuple[str, ...]:
    """Lines for the label that goes with the piece: what it is, of which batch, how printed, what will be read."""
    printer = piece.printer
    size = f"nozzle {_mm(printer.nozzle_m)}, bead {_mm(printer.bead_m)}, layer {_mm(printer.layer_height_m)} mm"
    lines = (f"{piece.title} {number}, {batch}", size, *piece.marks, f"reads: {piece.reads.replace('_', ' ')}")
    return tuple("".join(letter for letter in line if letter.isprintable())[:LONGEST_LABEL] for line in lines)


def gcode_of(piece: Piece, batch: str = "") -> str:
    """The piece as G-code, its label and what to do on top."""
    return write_gcode(piece.runs, piece.printer, (*label_of(piece, batch), *piece.how))


def _mm(size_m: float) -> str:
    return f"{from_si(size_m, 'mm'):.3g}"


def strip(points_m: FloatArray, bead_m: float) -> BaseGeometry:
    """What a bead of this width covers in plan, in mm: square ends, mitred corners, so that area = width x length."""
    way = LineString(points_m[:, :2] / to_si(1, "mm"))
    return way.buffer(from_si(bead_m, "mm") / 2, cap_style="flat", join_style="mitre", mitre_limit=10)


def block(shape: BaseGeometry, low_m: float, high_m: float) -> Manifold:
    """A plane shape (mm) between two heights, as a solid in mm."""
    rings = [np.asarray(ring.coords)[:-1] for piece in parts(shape).geoms for ring in _rings(piece)]
    section = CrossSection(rings, FillRule.EvenOdd)
    low, high = from_si(low_m, "mm"), from_si(high_m, "mm")
    return Manifold.extrude(section, high - low).translate((0.0, 0.0, low))


def _rings(piece: Polygon) -> list[shapely.LinearRing]:
    return [piece.exterior, *piece.interiors]


def rectangle(size_m: tuple[float, float], middle_m: tuple[float, float] = (0.0, 0.0)) -> BaseGeometry:
    """A rectangle in plan, in mm."""
    x, y = (from_si(half / 2, "mm") for half in size_m)
    at_x, at_y = (from_si(at, "mm") for at in middle_m)
    return shapely.box(at_x - x, at_y - y, at_x + x, at_y + y)


def mesh_of(solids: Sequence[Manifold], name: str) -> Mesh:
    """Solids in mm joined to one mesh in metres."""
    whole = Manifold.batch_boolean(list(solids), OpType.Add).to_mesh64()
    return Mesh(
        corners_m=np.asarray(whole.vert_properties[:, :3], dtype=np.float64) * to_si(1, "mm"),
        triangles=np.asarray(whole.tri_verts).astype(np.int64),
        name=name,
        unit_said=True,
    )
