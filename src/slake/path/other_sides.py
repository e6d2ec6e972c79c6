"""On which of its six sides an object leans out least: turning it is the smallest change there is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slake.ground.problems import OutsideRange

from .mesh import Mesh, cross_m2
from .slopes import FLAT, ON_THE_BED

SIDES = {
    "as it stands": (2, 1),
    "turned over": (2, -1),
    "on its left side": (0, 1),
    "on its right side": (0, -1),
    "on its front": (1, 1),
    "on its back": (1, -1),
}
"""Axis that becomes the upright, and whether it keeps its way up."""


@dataclass(frozen=True, kw_only=True)
class Side:
    """beyond_m2: what would lean out further than the limit. rests_m2: what would lie flat on the bed."""

    words: str
    beyond_m2: float
    rests_m2: float


def by_side(mesh: Mesh, lean_deg: float) -> tuple[Side, ...]:
    """All six sides, as it stands first, the others by what leans out beyond the limit. Own geometry.

    Only sides along the axes; where it is turned, shrinkage lies otherwise to the beads: bring it turned.
    """
    if not 0 < lean_deg < 90:
        raise OutsideRange("slope a paste bears (degrees)", got=lean_deg, low=1, high=89, do="25 to 35 is usual")
    crossed = cross_m2(mesh)
    length = np.linalg.norm(crossed, axis=1)
    points, limit = mesh.points_m, math.sin(math.radians(lean_deg))
    found = []
    for words, (axis, way) in SIDES.items():
        down = np.divide(-way * crossed[:, axis], length, out=np.zeros(len(length)), where=length > 0)
        heights = way * points[:, :, axis]
        over = heights.max(axis=1) - heights.min()
        rests = (down > FLAT) & (over <= ON_THE_BED * float(mesh.size_m[axis]))
        leans = (down > limit) & ~rests
        found.append(
            Side(words=words, beyond_m2=float(length[leans].sum() / 2), rests_m2=float(length[rests].sum() / 2))
        )
    return (found[0], *sorted(found[1:], key=lambda side: (side.beyond_m2, -side.rests_m2)))


def better_side(mesh: Mesh, lean_deg: float) -> Side | None:
    """The side on which less than half as much leans out and something flat lies on the bed; None where none does."""
    now, *others = by_side(mesh, lean_deg)
    better = (side for side in others if side.beyond_m2 < now.beyond_m2 / 2 and side.rests_m2 > 0)
    return next(better, None)
