"""Whether a mesh is a body: where it is open, which triangles look the wrong way, how many bodies, what volume."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from slake.ground.units import from_si

from .mesh import FloatArray, IntArray, Mesh, volumes_m3
from .mesh_edges import Edges, edges_of

MOST_SHOWN = 12
MOST_BODIES = 1000
"""A print has a few bodies; a mesh of more than this is loose triangles or a whole tray. Practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Opening:
    """One place where the surface is open: how far round, and its middle. middle_m is (3,)."""

    edges: int
    around_m: float
    middle_m: FloatArray

    @property
    def in_words(self) -> str:
        x, y, z = (float(f"{from_si(float(along), 'mm'):.1f}") for along in self.middle_m)
        return f"at x {x:g}, y {y:g}, z {z:g} mm, {from_si(self.around_m, 'mm'):.3g} mm round"


@dataclass(frozen=True, kw_only=True)
class Soundness:
    """What `check_closed` finds. `mesh` is the one given with flipped triangles turned back and bodies outside out.

    openings: the widest first, at most twelve of openings_count. shared: edges where more than two triangles meet.
    flipped: triangles that looked the other way than their neighbours. one_sided: pieces that have no outside at all.
    hollows: closed surfaces within another body, taken for hollows in it. inside_out: bodies that were turned.
    volume_m3: None where it is open, as an open mesh has none.
    """

    mesh: Mesh
    openings: tuple[Opening, ...]
    openings_count: int
    shared: int
    flipped: int
    one_sided: int
    bodies: int
    hollows: int
    inside_out: int
    volume_m3: float | None

    @property
    def closed(self) -> bool:
        return not (self.openings_count or self.shared or self.one_sided)


def check_closed(mesh: Mesh) -> Soundness:
    """Openings, flipped triangles, bodies and volume, for a mesh of any kind.

    It does not see surfaces that cut through one another. Triangles are turned only where their neighbours say how;
    nothing is filled.
    """
    edges = edges_of(mesh)
    openings, count = _openings(mesh, edges)
    piece, turned, one_sided = _sides(len(mesh.triangles), edges)
    straight = _turn(mesh, turned)
    closed = not count and not edges.shared and not one_sided
    if not closed:
        return Soundness(
            mesh=straight, openings=openings, openings_count=count, shared=edges.shared, flipped=int(turned.sum()),
            one_sided=one_sided, bodies=_bodies(piece), hollows=0, inside_out=0, volume_m3=None,
        )  # fmt: skip
    outward, hollow, inside_out = _outwards(straight, piece)
    return Soundness(
        mesh=outward, openings=(), openings_count=0, shared=0, flipped=int(turned.sum()), one_sided=0,
        bodies=_bodies(piece) - hollow, hollows=hollow, inside_out=inside_out,
        volume_m3=float(volumes_m3(outward).sum()),
    )  # fmt: skip


def _bodies(piece: IntArray) -> int:
    return int(piece.max()) + 1


def _turn(mesh: Mesh, turned: FloatArray) -> Mesh:
    if not turned.any():
        return mesh
    triangles = mesh.triangles.copy()
    which = turned.astype(bool)
    triangles[which] = triangles[which][:, ::-1]
    return replace(mesh, triangles=triangles)


def _openings(mesh: Mesh, edges: Edges) -> tuple[tuple[Opening, ...], int]:
    """Open edges that hang together are one opening."""
    ends = edges.open_ends
    if not len(ends):
        return (), 0
    used, places = np.unique(ends, return_inverse=True)
    places = places.reshape(-1, 2)
    links = coo_matrix((np.ones(len(ends)), (places[:, 0], places[:, 1])), shape=(len(used), len(used)))
    count, label = connected_components(links, directed=False)
    of_edge = label[places[:, 0]]
    points = mesh.corners_m[ends]
    lengths = np.linalg.norm(points[:, 1] - points[:, 0], axis=1)
    around, edge_count = np.bincount(of_edge, lengths, count), np.bincount(of_edge, minlength=count)
    sums = np.stack([np.bincount(of_edge, points[:, :, axis].mean(axis=1), count) for axis in range(3)], axis=1)
    widest = np.argsort(-around)[:MOST_SHOWN]
    shown = tuple(
        Opening(edges=int(edge_count[at]), around_m=float(around[at]), middle_m=sums[at] / edge_count[at])
        for at in widest
    )
    return shown, int(count)


def _sides(count: int, edges: Edges) -> tuple[IntArray, FloatArray, int]:
    """Which piece each triangle belongs to, which triangles must be turned, and pieces with one side only.

    Every triangle stands twice, as it is and turned; neighbours that agree link like with like, neighbours that do not
    link each with the other turned. In a piece with two sides the two stand apart, and the smaller part is turned.
    """
    first, second = edges.pairs[:, 0], edges.pairs[:, 1]
    _, piece = connected_components(coo_matrix((np.ones(len(first)), (first, second)), shape=(count, count)), False)
    piece = piece.astype(np.int64)
    if edges.agree.all():
        return piece, np.zeros(count), 0
    other = np.where(edges.agree, 0, count)
    starts = np.concatenate([first, first + count])
    ends = np.concatenate([second + other, second + count - other])
    sides = coo_matrix((np.ones(len(starts)), (starts, ends)), shape=(2 * count, 2 * count))
    _, side = connected_components(sides, directed=False)
    as_it_is, turned = side[:count], side[count:]
    one_sided = np.unique(piece[as_it_is == turned])
    pieces = int(piece.max()) + 1
    upper = as_it_is > turned
    many = np.bincount(piece, upper, pieces) * 2 > np.bincount(piece, minlength=pieces)
    return piece, ((upper != many[piece]) & (as_it_is != turned)).astype(np.float64), len(one_sided)


def _outwards(mesh: Mesh, piece: IntArray) -> tuple[Mesh, int, int]:
    """The closed mesh with every body's volume above nought: (mesh, hollows, bodies that were inside out).

    A surface that looks inwards and lies within the box of another that looks outwards is left as its hollow.
    """
    count = int(piece.max()) + 1
    volumes = np.bincount(piece, volumes_m3(mesh), count)
    inward = np.flatnonzero(volumes < 0)
    if not len(inward):
        return mesh, 0, 0
    low, high = _boxes(mesh, piece, count)
    outward = np.flatnonzero(volumes > 0)
    within = np.array(
        [bool(((low[outward] < low[at]) & (high[outward] > high[at])).all(axis=1).any()) for at in inward]
    )
    wrong = np.zeros(count)
    wrong[inward[~within]] = 1.0
    return _turn(mesh, wrong[piece]), int(within.sum()), int((~within).sum())


def _boxes(mesh: Mesh, piece: IntArray, count: int) -> tuple[FloatArray, FloatArray]:
    points = mesh.points_m
    low, high = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    np.minimum.at(low, piece, points.min(axis=1))
    np.maximum.at(high, piece, points.max(axis=1))
    return low, high
