"""How near a batch came to what was wanted: 1 where a line holds, falling to 0; the geometric mean of all lines.

The desirability of Derringer and Suich, in the two straight one-sided forms; a window takes the worse of both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from slake.ground.problems import OutsideRange

FALLS_WITHIN = 0.5
"""A line broken by this share of its limit counts as not met at all: our choice, no source."""


def larger_is_better(value: float, low: float, high: float) -> float:
    """0 up to `low`, 1 from `high`, straight between. Source: derringer_suich1980. Raises OutsideRange."""
    _require_rising(low, high)
    return min(max((value - low) / (high - low), 0.0), 1.0)


def smaller_is_better(value: float, low: float, high: float) -> float:
    """1 up to `low`, 0 from `high`, straight between. Source: derringer_suich1980. Raises OutsideRange."""
    return 1.0 - larger_is_better(value, low, high)


def _require_rising(low: float, high: float) -> None:
    if not low < high or not math.isfinite(high - low):
        raise OutsideRange(
            "the end of a desirability", got=high, low=low, high=math.inf, do="it must lie above its start"
        )


def overall(each: Sequence[float]) -> float:
    """Geometric mean: one line not met at all makes the whole 0. Source: derringer_suich1980."""
    if not each:
        raise OutsideRange(
            "lines to put together", got=0, low=1, high=math.inf, do="read at least one line of the brief"
        )
    return math.prod(each) ** (1 / len(each))


def nearness(value: float, low: float | None, high: float | None) -> float:
    """How near a reading came to its window: 1 inside, 0 half a limit outside. None is an open side."""
    found = 1.0
    if low is not None:
        found = min(found, larger_is_better(value, low - _reach(low, high), low))
    if high is not None:
        found = min(found, smaller_is_better(value, high, high + _reach(high, low)))
    return found


def _reach(limit: float, other: float | None) -> float:
    """How far outside a limit nothing is left of it; for a limit of zero, half the other one, else 1."""
    return FALLS_WITHIN * (abs(limit) or abs(other or 0.0) or 2.0)
