"""Beads to be printed: a nozzle's way with the paste it lays on every stretch, and what they are printed with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slake.ground.problems import DoesNotFit, OutsideRange, require_positive
from slake.ground.units import to_si

from .mesh import FloatArray
from .pushing import Pushed
from .sizes import Bed

USUAL_BEAD, USUAL_LAYER = 1.2, 0.6
"""Of the nozzle: a bead 1 to 1.4 times as wide, a layer 0.4 to 0.7 times as high. Common practice, no source."""
SHORTEST_STRETCH_M = to_si(0.8, "mm")
"""Curves are cut into stretches about this long: a tenth of a millimetre off at most on a radius of 1 mm. Practice."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Run:
    """One bead without a stop. points_m: (n, 3), the nozzle, which is the top of the bead; volume_m3: (n - 1,)."""

    points_m: FloatArray
    volume_m3: FloatArray

    def __post_init__(self) -> None:
        fits = self.points_m.ndim == 2 and self.points_m.shape[1] == 3 and len(self.points_m) >= 2
        if not fits or self.volume_m3.shape != (len(self.points_m) - 1,):
            raise DoesNotFit("a bead has a volume for every stretch between two points: give one fewer than points")
        if not (np.isfinite(self.points_m).all() and np.isfinite(self.volume_m3).all()):
            raise DoesNotFit("a bead runs through numbers that are none: check its size")

    @property
    def length_m(self) -> FloatArray:
        """(n - 1,)."""
        return np.asarray(np.linalg.norm(np.diff(self.points_m, axis=0), axis=1))


@dataclass(frozen=True, kw_only=True)
class Printer:
    """What is printed with, from the machine's record as it is today. `bead_m`: width of one bead.

    from_corner: whether the machine counts x and y from a corner of its bed; else from its middle.
    """

    nozzle_m: float
    bead_m: float
    layer_height_m: float
    speed_m_s: float
    travel_m_s: float
    bed: Bed
    pushed: Pushed
    from_corner: bool = False

    def __post_init__(self) -> None:
        require_positive(
            nozzle_m=self.nozzle_m, bead_m=self.bead_m, layer_height_m=self.layer_height_m, speed_m_s=self.speed_m_s
        )
        require_positive(travel_m_s=self.travel_m_s)
        if self.layer_height_m > self.bead_m:
            raise OutsideRange(
                "layer height per bead width", got=self.layer_height_m / self.bead_m, low=0.1, high=1.0,
                do="0.4 to 0.7 of the nozzle is usual for a layer, 1 to 1.4 for a bead",
            )  # fmt: skip


def usual_bead_m(nozzle_m: float) -> float:
    """Width of a bead where the machine's record says none."""
    return USUAL_BEAD * nozzle_m


def usual_layer_m(nozzle_m: float) -> float:
    """Height of a layer where the machine's record says none."""
    return USUAL_LAYER * nozzle_m


def bead(points_m: FloatArray, bead_m: float, height_m: float) -> Run:
    """A bead of one width and height: volume is width x height x length, as the walls of neighbours fill up."""
    length = np.linalg.norm(np.diff(points_m, axis=0), axis=1)
    return Run(points_m=points_m, volume_m3=np.asarray(length * bead_m * height_m))


def filled(runs: Sequence[Run], volume_m3: float) -> tuple[Run, ...]:
    """The same beads with all volumes made larger or smaller alike, so that together they are what they fill."""
    require_positive(volume_m3=volume_m3)
    times = volume_m3 / pushed_m3(runs)
    return tuple(Run(points_m=run.points_m, volume_m3=run.volume_m3 * times) for run in runs)


def pushed_m3(runs: Sequence[Run]) -> float:
    return math.fsum(float(run.volume_m3.sum()) for run in runs)


def circle(radius_m: float, height_m: float) -> FloatArray:
    """A closed round way at one height, (n, 3)."""
    count = max(math.ceil(2 * math.pi * radius_m / SHORTEST_STRETCH_M), 12)
    turn = np.linspace(0, 2 * math.pi, count + 1)
    return np.stack([radius_m * np.cos(turn), radius_m * np.sin(turn), np.full(count + 1, height_m)], axis=1)


def to_and_fro(size_m: tuple[float, float], passes: int, height_m: float, *, back: bool) -> FloatArray:
    """A way that fills a rectangle about the middle: passes along x, half a pass within its sides, (2 passes, 3)."""
    wide = size_m[1] / passes
    x = (size_m[0] - wide) / 2
    y = (np.arange(passes) + 0.5) * wide - size_m[1] / 2
    points = np.array(
        [[x * side, at, height_m] for n, at in enumerate(y) for side in ((-1, 1) if n % 2 == 0 else (1, -1))]
    )
    return points[::-1].copy() if back else points


def moved(run: Run, along_m: tuple[float, float]) -> Run:
    """The same bead elsewhere on the bed."""
    return Run(points_m=run.points_m + np.array([*along_m, 0.0]), volume_m3=run.volume_m3)
