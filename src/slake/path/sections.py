"""Level cuts through a closed object, as plane shapes. Lengths in metres outside, millimetres within."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from manifold3d import CrossSection, Error, FillRule, Manifold, Mesh64, OpType
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si

from .mesh import FloatArray, Mesh

FINEST_MM = 0.02
"""Cuts are smoothed to this: far finer than a bead. Practice."""


@dataclass(frozen=True, kw_only=True)
class Cut:
    """A level cut at height_m above the lowest point; shape in millimetres, empty where there is nothing."""

    height_m: float
    shape: MultiPolygon

    @property
    def area_m2(self) -> float:
        return float(self.shape.area) * to_si(1, "mm") ** 2

    @property
    def around_m(self) -> float:
        """Length of all its outlines."""
        return to_si(float(self.shape.length), "mm")


def solid_of(mesh: Mesh) -> Manifold:
    """The closed mesh as a solid in millimetres, its lowest point at height nought. Raises Problem where it is none."""
    corners = np.ascontiguousarray((mesh.corners_m - [0.0, 0.0, mesh.low_m[2]]) * from_si(1.0, "mm"))
    solid = Manifold(Mesh64(corners, np.ascontiguousarray(mesh.triangles.astype(np.uint64))))
    if solid.status() != Error.NoError or solid.is_empty():
        raise Problem(f"“{mesh.name}” is no closed body and cannot be cut into layers: close it first")
    return solid


def joined_m3(mesh: Mesh) -> float:
    """Volume of all bodies of a closed mesh together, what they have in common counted once."""
    joined = Manifold.batch_boolean(solid_of(mesh).decompose(), OpType.Add)
    return float(joined.volume()) * to_si(1, "mm") ** 3


def cuts_at(solid: Manifold, heights_m: FloatArray) -> list[Cut]:
    """Level cuts, overlapping bodies taken as one."""
    return [
        Cut(height_m=float(height), shape=_shape(solid.slice(float(from_si(float(height), "mm")))))
        for height in heights_m
    ]


def _shape(cut: CrossSection) -> MultiPolygon:
    """Outlines of a cut as polygons with holes. The library's own union leaves rings that nest and never cross."""
    rings = CrossSection(cut.simplify(FINEST_MM).to_polygons(), FillRule.Positive).to_polygons()
    lines = [shapely.LinearRing(ring) for ring in rings if len(ring) >= 3]
    return parts(shapely.build_area(shapely.GeometryCollection(lines))) if lines else MultiPolygon()


def parts(shape: BaseGeometry) -> MultiPolygon:
    """The areas of any plane shape; lines and points are dropped."""
    pieces = shapely.get_parts(shape).tolist() if not shape.is_empty else []
    return MultiPolygon([piece for piece in pieces if isinstance(piece, Polygon) and piece.area > 0])


def level_heights_m(height_m: float, step_m: float, most: int) -> tuple[FloatArray, float]:
    """Middles of layers up to a height, at most `most`, and the step between them: (heights, step)."""
    count = int(min(max(np.ceil(height_m / step_m - 1e-9), 1), most))
    step = height_m / count
    return np.asarray((np.arange(count) + 0.5) * step), step
