"""What a reading says of a property: exact, above, below or between; and 80 % ranges."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

Z80 = 1.2815515655446004
"""Half-width of the central 80 % of a normal distribution, in standard deviations."""


class Kind(Enum):
    EXACT = "exact"
    ABOVE = "above"
    BELOW = "below"
    BETWEEN = "between"


@dataclass(frozen=True, kw_only=True)
class Range:
    """A central value with the range that holds it 8 times in 10 unless said otherwise. All in one unit."""

    low: float
    mid: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"a range must rise: {self.low}, {self.mid}, {self.high}")

    def scaled(self, factor: float) -> Range:
        return Range(low=self.low * factor, mid=self.mid * factor, high=self.high * factor)

    def meets(self, low: float | None, high: float | None) -> bool:
        """Whether the middle lies in the window; None is an open side."""
        return (low is None or self.mid >= low) and (high is None or self.mid <= high)


def log_range(mid: float, sd_log: float) -> Range:
    """80 % range of a positive quantity known to a factor."""
    factor = math.exp(Z80 * sd_log)
    return Range(low=mid / factor, mid=mid, high=mid * factor)


def linear_range(mid: float, sd: float) -> Range:
    return Range(low=mid - Z80 * sd, mid=mid, high=mid + Z80 * sd)


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """What one reading says of one property, in SI.

    `on_log` says whether `scatter` and `shared` are standard deviations of the logarithm (positive properties)
    or of the value itself. `shared` names calibration errors that this reading has in common with others: they
    do not average out. `low` = `high` when exact; an open side is None.
    """

    informs: str
    kind: Kind
    low: float | None
    high: float | None
    scatter: float
    on_log: bool = True
    shared: Mapping[str, float] = field(default_factory=dict)
    note: str = ""

    def __post_init__(self) -> None:
        wants = {
            Kind.EXACT: self.low is not None and self.low == self.high,
            Kind.ABOVE: self.low is not None and self.high is None,
            Kind.BELOW: self.low is None and self.high is not None,
            Kind.BETWEEN: self.low is not None and self.high is not None and self.low < self.high,
        }
        numbers = [n for n in (self.low, self.high, self.scatter, *self.shared.values()) if n is not None]
        if not wants[self.kind] or not all(map(math.isfinite, numbers)) or self.scatter < 0:
            raise ValueError(f"evidence {self.kind.value} cannot be {self.low}, {self.high}, ±{self.scatter}")

    @property
    def total_sd(self) -> float:
        return math.sqrt(self.scatter**2 + sum(s**2 for s in self.shared.values()))

    def range80(self) -> Range | None:
        """The 80 % range of the property, calibration included; None where the evidence is only one-sided."""
        if self.kind is Kind.BETWEEN and self.low is not None and self.high is not None:
            return Range(low=self.low, mid=(self.low + self.high) / 2, high=self.high)
        if self.kind is not Kind.EXACT or self.low is None:
            return None
        return log_range(self.low, self.total_sd) if self.on_log else linear_range(self.low, self.total_sd)


def exact(informs: str, value: float, scatter: float, *, on_log: bool = True, **shared: float) -> Evidence:
    return Evidence(
        informs=informs, kind=Kind.EXACT, low=value, high=value, scatter=scatter, on_log=on_log, shared=shared
    )


def above(informs: str, value: float, scatter: float, *, on_log: bool = True, **shared: float) -> Evidence:
    return Evidence(
        informs=informs, kind=Kind.ABOVE, low=value, high=None, scatter=scatter, on_log=on_log, shared=shared
    )


def below(informs: str, value: float, scatter: float, *, on_log: bool = True, **shared: float) -> Evidence:
    return Evidence(
        informs=informs, kind=Kind.BELOW, low=None, high=value, scatter=scatter, on_log=on_log, shared=shared
    )


def percent(share: float) -> str:
    """A chance as people say it; what cannot be told from never or always is not called so."""
    if share < 0.005:
        return "under 1 %"
    return "over 99 %" if share > 0.995 else f"{100 * share:.0f} %"
