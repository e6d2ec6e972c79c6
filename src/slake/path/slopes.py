"""How far the surface of an object leans out over the air, against what a paste bears."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si

from .mesh import FloatArray, Mesh, areas_m2, cross_m2
from .mesh_edges import edges_of

USUAL_LEAN = Range(low=25.0, mid=30.0, high=35.0)
"""Degrees from the upright a free edge of paste leans out before it sags: common practice, no source. A closed curved
shape printed slowly bears up to about 45."""
MOST_SHOWN = 12
ON_THE_BED = 1e-3
"""Of the height: a flat underside this near the lowest point lies on the bed."""
FLAT = 0.999


@dataclass(frozen=True, kw_only=True)
class Leaning:
    """One patch of underside beyond the limit. middle_m: (3,); area_m2 of the surface itself."""

    area_m2: float
    worst_deg: float
    low_m: float
    high_m: float
    middle_m: FloatArray

    @property
    def in_words(self) -> str:
        return (
            f"{from_si(self.low_m, 'mm'):.3g} to {from_si(self.high_m, 'mm'):.3g} mm up it leans out by up to "
            f"{self.worst_deg:.0f} degrees over {from_si(from_si(self.area_m2, 'mm'), 'mm'):.3g} mm²"
        )


@dataclass(frozen=True, kw_only=True)
class Slopes:
    """lean_deg: of each triangle from the upright, (m,): 0 upright or looking up, 90 a ceiling; nought on the bed.

    beyond: patches over the middle of the limit, the largest first. doubtful_m2: area between the ends of the limit.
    """

    limit_deg: Range
    lean_deg: FloatArray
    worst_deg: float
    beyond_m2: float
    doubtful_m2: float
    beyond: tuple[Leaning, ...]


def leans_deg(mesh: Mesh) -> FloatArray:
    """How far each triangle leans out over the air, in degrees from the upright, (m,). What lies on the bed does not.

    Holds for a mesh whose triangles look outwards. Source: geometry.
    """
    crossed = cross_m2(mesh)
    length = np.linalg.norm(crossed, axis=1)
    down = np.divide(-crossed[:, 2], length, out=np.zeros(len(length)), where=length > 0)
    lean: FloatArray = np.degrees(np.arcsin(np.clip(down, 0.0, 1.0))) + 0.0
    lean[_on_the_bed(mesh, down)] = 0.0
    return lean


def _on_the_bed(mesh: Mesh, down: FloatArray) -> NDArray[np.bool_]:
    heights = mesh.points_m[:, :, 2].max(axis=1) - mesh.low_m[2]
    return np.asarray((down > FLAT) & (heights <= ON_THE_BED * float(mesh.size_m[2])))


def slopes_beyond(mesh: Mesh, limit_deg: Range = USUAL_LEAN) -> Slopes:
    """Undersides that lean out beyond what the paste bears, as patches. Raises OutsideRange for no such limit."""
    if not 0 < limit_deg.low <= limit_deg.high < 90:
        raise OutsideRange(
            "slope a paste bears (degrees from upright)", got=limit_deg.low, low=1, high=89, do="25 to 35 is usual"
        )
    lean, areas = leans_deg(mesh), areas_m2(mesh)
    over = lean > limit_deg.mid
    doubtful = (lean > limit_deg.low) & (lean <= limit_deg.high)
    return Slopes(
        limit_deg=limit_deg,
        lean_deg=lean,
        worst_deg=float(lean.max()),
        beyond_m2=float(areas[over].sum()),
        doubtful_m2=float(areas[doubtful].sum()),
        beyond=_patches(mesh, over, lean, areas),
    )


def _patches(mesh: Mesh, over: NDArray[np.bool_], lean: FloatArray, areas: FloatArray) -> tuple[Leaning, ...]:
    """Triangles that are over and hang together by an edge."""
    if not over.any():
        return ()
    pairs = edges_of(mesh).pairs
    both = pairs[over[pairs].all(axis=1)]
    links = coo_matrix((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(len(over), len(over)))
    _, label = connected_components(links, directed=False)
    used, label = np.unique(label[over], return_inverse=True)
    area = np.bincount(label, areas[over], len(used))
    middles = mesh.points_m[over].mean(axis=1)
    heights = mesh.points_m[over][:, :, 2]
    found = []
    for at in np.argsort(-area)[:MOST_SHOWN]:
        own = label == at
        found.append(
            Leaning(
                area_m2=float(area[at]),
                worst_deg=float(lean[over][own].max()),
                low_m=float(heights[own].min()),
                high_m=float(heights[own].max()),
                middle_m=np.average(middles[own], axis=0, weights=np.maximum(areas[over][own], 1e-30)),
            )
        )
    return tuple(found)
