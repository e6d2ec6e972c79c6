"""How a reading rises with the dose of a thickener, and the dose of another that gives the same.

One thickener is matched to another on two curves, never on one reading: they are not equally steep.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Z80, Range
from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange

FloatArray = NDArray[np.float64]
FEWEST_DOSES = 3
SAME_DOSE = 1.05
"""Doses nearer than this factor count as one."""
BEYOND = 1.05
"""How far past the doses read a curve is still asked: nothing is drawn further."""
TO_PASTE_SD_LOG = 0.15
"""How far an equal run-out is from an equal paste, as a factor of the dose: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class DoseCurve:
    """log(reading) = level + power x log(dose / centre), with what is not known of level and power. `least`, `most`:
    the doses read, g per 100 g of water.
    """

    level: float
    power: float
    centre: float
    covariance: FloatArray
    least: float
    most: float
    readings: int

    def at(self, dose_per_100_water: float) -> tuple[float, float]:
        """Mean and variance of the logarithm of the reading. Raises OutsideRange where no dose near it was read."""
        if not self.least / BEYOND <= dose_per_100_water <= self.most * BEYOND:
            do = "read it at a dose beyond this one too: nothing is drawn past the doses read"
            raise OutsideRange(
                "the dose (g per 100 g water)", got=dose_per_100_water, low=self.least, high=self.most, do=do
            )
        x = math.log(dose_per_100_water / self.centre)
        by = np.array([1.0, x])
        return self.level + self.power * x, float(by @ self.covariance @ by)


def fit_dose_curve(
    doses: Sequence[float], values: Sequence[float], sd_log: Sequence[float], what: str = "a dose curve"
) -> DoseCurve:
    """A power law through readings over dose, by weighted least squares of logarithms.

    Holds between the doses read. Where the readings lie farther from it than their own scatter, all is widened by as
    much. Raises NotEnoughEvidence below three doses, DoesNotFit where it does not rise.
    """
    d, y, sd = (np.asarray(row, dtype=np.float64) for row in (doses, values, sd_log))
    if not d.size == y.size == sd.size or not all(np.all(np.isfinite(row) & (row > 0)) for row in (d, y, sd)):
        raise DoesNotFit("each dose needs one reading above zero: leave out what was not read")
    have = different_doses(doses)
    if have < FEWEST_DOSES:
        do = "read it at three doses, the outer ones about twice apart"
        raise NotEnoughEvidence(what, have=have, need=FEWEST_DOSES, do=do)
    centre = float(np.exp(np.log(d).mean()))
    by = np.stack([np.ones_like(d), np.log(d / centre)], axis=1) / sd[:, None]
    (level, power), *_ = np.linalg.lstsq(by, np.log(y) / sd, rcond=None)
    misfit = float(np.sum((np.log(y) / sd - by @ np.array([level, power])) ** 2))
    covariance = np.linalg.inv(by.T @ by) * max(1.0, misfit / max(d.size - 2, 1))
    if power <= 0:
        raise DoesNotFit(f"{what} does not rise with the dose: look whether the runs were mixed up, and read it again")
    return DoseCurve(
        level=float(level), power=float(power), centre=centre, covariance=np.asarray(covariance),
        least=float(d.min()), most=float(d.max()), readings=int(d.size),
    )  # fmt: skip


def different_doses(doses: Sequence[float]) -> int:
    """How many doses there are, those within 5 % of the one before counted once."""
    found: list[float] = []
    for dose in sorted(doses):
        if not found or dose > found[-1] * SAME_DOSE:
            found.append(dose)
    return len(found)


def equivalent_dose(
    old: DoseCurve, new: DoseCurve, dose_per_100_water: float, transfer_sd_log: float = TO_PASTE_SD_LOG
) -> Range:
    """Dose of the new at which it reads as the old does at this dose, 80 % range: where both curves give the same, the
    uncertainty of a crossing (Fieller), and on top what an equal reading is worth in the paste.

    Raises OutsideRange where either curve would have to be drawn past the doses read, NotEnoughEvidence where the new
    one is too flat for its scatter to tell.
    """
    wanted, wanted_var = old.at(dose_per_100_water)
    apart, power = new.level - wanted, new.power
    cov, z2 = new.covariance, Z80**2
    flat = power**2 - z2 * cov[1, 1]
    if flat <= 0:
        raise NotEnoughEvidence(
            "the crossing of two dose curves", have=new.readings, need=new.readings + 2,
            do="the second is too flat for its scatter: read it at doses further apart",
        )  # fmt: skip
    half = apart * power - z2 * cov[0, 1]
    rest = apart**2 - z2 * (cov[0, 0] + wanted_var)
    root = math.sqrt(max(half**2 - flat * rest, 0.0))
    mid = new.centre * math.exp(-apart / power)
    new.at(mid)
    ends = [(-half - root) / flat, (-half + root) / flat]
    more = Z80 * transfer_sd_log
    below, above = (math.hypot(math.log(mid / new.centre) - end, more) for end in ends)
    return Range(low=mid * math.exp(-below), mid=mid, high=mid * math.exp(above))
