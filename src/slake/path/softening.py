"""A surface made so gentle that paste bears it, as near to the wished one as can be, and where it had to give way."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import from_si, to_si

from .mesh import FloatArray
from .slopes import USUAL_LEAN

STEP_OF_BEAD = 0.5
"""A bead may lie beside the one below by half its width: more hangs in the air. Practice."""
ROUND_SLOPE = 1.0
"""How steeply the outline may run to its circle: 45 degrees, so that a bead does not touch itself. Practice."""
SEEN_M = to_si(0.05, "mm")
"""Changes smaller than this are not called softened."""
MOST_SHOWN = 12


@dataclass(frozen=True, kw_only=True)
class Bears:
    """What the paste bears: how far a wall leans, with range; the middle is kept to."""

    lean_deg: Range = USUAL_LEAN

    def __post_init__(self) -> None:
        if not 0 < self.lean_deg.low <= self.lean_deg.high < 90:
            raise OutsideRange("slope a paste bears (degrees)", got=self.lean_deg.mid, low=1, high=89, do="25 to 35")

    def slope(self, bead_m: float, layer_height_m: float) -> float:
        """Metres out for a metre up: the lean it bears, or what keeps beads on one another, whichever is less."""
        require_positive(bead_m=bead_m, layer_height_m=layer_height_m)
        return min(math.tan(math.radians(self.lean_deg.mid)), STEP_OF_BEAD * bead_m / layer_height_m)


@dataclass(frozen=True, kw_only=True)
class SoftPlace:
    """A stretch of heights where the surface was changed, and by how much at most."""

    low_m: float
    high_m: float
    most_m: float

    @property
    def in_words(self) -> str:
        low, high, most = (from_si(size, "mm") for size in (self.low_m, self.high_m, self.most_m))
        where = f"{low:.3g} mm up" if low == high else f"{low:.3g} to {high:.3g} mm up"
        return f"{where}: moved by up to {most:.2g} mm"


@dataclass(frozen=True, kw_only=True)
class Softened:
    """Radii wished and made, (k, n): k heights, n angles. share: of the surface moved by more than 0.05 mm."""

    wished_m: FloatArray
    made_m: FloatArray
    most_m: float
    share: float
    places: tuple[SoftPlace, ...]


def soften(wished_m: FloatArray, heights_m: FloatArray, slope: float, limits_m: tuple[float, float]) -> Softened:
    """The surface nearest to the wished one, by its largest change, that nowhere leans more than `slope`.

    The mean of the tightest gentle surface over it and the one under it: no gentle surface has a smaller largest
    change (between two surfaces of one slope their mean has it too). Around, it runs at most 45 degrees to the circle
    of its smallest radius. Source: geometry.
    """
    require_positive(slope=slope)
    held = np.clip(wished_m, *limits_m)
    up = slope * np.diff(heights_m)
    round_step = ROUND_SLOPE * float(held.min()) * 2 * math.pi / held.shape[1]
    over = -_under(-held, up, round_step)
    made = np.clip((over + _under(held, up, round_step)) / 2, *limits_m)
    moved = np.abs(made - wished_m)
    return Softened(
        wished_m=wished_m,
        made_m=made,
        most_m=float(moved.max()),
        share=float((moved > SEEN_M).mean()),
        places=_places(moved.max(axis=1), heights_m),
    )


def _under(surface: FloatArray, up: FloatArray, round_step: float) -> FloatArray:
    """The highest gentle surface that is nowhere above the given one: steps of `up` by height, `round_step` around."""
    found = surface.copy()
    for at in range(1, len(found)):
        found[at] = np.minimum(found[at], found[at - 1] + up[at - 1])
    for at in range(len(found) - 2, -1, -1):
        found[at] = np.minimum(found[at], found[at + 1] + up[at])
    count = found.shape[1]
    if count > 1:
        for _ in range(2):
            for at in range(count):
                found[:, at] = np.minimum(found[:, at], found[:, at - 1] + round_step)
            for at in range(count - 1, -1, -1):
                found[:, at] = np.minimum(found[:, at], found[:, (at + 1) % count] + round_step)
    return found


def _places(moved: FloatArray, heights_m: FloatArray) -> tuple[SoftPlace, ...]:
    """Heights that hang together and were moved, the most moved first."""
    soft = np.concatenate([[False], moved > SEEN_M, [False]])
    starts, ends = np.flatnonzero(soft[1:] & ~soft[:-1]), np.flatnonzero(~soft[1:] & soft[:-1])
    found = [
        SoftPlace(low_m=float(heights_m[a]), high_m=float(heights_m[b - 1]), most_m=float(moved[a:b].max()))
        for a, b in zip(starts, ends, strict=True)
    ]
    return tuple(sorted(found, key=lambda place: -place.most_m)[:MOST_SHOWN])
