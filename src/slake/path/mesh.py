"""A triangle mesh in metres: what every check, scale and writer of this room takes and gives."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import Problem

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """Corners (n, 3) in metres and triangles (m, 3) as numbers of corners, seen from outside they run anticlockwise.

    unit: the unit the file's numbers were read in; unit_said: whether the file itself says it.
    dropped: triangles of no area that were left out on reading. Raises Problem for corners that are no numbers or
    triangles of corners that are not there.
    """

    corners_m: FloatArray
    triangles: IntArray
    name: str = "mesh"
    unit: str = "mm"
    unit_said: bool = False
    dropped: int = 0

    def __post_init__(self) -> None:
        if self.corners_m.ndim != 2 or self.corners_m.shape[1:] != (3,) or self.triangles.shape[1:] != (3,):
            raise Problem(f"“{self.name}” holds no corners and triangles in space: save it again as a mesh")
        if not len(self.triangles):
            raise Problem(f"“{self.name}” holds no triangle: save the object as a mesh, not as points or lines")
        if not np.isfinite(self.corners_m).all():
            bad = int((~np.isfinite(self.corners_m).all(axis=1)).sum())
            raise Problem(f"“{self.name}” has {bad} corners that are not finite numbers: save the mesh again")
        if self.triangles.min() < 0 or self.triangles.max() >= len(self.corners_m):
            raise Problem(
                f"“{self.name}” has triangles of corners that are not there (corner {int(self.triangles.max()) + 1} "
                f"of {len(self.corners_m)}): the file is cut short or damaged, save it again"
            )

    @property
    def points_m(self) -> FloatArray:
        """The three corners of each triangle, (m, 3, 3)."""
        return self.corners_m[self.triangles]

    @property
    def low_m(self) -> FloatArray:
        return np.asarray(self.corners_m[self.used].min(axis=0))

    @property
    def high_m(self) -> FloatArray:
        return np.asarray(self.corners_m[self.used].max(axis=0))

    @property
    def size_m(self) -> FloatArray:
        """Along x, y, z, (3,)."""
        return self.high_m - self.low_m

    @property
    def used(self) -> NDArray[np.bool_]:
        """Which corners a triangle uses, (n,)."""
        seen = np.zeros(len(self.corners_m), dtype=bool)
        seen[self.triangles.ravel()] = True
        return seen


def cross_m2(mesh: Mesh) -> FloatArray:
    """Twice the area of each triangle, as a vector out of the body, (m, 3)."""
    points = mesh.points_m
    return np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])


def areas_m2(mesh: Mesh) -> FloatArray:
    """Area of each triangle, (m,)."""
    return np.asarray(np.linalg.norm(cross_m2(mesh), axis=1) / 2)


def volumes_m3(mesh: Mesh, middle_m: FloatArray | None = None) -> FloatArray:
    """Signed volume below each triangle towards a middle point, (m,): their sum is the volume of a closed mesh."""
    points = mesh.points_m - (mesh.low_m + mesh.high_m) / 2 if middle_m is None else mesh.points_m - middle_m
    crossed = np.cross(points[:, 1], points[:, 2])
    return np.asarray(np.einsum("ij,ij->i", points[:, 0], crossed) / 6)


def volume_m3(mesh: Mesh) -> float:
    """Volume of a closed mesh whose triangles all look outwards; without meaning for an open one. Source: geometry."""
    return float(volumes_m3(mesh).sum())


def on_the_bed(mesh: Mesh) -> Mesh:
    """The same mesh with its lowest point at height nought and its box centred over the middle of the bed."""
    low, high = mesh.low_m, mesh.high_m
    middle = np.array([(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, low[2]])
    return replace(mesh, corners_m=mesh.corners_m - middle)


def merged(corners_m: FloatArray, triangles: IntArray) -> tuple[FloatArray, IntArray, int]:
    """Corners at the same place made one, and triangles that use one twice left out: (corners, triangles, left out).

    The same place is the same to a hundred-millionth of the object's size, finer than four-byte numbers in a file.
    """
    if not np.isfinite(corners_m).all() or not len(corners_m):
        return corners_m, triangles, 0
    low = corners_m.min(axis=0)
    step = max(float((corners_m.max(axis=0) - low).max()) * 1e-8, 1e-12)
    steps = np.round((corners_m - low) / step).astype(np.int64)
    first, number = _alike(steps)
    triangles = number[triangles]
    kept = (
        (triangles[:, 0] != triangles[:, 1])
        & (triangles[:, 1] != triangles[:, 2])
        & (triangles[:, 2] != triangles[:, 0])
    )
    return corners_m[first], triangles[kept], int((~kept).sum())


def _alike(steps: IntArray) -> tuple[IntArray, IntArray]:
    """Of rows of three whole numbers under 2 to the 27: where each unlike one stands first, and which one each is."""
    across = np.unique(steps[:, 0] << 27 | steps[:, 1], return_inverse=True)[1].astype(np.int64)
    _, first, number = np.unique(across << 27 | steps[:, 2], return_index=True, return_inverse=True)
    return first.astype(np.int64), number.astype(np.int64)
