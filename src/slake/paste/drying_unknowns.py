"""What a drying plan is worked out from, as 80 % ranges, and draws of all of it that may be true together."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from slake.ground.evidence import Z80, Range
from slake.ground.problems import DoesNotFit

FloatArray = NDArray[np.float64]
STILL_M_S = Range(low=0.04, mid=0.1, high=0.2)
FAN_M_S = Range(low=0.5, mid=1.2, high=2.5)
ANY_M_S = Range(low=0.05, mid=0.25, high=1.5)
"""Speed of the air along the piece: a room without draught, a fan at arm's length, not known. Practice, no source."""
COVER = Range(low=0.18, mid=0.33, high=0.55)
"""Share of the open flux that passes a loose cover, box or bag with a gap. Practice, no source."""
DIFFUSIVITY_M2_S = Range(low=6e-11, mid=2e-10, high=6e-10)
"""Of water in drying pastes, on the grid of their solids. Nobody measured it here: practice, no source."""
LAW_SHARE = Range(low=0.1, mid=0.5, high=0.9)
SEES_ROOM = Range(low=0.3, mid=0.6, high=0.95)
INSIDE = Range(low=0.5, mid=0.75, high=0.95)
UNDERSIDE = Range(low=0.35, mid=0.6, high=0.9)
"""Share of the open flux from the inner face of a vessel, and from an underside on a mesh or a porous bed: practice."""
AIR_COMES_IN = Range(low=0.55, mid=0.8, high=1.0)
"""Volume a paste loses while it shrinks, per volume of water it gives off meanwhile. Practice, no source."""
HANDLED_AT = Range(low=0.3, mid=0.45, high=0.65)
"""Share of the shrinking water that is gone when a piece can be lifted and cut free. Practice, no source."""
BASE_SHARE = Range(low=0.15, mid=0.25, high=0.45)
NO_HEATER = Range(low=0.0, mid=0.0, high=0.0)
HEATER = Range(low=0.02, mid=0.05, high=0.1)
"""Share of its water a bead loses under a heater at the nozzle while it is laid. Practice, no source."""
TOLERANCE = Range(low=0.005, mid=0.015, high=0.04)
"""Strain kept from shrinking at which the first hairline opens. Practice, no source; its own cracks say more."""
LASTING = Range(low=0.05, mid=0.15, high=0.35)
"""Share of the bending while it shrinks that is left once it is dry. Practice, no source."""
GRIPS_CLOSED = Range(low=0.15, mid=0.35, high=0.7)
GRIPS_OPEN = Range(low=0.1, mid=0.25, high=0.5)
"""How far a bed keeps a foot from shrinking: share of the shrinkage kept. Practice, no source."""
NAMES = (
    "temperature_k", "humidity", "speed", "law", "sees_room", "cover", "water", "density", "shrinkage", "half_humid",
    "diffusivity", "air_in", "handled", "inside", "underside", "base_share", "grips", "tolerance", "lasting",
    "first_wetter", "heater", "wall", "base", "bed_open",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Room:
    """Air around the piece. temperature_k and humidity: plain ranges; speed_m_s and cover: of their logarithm."""

    temperature_k: Range
    humidity: Range
    speed_m_s: Range = ANY_M_S
    cover: Range = COVER


@dataclass(frozen=True, kw_only=True)
class WetPaste:
    """The paste as laid. shrinkage: linear; half_humid: water per dry solids it keeps in half-humid air; first_wetter:
    water per dry solids of the first bead less that of the last; grades: crack grades read of it, dried openly.
    """

    water_per_dry: Range
    density_kg_m3: Range
    shrinkage: Range
    half_humid: Range
    diffusivity_m2_s: Range = DIFFUSIVITY_M2_S
    first_wetter: Range = field(default_factory=lambda: Range(low=0.0, mid=0.0, high=0.0))
    grades: tuple[float, ...] = ()
    heater: Range = NO_HEATER


@dataclass(frozen=True, kw_only=True)
class Piece:
    """Walls that stand with both faces free, and a base that lies on the bed; None where there is none.

    height_m: of the wall, along which the air flows. across_m: how far the base reaches.
    """

    wall_m: Range | None
    base_m: Range | None
    height_m: float = 0.1
    across_m: float = 0.1

    def __post_init__(self) -> None:
        if self.wall_m is None and self.base_m is None:
            raise DoesNotFit("the piece has neither a wall nor a base: give the thickness of one")


@dataclass(frozen=True, kw_only=True)
class Bed:
    """open_chance: 1 for a mesh or a porous bed under the base, 0 for film or glass, between where nobody knows."""

    open_chance: float
    grips: Range = GRIPS_CLOSED


@dataclass(frozen=True, kw_only=True)
class Drying:
    """All that a plan is asked of."""

    room: Room
    paste: WetPaste
    piece: Piece
    bed: Bed


def draw_scores(rng: np.random.Generator, draws: int) -> FloatArray:
    """Standard normal scores (draws, unknowns), every unknown spread evenly over its range (latin hypercube)."""
    strata = np.array([rng.permutation(draws) for _ in NAMES]).T
    return np.asarray(ndtri((strata + rng.random((draws, len(NAMES)))) / draws))


def stretched(around: Range, score: FloatArray) -> FloatArray:
    """Values of a positive unknown: each side of the middle at its own pace, on the logarithm; 0 where it is none."""
    if around.low <= 0:
        return np.full_like(score, around.mid)
    below, above = np.log(around.mid / around.low) / Z80, np.log(around.high / around.mid) / Z80
    return np.asarray(around.mid * np.exp(np.where(score < 0, below, above) * score))


def shifted(around: Range, score: FloatArray) -> FloatArray:
    """Values of an unknown on its own scale."""
    below, above = (around.mid - around.low) / Z80, (around.high - around.mid) / Z80
    return np.asarray(around.mid + np.where(score < 0, below, above) * score)
