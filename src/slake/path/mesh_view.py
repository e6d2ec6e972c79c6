"""A coarser mesh for looking at: never for measuring."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from manifold3d import Error, Manifold, Mesh64

from slake.ground.units import to_si

from .mesh import FloatArray, IntArray, Mesh

MOST_TRIANGLES = 40_000
TRIES = 12
CUBES_ACROSS, COARSER = 150, 1.4


def for_view(mesh: Mesh, at_most: int = MOST_TRIANGLES) -> Mesh:
    """The mesh with at most so many triangles; the one given where it has no more.

    A closed one is simplified so that its surface hardly moves; any other has corners of one small cube drawn together.
    """
    if len(mesh.triangles) <= at_most:
        return mesh
    found = _simplified(mesh, at_most)
    return found if found is not None else _drawn_together(mesh, at_most)


def _simplified(mesh: Mesh, at_most: int) -> Mesh | None:
    """By the library, a little coarser each time; None where the mesh is no closed body."""
    in_mm = to_si(1, "mm")
    corners = np.ascontiguousarray(mesh.corners_m / in_mm)
    solid = Manifold(Mesh64(corners, np.ascontiguousarray(mesh.triangles.astype(np.uint64))))
    if solid.status() != Error.NoError or solid.is_empty():
        return None
    step = float(mesh.size_m.max()) / in_mm * 2e-5
    for _ in range(TRIES):
        solid = solid.simplify(step)
        if solid.num_tri() <= at_most:
            break
        step *= 2
    if not 0 < solid.num_tri() <= at_most:
        return None
    coarse = solid.to_mesh64()
    points: FloatArray = np.asarray(coarse.vert_properties[:, :3], dtype=np.float64) * in_mm
    return replace(mesh, corners_m=points, triangles=np.asarray(coarse.tri_verts).astype(np.int64))


def _drawn_together(mesh: Mesh, at_most: int) -> Mesh:
    """Corners within one cube become their mean; cubes grow until the triangles left are few enough."""
    cube = float(mesh.size_m.max()) / CUBES_ACROSS
    while True:
        corners, triangles = _clustered(mesh, cube)
        if len(triangles) <= at_most:
            break
        cube *= COARSER
    if not len(triangles):
        kept = np.argsort(-_extent(mesh))[:at_most]
        return replace(mesh, triangles=mesh.triangles[kept])
    return replace(mesh, corners_m=corners, triangles=triangles)


def _extent(mesh: Mesh) -> FloatArray:
    points = mesh.points_m
    return np.asarray((points.max(axis=1) - points.min(axis=1)).max(axis=1))


def _clustered(mesh: Mesh, cube_m: float) -> tuple[FloatArray, IntArray]:
    steps = np.floor((mesh.corners_m - mesh.corners_m.min(axis=0)) / cube_m).astype(np.int64)
    _, place, count = np.unique(steps @ [1 << 40, 1 << 20, 1], return_inverse=True, return_counts=True)
    means = np.stack([np.bincount(place, mesh.corners_m[:, axis]) / count for axis in range(3)], axis=1)
    triangles = place[mesh.triangles]
    unlike = (np.diff(np.sort(triangles, axis=1), axis=1) > 0).all(axis=1)
    triangles = triangles[unlike]
    ordered = np.sort(triangles, axis=1)
    _, first = np.unique((ordered[:, 0] * len(means) + ordered[:, 1]) * len(means) + ordered[:, 2], return_index=True)
    return means, triangles[np.sort(first)]
