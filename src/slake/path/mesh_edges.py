"""Edges of a mesh: which triangles meet at each, which are open, and whether two neighbours agree on their side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .mesh import IntArray, Mesh


@dataclass(frozen=True, kw_only=True, eq=False)
class Edges:
    """pairs (k, 2): triangles that share an edge only they have; agree (k,): whether both look to the same side of it.

    open_ends (j, 2): corners of edges that one triangle has alone. shared: edges that more than two triangles have.
    """

    pairs: IntArray
    agree: NDArray[np.bool_]
    open_ends: IntArray
    shared: int


def edges_of(mesh: Mesh) -> Edges:
    """Every edge once. Where more than two triangles meet, the first two count as neighbours."""
    starts = mesh.triangles.ravel()
    ends = mesh.triangles[:, [1, 2, 0]].ravel()
    forward = starts < ends
    key = np.where(forward, starts, ends) * np.int64(len(mesh.corners_m)) + np.where(forward, ends, starts)
    order = np.argsort(key, kind="stable")
    ordered = key[order]
    begins = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
    count = np.diff(np.concatenate([begins, [len(ordered)]]))
    alone, two = order[begins[count == 1]], begins[count >= 2]
    first, second = order[two], order[two + 1]
    return Edges(
        pairs=np.stack([first // 3, second // 3], axis=1),
        agree=forward[first] != forward[second],
        open_ends=np.stack([starts[alone], ends[alone]], axis=1),
        shared=int((count > 2).sum()),
    )
