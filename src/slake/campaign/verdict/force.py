"""The force a drive has, after what it was seen to do: it has at least what it pushed, and about what it stalled at."""

from __future__ import annotations

import math
from collections.abc import Sequence

from scipy.special import log_ndtr

from .spread import Spread

FORCE_READ_SD_LOG = 0.1
LEAST_SD_LOG = 0.05
TOLD_LOG = 0.02


def force_seen(usual: Spread, ran_n: Sequence[float], stalled_n: Sequence[float]) -> Spread:
    """What is known of the force beforehand, put right by pushes that ran and by the highest forces at stalls.

    A stall below a push that ran was one of that paste or that day: only stalls from there up say how much there is.
    """
    most = max(ran_n, default=0.0)
    stalls = [force for force in stalled_n if force >= most]
    mean, precision = math.log(usual.mid), 1 / max(usual.sd_log, LEAST_SD_LOG) ** 2
    told = len(stalls) / FORCE_READ_SD_LOG**2
    mean = (precision * mean + sum(math.log(force) for force in stalls) / FORCE_READ_SD_LOG**2) / (precision + told)
    sd = (precision + told) ** -0.5
    if most > 0:
        mean, sd = _at_least(mean, sd, math.log(most))
    basis = _basis(usual, most if abs(mean - math.log(usual.mid)) > TOLD_LOG else 0.0, stalls)
    return usual if basis == usual.basis else Spread(mid=math.exp(mean), sd_log=max(sd, LEAST_SD_LOG), basis=basis)


def _at_least(mean: float, sd: float, log_n: float) -> tuple[float, float]:
    """Mean and sd of a normal after a reading of `log_n`, blurred, was seen not to be above it."""
    wide = math.hypot(sd, FORCE_READ_SD_LOG)
    z = (mean - log_n) / wide
    pull = math.exp(-(z**2) / 2 - math.log(2 * math.pi) / 2 - float(log_ndtr(z)))
    left = 1 - (sd / wide) ** 2 * pull * (z + pull)
    return mean + sd**2 / wide * pull, sd * math.sqrt(max(left, 0.0))


def _basis(usual: Spread, ran_n: float, stalled_n: Sequence[float]) -> str:
    seen = [f"it stalled at {sum(stalled_n) / len(stalled_n):.0f} N"] if stalled_n else []
    seen += [f"it pushed {ran_n:.0f} N"] if ran_n else []
    return f"{usual.basis}; {' and '.join(seen)}" if seen else usual.basis
