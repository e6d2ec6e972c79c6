"""What the paste or part must do: one window per named reading."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem, plain

from .gauge import Gauge
from .gauges import finite, fitting

Window = tuple[float | None, float | None]

USUAL: dict[str, Window] = {
    "layers_stood": (30, None),
    "crack_grade": (None, 1),
    "shrinkage_percent": (None, 8),
}
USUAL_CONE: Window = (11, 17)
"""A 30 deg, 30 g cone at 0.8 to 2 kPa (practice; 0.8 is the factor): deeper puddles, shallower stalls."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the brief: the reading, its window in its own unit, and the same window on the latent."""

    gauge: Gauge
    low: float | None
    high: float | None
    latent_low: float
    latent_high: float

    @property
    def name(self) -> str:
        return self.gauge.name

    @property
    def words(self) -> str:
        """As a person would say it: "layers stood at least 30 layers"."""
        unit = f" {self.gauge.unit}" if self.gauge.unit not in ("", "grade", "layers") else ""
        if self.low is None:
            return f"{self.gauge.words} at most {plain(self.high or 0.0)}{unit}"
        if self.high is None:
            return f"{self.gauge.words} at least {plain(self.low)}{unit}"
        return f"{self.gauge.words} from {plain(self.low)} to {plain(self.high)}{unit}"

    @property
    def reading_sd(self) -> float:
        """sd of one reading near the window, on the latent scale."""
        ends = [end for end in (self.low, self.high) if end is not None]
        low, high, soft = self.gauge.latent(sum(ends) / len(ends))
        wide = high - low if math.isfinite(high - low) else 1.0
        return math.hypot(soft, wide / math.sqrt(12))

    def seen_with(self, gauge: Gauge) -> Line:
        """The same line, read with another gauge of the same name."""
        low, high = gauge.window(self.low, self.high)
        return replace(self, gauge=gauge, latent_low=low, latent_high=high)

    def holds(self, value: float) -> bool:
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


@dataclass(frozen=True, kw_only=True)
class Brief:
    """`typical` says that nobody stated a brief and the usual one of such prints stands in."""

    lines: tuple[Line, ...]
    typical: bool = False

    def line(self, name: str) -> Line | None:
        return next((line for line in self.lines if line.name == name), None)


def read_brief(
    windows: Mapping[str, object] | None, known: tuple[str, ...], gauges: Callable[[str, list[float]], Gauge] = fitting
) -> Brief:
    """The brief of the given windows, or the usual one. Raises Problem for names, windows or numbers that cannot be."""
    if windows is None:
        usual = dict(USUAL) | ({"cone_depth_mm": USUAL_CONE} if "cone_depth_mm" in known else {})
        return Brief(lines=tuple(_line(name, window, gauges) for name, window in usual.items()), typical=True)
    if not windows:
        raise Problem("the brief has no lines: give at least one window, or None for a usual one")
    return Brief(lines=tuple(_line(name, window, gauges) for name, window in windows.items()))


def _line(name: str, window: object, gauges: Callable[[str, list[float]], Gauge]) -> Line:
    if not isinstance(window, tuple | list) or len(window) != 2:
        raise Problem(f"the window of {name} must be a pair such as (14, 20), with None for an open side")
    found = gauges(name, finite(window))
    low, high = (_end(found, end) for end in window)
    if low is None and high is None:
        raise Problem(f"the window of {name} is open on both sides: give one limit, or leave the line out")
    if low is not None and high is not None and low > high:
        raise Problem(f"the window of {name} runs from {plain(low)} to {plain(high)}: the low end must come first")
    latent_low, latent_high = found.window(low, high)
    return Line(gauge=found, low=low, high=high, latent_low=latent_low, latent_high=latent_high)


def _end(found: Gauge, end: object) -> float | None:
    if end is None:
        return None
    limits = Limits(low=found.low, high=found.high, unit=found.unit, do="no reading of this test can be there")
    if not isinstance(end, int | float | str):
        raise Problem(f"the window of {found.name} holds something that is not a number: give numbers, or None")
    return read_number(end, f"the window of {found.name}", limits)
