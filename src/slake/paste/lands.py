"""Nozzles of one bore and several lengths: what the wall takes and what the entry takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Ends:
    """What a set of lands of one bore says at one speed: pressure = 4 x wall stress x (land / bore + end lengths).

    left_pa: scatter of the pressures about the line; 0 for two lands, which say nothing of it.
    """

    wall_stress_pa: float
    entry_pressure_pa: float
    end_lengths: float
    left_pa: float


def ends_of_lands(land_per_bore: Sequence[float], pressures_pa: Sequence[float]) -> Ends:
    """Wall stress and entry loss from the line of pressure over land per bore, least squares.

    Holds at one speed and one bore. Source: capillary. Raises NotEnoughEvidence for fewer than two lands and
    DoesNotFit for lands of equal length.
    """
    per_bore, pressures = _line_points(land_per_bore, pressures_pa, "land per bore")
    slope, start, left = _line(per_bore, pressures)
    return Ends(
        wall_stress_pa=slope / 4,
        entry_pressure_pa=start,
        end_lengths=start / slope if slope != 0 else float("inf"),
        left_pa=left,
    )


def _line_points(x: Sequence[float], y: Sequence[float], what: str) -> tuple[FloatArray, FloatArray]:
    along, up = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    if along.size < 2 or along.size != up.size:
        raise NotEnoughEvidence("a line", have=int(min(along.size, up.size)), need=2, do="push through one more nozzle")
    if not (np.all(np.isfinite(along)) and np.all(np.isfinite(up))):
        raise OutsideRange(what, got=float("nan"), low=0, high=1e4, do="read each number again")
    if np.ptp(along) <= 1e-9 * float(np.abs(along).max()):
        raise DoesNotFit(f"every nozzle has the same {what}: take one that differs, or nothing can be told apart")
    return along, up


def _line(x: FloatArray, y: FloatArray) -> tuple[float, float, float]:
    """Slope, value at zero, and what is left over per degree of freedom."""
    from_middle = x - x.mean()
    slope = float(from_middle @ y / (from_middle @ from_middle))
    start = float(y.mean() - slope * x.mean())
    spare = x.size - 2
    left = float(np.sqrt(np.sum((y - start - slope * x) ** 2) / spare)) if spare > 0 else 0.0
    return slope, start, left
