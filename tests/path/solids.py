"""Bodies of known volume, made by the mesh library, as meshes of ours in metres (sizes given in millimetres)."""

from __future__ import annotations

import numpy as np
import trimesh

from slake.path.mesh import Mesh


def ours(body: trimesh.Trimesh, name: str = "body") -> Mesh:
    return Mesh(corners_m=np.array(body.vertices) / 1000, triangles=np.array(body.faces, dtype=np.int64), name=name)


def box(x: float = 10, y: float = 20, z: float = 30) -> trimesh.Trimesh:
    return trimesh.creation.box((x, y, z))


def ball(radius: float = 40, fine: int = 5) -> trimesh.Trimesh:
    return trimesh.creation.icosphere(subdivisions=fine, radius=radius)


def cylinder(radius: float = 20, height: float = 50, sides: int = 512) -> trimesh.Trimesh:
    return trimesh.creation.cylinder(radius, height, sections=sides)


def cone(radius: float = 20, height: float = 40, sides: int = 512) -> trimesh.Trimesh:
    """Point up, its foot at height nought."""
    return trimesh.creation.cone(radius, height, sections=sides)


def turned(body: trimesh.Trimesh, degrees: float, axis: tuple[float, float, float] = (1, 0, 0)) -> trimesh.Trimesh:
    turned_one = body.copy()
    turned_one.apply_transform(trimesh.transformations.rotation_matrix(np.radians(degrees), axis))
    return turned_one


def moved(body: trimesh.Trimesh, x: float = 0, y: float = 0, z: float = 0) -> trimesh.Trimesh:
    other = body.copy()
    other.apply_translation((x, y, z))
    return other


def together(*bodies: trimesh.Trimesh) -> trimesh.Trimesh:
    return trimesh.util.concatenate(list(bodies))


def bored(body: trimesh.Trimesh, tool: trimesh.Trimesh) -> trimesh.Trimesh:
    return body.difference(tool)
