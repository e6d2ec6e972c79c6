"""What the lines of a toolpath so far have set, and how a setting runs on through the rows after it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .gcode_words import NOTHING

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


def last_said(said: Flags, values: Array, earlier: float) -> Array:
    """At each row the value of the last row, itself included, that said one; `earlier` where none did."""
    place = np.where(said, np.arange(len(said)), -1)
    np.maximum.accumulate(place, out=place)
    return np.where(place >= 0, values[place], earlier)


def running(adds: Array, resets: Flags, values: Array, earlier: float) -> Array:
    """A number that some rows set to a value and others add to, after each row."""
    base = last_said(resets, values, earlier)
    if not adds.any():
        return base
    total = np.cumsum(adds)
    return np.asarray(base + total - last_said(resets, total, 0.0))


def _at_first() -> dict[str, float]:
    """Millimetres, absolute, E as the axes (-1), no motion and no feed said."""
    return {"motion": NOTHING, "unit": 1.0, "relative": 0.0, "push relative": -1.0, "feed": float("nan")}


@dataclass
class Said:
    """What the lines so far have set. called: where the nozzle is less its offset, and the offset; in mm, E as said."""

    held: dict[str, float] = field(default_factory=_at_first)
    called: dict[str, float] = field(default_factory=lambda: dict.fromkeys("XYZE", 0.0))
    offset: dict[str, float] = field(default_factory=lambda: dict.fromkeys("XYZ", 0.0))
    ended: int = 0
