"""Every way to fall by itself, for the paste in the middle of its draws: what goes first, and what would go next."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .standing import Laid, Stack
from .stands_answer import fall_of
from .stands_case import Case, case_of, middle_case
from .stands_ends import EARLIEST, LATEST, Way


@dataclass(frozen=True, kw_only=True)
class WayEnds:
    """One way to fall at both ends: layers at the fall, infinite where it does not come; the least margin on the way.

    A way the latest end does not know (a wetted foot) is infinite there.
    """

    name: str
    words: str
    earliest_layers: float
    latest_layers: float
    least_factor: float


def each_way(stack: Stack, laid: Laid) -> tuple[WayEnds, ...]:
    """All ways to fall, the earliest first; those that cannot come (no lean, no span, no water) are left out."""
    case = middle_case(case_of(stack, laid))
    late = {way.name: way for way in LATEST}
    found = [_ends(case, way, late.get(way.name)) for way in EARLIEST]
    able = [one for one in found if one.least_factor < 1e5]
    return tuple(sorted(able, key=lambda one: (one.earliest_layers, one.least_factor)))


def _ends(case: Case, early: Way, late: Way | None) -> WayEnds:
    first = fall_of(case, early)
    return WayEnds(
        name=early.name,
        words=early.words,
        earliest_layers=first,
        latest_layers=math.inf if late is None else max(fall_of(case, late), first),
        least_factor=float(np.min(early.factor(case))),
    )
