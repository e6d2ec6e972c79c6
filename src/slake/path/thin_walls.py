"""Walls and tips thinner than the bead, which a printer leaves out or lays too thick."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import MultiPolygon, Polygon

from slake.ground.problems import require_positive
from slake.ground.units import from_si, to_si

from .mesh import FloatArray
from .sections import Cut, parts

MOST_SHOWN = 12
ALMOST = 0.98
"""A wall drawn as wide as the bead is printed as one: only what is thinner by more than 2 % is thin."""
LONG = 1.5
"""Sharp corners leave slivers shorter than this many beads; a printer rounds them and nothing is lost. Practice."""


@dataclass(frozen=True, kw_only=True)
class ThinWall:
    """A stretch of wall thinner than the bead, at one height. middle_m: (2,) in plan."""

    height_m: float
    thickness_m: float
    length_m: float
    middle_m: FloatArray

    @property
    def in_words(self) -> str:
        x, y = (float(f"{from_si(float(along), 'mm'):.1f}") for along in self.middle_m)
        return (
            f"{from_si(self.height_m, 'mm'):.3g} mm up, at x {x:g}, y {y:g} mm: {from_si(self.thickness_m, 'mm'):.2g} "
            f"mm thick over {from_si(self.length_m, 'mm'):.3g} mm"
        )


@dataclass(frozen=True, kw_only=True)
class ThinWalls:
    """thinnest_m: None where nothing is thinner than the bead. layers_share: of the cuts that hold a thin wall."""

    bead_m: float
    thinnest_m: float | None
    layers_share: float
    found: tuple[ThinWall, ...]


def walls_thinner(cuts: list[Cut], bead_m: float) -> ThinWalls:
    """What a disc as wide as the bead cannot reach in each level cut. Raises OutsideRange for a bead of no width.

    Seen in level cuts only: a floor or roof thinner than a layer is not. Source: geometry.
    """
    require_positive(bead_m=bead_m)
    by_cut = [_thin_in(cut, bead_m) for cut in cuts if not cut.shape.is_empty]
    found = sorted((wall for walls in by_cut for wall in walls), key=lambda wall: wall.thickness_m)
    return ThinWalls(
        bead_m=bead_m,
        thinnest_m=found[0].thickness_m if found else None,
        layers_share=sum(bool(walls) for walls in by_cut) / max(len(by_cut), 1),
        found=tuple(found[:MOST_SHOWN]),
    )


def _thin_in(cut: Cut, bead_m: float) -> list[ThinWall]:
    bead_mm = from_si(bead_m, "mm")
    radius = ALMOST * bead_mm / 2
    reached = cut.shape.buffer(-radius).buffer(radius * 1.02, quad_segs=16)
    left: MultiPolygon = parts(cut.shape.difference(reached))
    return [_wall(piece, cut) for piece in left.geoms if _length_mm(piece) >= LONG * bead_mm]


def _length_mm(piece: Polygon) -> float:
    """Half of its outline: the length of a narrow strip or ring."""
    return float(piece.length) / 2


def _thickness_mm(piece: Polygon) -> float:
    """Mean thickness of a strip of its outline and area; of a ring where it goes round a hole. Source: geometry."""
    half, area = _length_mm(piece), float(piece.area)
    if len(piece.interiors):
        return area / half
    return (half - math.sqrt(max(half**2 - 4 * area, 0.0))) / 2


def _wall(piece: Polygon, cut: Cut) -> ThinWall:
    middle = np.array(piece.representative_point().coords[0])
    return ThinWall(
        height_m=cut.height_m,
        thickness_m=to_si(_thickness_mm(piece), "mm"),
        length_m=to_si(_length_mm(piece), "mm"),
        middle_m=middle * to_si(1, "mm"),
    )
