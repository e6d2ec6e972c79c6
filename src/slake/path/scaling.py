"""How large to print so that the dried part has the drawn size: x, y and z apart, with range."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.ground.units import from_si

from .mesh import FloatArray, Mesh
from .shrinking import MOST, Bars, Direction, Foreseen, Today, foreseen

AXES = ("x", "y", "z")
ROUND_AND_ROUND = (Direction.ALONG, Direction.ALONG, Direction.UPRIGHT)
"""Beads that run round a vessel lie along x as often as along y."""
TO_AND_FRO = (Direction.ALONG, Direction.BESIDE, Direction.UPRIGHT)
"""Beads that run to and fro along x."""


@dataclass(frozen=True, kw_only=True)
class AxisScale:
    """One axis. times: 1 / (1 - s). drawn_m is what it shall dry to; print_m how large to print it; dried_m what
    comes out when it is printed at the middle factor.
    """

    axis: str
    foreseen: Foreseen
    times: Range
    drawn_m: float
    print_m: Range
    dried_m: Range

    @property
    def in_words(self) -> str:
        mid, low, high = (from_si(size, "mm") for size in (self.print_m.mid, self.print_m.low, self.print_m.high))
        drawn = from_si(self.drawn_m, "mm")
        return (
            f"{self.axis}: print {mid:.1f} mm ({low:.1f} to {high:.1f}) to dry to {drawn:.4g} mm, "
            f"{100 * self.times.mid:.1f} %"
        )


@dataclass(frozen=True, kw_only=True)
class Scaled:
    """The mesh to print, and why it is that large. warnings: each once, over all axes."""

    mesh: Mesh
    axes: tuple[AxisScale, ...]
    warnings: tuple[str, ...]

    @property
    def volume_factor(self) -> float:
        return float(np.prod([axis.times.mid for axis in self.axes]))


def print_factor(linear_shrinkage: float) -> float:
    """1 / (1 - s), never (1 + s). Holds in the direction s was measured in. Source: astm_c326 (form, memory)."""
    if not -MOST < linear_shrinkage < 1:
        raise OutsideRange("shrinkage", got=linear_shrinkage, low=-0.05, high=MOST, do="measure the bars again")
    return 1 / (1 - linear_shrinkage)


def scale_to_dry(mesh: Mesh, bars: Bars | None, today: Today, runs: tuple[Direction, ...] = ROUND_AND_ROUND) -> Scaled:
    """The mesh made larger by the middle factor of each axis; `runs` says how each axis lies to the beads.

    One factor per axis holds for a print that shrinks alike everywhere; a thick foot under a thin wall does not.
    """
    foresights = tuple(foreseen(direction, bars, today) for direction in runs)
    drawn = mesh.size_m
    axes = tuple(_axis(*given) for given in zip(AXES, foresights, drawn.tolist(), strict=True))
    warnings = tuple(dict.fromkeys(warning for found in foresights for warning in found.warnings))
    return Scaled(mesh=stretched(mesh, np.array([axis.times.mid for axis in axes])), axes=axes, warnings=warnings)


def stretched(mesh: Mesh, factors: FloatArray) -> Mesh:
    """Every axis times its own factor, (3,), about the middle of the bed. Raises OutsideRange for one not above 0."""
    if not (np.isfinite(factors).all() and (factors > 0).all() and (factors < 10).all()):
        raise OutsideRange("scale", got=float(factors.min()), low=0.1, high=10, do="check the shrinkage of the bars")
    return replace(mesh, corners_m=mesh.corners_m * factors)


def _axis(axis: str, found: Foreseen, drawn_m: float) -> AxisScale:
    shrinkage = found.shrinkage
    low, mid, high = (print_factor(s) for s in (shrinkage.low, shrinkage.mid, shrinkage.high))
    times = Range(low=low, mid=mid, high=high)
    return AxisScale(
        axis=axis,
        foreseen=found,
        times=times,
        drawn_m=drawn_m,
        print_m=times.scaled(drawn_m),
        dried_m=Range(low=drawn_m * mid / high, mid=drawn_m, high=drawn_m * mid / low),
    )
