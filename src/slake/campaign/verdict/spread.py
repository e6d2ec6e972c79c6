"""A positive number that is only known to a factor, and where it comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slake.ground.evidence import Z80, Range, log_range
from slake.ground.problems import OutsideRange

READ = "read at the bench"
SAID = "stated"
USUAL = "usual, common practice, no source: replace with yours"


@dataclass(frozen=True, kw_only=True)
class Spread:
    """Lognormal: `mid` is its median in SI, `sd_log` the sd of its logarithm, 0 where it is taken as known exactly.

    A `mid` of 0 stands for none at all, whatever the sd.
    """

    mid: float
    sd_log: float
    basis: str = USUAL

    def __post_init__(self) -> None:
        if not 0 <= self.mid < math.inf or not 0 <= self.sd_log < math.inf:
            raise OutsideRange("a number of the verdict", got=self.mid, low=0, high=1e12, do="give zero or more")

    def times(self, factor: float, more_sd_log: float = 0.0) -> Spread:
        return Spread(mid=self.mid * factor, sd_log=math.hypot(self.sd_log, more_sd_log), basis=self.basis)

    def range80(self) -> Range:
        return log_range(self.mid, self.sd_log)

    @property
    def guessed(self) -> bool:
        return self.basis == USUAL


def known(value: float, sd_log: float = 0.0, basis: str = SAID) -> Spread:
    return Spread(mid=value, sd_log=sd_log, basis=basis)


def between(low: float, high: float, basis: str = USUAL) -> Spread:
    """The spread whose 80 % range runs from low to high."""
    return Spread(mid=math.sqrt(low * high), sd_log=math.log(high / low) / (2 * Z80), basis=basis)
