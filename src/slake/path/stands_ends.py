"""The two ends of the answer: every way to fall, each taken once at its weakest and once at its strongest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .stands_case import Case
from .stands_factors import (
    fold_narrow,
    fold_wide,
    foot_narrow,
    foot_wetted,
    foot_wide,
    lean_bonded,
    lean_loose,
    span_built_in,
    span_resting,
)

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Way:
    """One way to fall at one end of the answer: how many times its load the wall bears at each moment, (D, S).

    idealisation: what that end takes for granted. power: of the height, by which what is borne over the load falls.
    """

    name: str
    words: str
    idealisation: str
    factor: Callable[[Case], Array]
    power: float = 1.0


EARLIEST = (
    Way(
        name="foot yields",
        words="the foot gives under the weight above",
        idealisation="first yield ends it; the narrow contact between layers carries all the weight; no hardening",
        factor=foot_narrow,
    ),
    Way(
        name="wall folds",
        words="the wall folds sideways",
        idealisation="a strip of the contact width: free where the wall is open, hinged at the corners of a closed "
        "one, a dented ring (a fifth of the perfect one) where round; softens from the first load on until first "
        "yield (Rankine-Gordon)",
        factor=fold_narrow,
        power=3.0,
    ),
    Way(
        name="leans over",
        words="leaning beads tip over",
        idealisation="joints cannot be pulled and the newest bead rests by its weight alone; a closed round wall holds "
        "itself by the pull round it, and its newest bead by its stiffness against rolling, until first yield",
        factor=lean_loose,
    ),
    Way(
        name="span sags",
        words="a bead over nothing sags through",
        idealisation="the fresh bead only rests at its ends; first yield at its middle ends it",
        factor=span_resting,
    ),
    Way(
        name="foot wetted",
        words="the foot is softened by water pressed down into it",
        idealisation="all liquid pressed out above gathers in the lowest layer, and fresh paste takes back half of "
        "what that had dried",
        factor=foot_wetted,
    ),
)
LATEST = (
    Way(
        name="foot yields",
        words="the foot gives under the weight above",
        idealisation="the mean width of the wall, which cannot spread along its length, carries the weight at the most "
        "strength the paste comes to",
        factor=foot_wide,
    ),
    Way(
        name="wall folds",
        words="the wall folds sideways",
        idealisation="a plate of the full width, held as its closed shape or clamped corners hold it; elastic to first "
        "yield and hardening after it (tangent stiffness)",
        factor=fold_wide,
        power=3.0,
    ),
    Way(
        name="leans over",
        words="leaning beads tip over",
        idealisation="joints as strong in pull as in push, yielded throughout; a closed wall may hold itself by the "
        "pull round it instead",
        factor=lean_bonded,
    ),
    Way(
        name="span sags",
        words="a bead over nothing sags through",
        idealisation="the bead is built in at both ends and yields through at three places, at full strength",
        factor=span_built_in,
    ),
)
