"""A named reading: how its value turns into what the belief keeps of a property, and back."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from slake.ground.evidence import Z80, Range
from slake.ground.numbers import Limits, read_number

from .channel import Channel
from .priors import BLEED, CRACKS, DENSITY, LAYERS, RAM_FORCE, SHRINKAGE, SPRING_BACK, STRENGTH

Bounds = tuple[float, float, float]
"""Low, high (latent scale, +-inf when open) and sd of the reading or threshold."""


def no_error_in_common(instrument: str) -> Mapping[str, float]:
    return {}


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """One named reading. `latent` reads a value as bounds on the channel's latent; `value` turns a latent back.

    half_step: half the step of a graded reading. shared: name of the instrument ("" where not known) -> calibration
    errors its readings have in common, on the latent. falls: whether the reading falls as the property rises (a cone
    sinks less into a stiffer paste).
    """

    name: str
    words: str
    unit: str
    channel: Channel
    latent: Callable[[float], Bounds]
    value: Callable[[float], float]
    low: float
    high: float
    shared: Callable[[str], Mapping[str, float]] = field(default=no_error_in_common)
    half_step: float = 0.0
    falls: bool = False

    def scattering(self, times: float) -> Gauge:
        """The same gauge where one reading scatters `times` as much as declared."""

        def latent(value: float) -> Bounds:
            low, high, soft = self.latent(value)
            return low, high, soft * times

        return replace(self, latent=latent)

    def checked(self, typed: float | str) -> float:
        limits = Limits(low=self.low, high=self.high, unit=self.unit, do="read it again, or leave it out")
        return read_number(typed, f"the reading {self.name}", limits)

    def window(self, low: float | None, high: float | None) -> tuple[float, float]:
        """A window in the reading's unit as bounds on the latent, whichever way the reading runs."""
        below = self._edge(low - self.half_step) if low is not None else None
        above = self._edge(high + self.half_step) if high is not None else None
        first, second = (above, below) if self.falls else (below, above)
        return (-math.inf if first is None else first, math.inf if second is None else second)

    def range80(self, mean: float, var: float, half_width: float = Z80) -> Range:
        """Where a reading lies eight times in ten, of a latent known so well; its own scatter is that at each end; a
        grade is read in whole steps. half_width: standard deviations to each side.
        """
        around = self._soft(mean)
        ends = []
        for way in (-half_width, half_width):
            near = mean + way * math.hypot(math.sqrt(var), around)
            ends.append(mean + way * math.hypot(math.sqrt(var), max(self._soft(near), around)))
        low, mid, high = sorted(min(max(self.value(z), self.low), self.high) for z in (ends[0], mean, ends[1]))
        if self.half_step:
            low, high = math.floor(low + 0.5), math.floor(high + 0.5)
            mid = min(max(mid, low), high)
        return Range(low=low, mid=mid, high=high)

    def _soft(self, latent: float) -> float:
        """sd of one reading about this latent; none of a graded one, whose steps are wider."""
        return 0.0 if self.half_step else self.latent(min(max(self.value(latent), self.low), self.high))[2]

    def _edge(self, value: float) -> float:
        if self.half_step:
            return grade_latent(value)
        low, high, _ = self.latent(value)
        if math.isinf(low):
            return high
        return low if math.isinf(high) else (low + high) / 2


@dataclass(frozen=True, kw_only=True)
class Plain:
    """A reading that is the property itself."""

    words: str
    channel: Channel
    share_sd: float
    absolute_sd: float
    low: float
    high: float


PLAIN = {
    "ram_force_n": Plain(words="ram force", channel=RAM_FORCE, share_sd=0.08, absolute_sd=3, low=0, high=1e5),
    "springback_percent": Plain(
        words="spring-back", channel=SPRING_BACK, share_sd=0.2, absolute_sd=0.1, low=0, high=100
    ),
    "layers_stood": Plain(words="layers stood", channel=LAYERS, share_sd=0.05, absolute_sd=0.5, low=0, high=10000),
    "shrinkage_percent": Plain(
        words="line shrinkage", channel=SHRINKAGE, share_sd=0.03, absolute_sd=0.2, low=0, high=60
    ),
    "strength_mpa": Plain(words="strength", channel=STRENGTH, share_sd=0.1, absolute_sd=0.05, low=0, high=500),
    "density_g_per_ml": Plain(
        words="paste density", channel=DENSITY, share_sd=0.01, absolute_sd=0.005, low=0.2, high=6
    ),
    "bleed_g_per_100g": Plain(words="bleed", channel=BLEED, share_sd=0.15, absolute_sd=0.05, low=0, high=60),
}
CRACK_SOFT = 0.3
TOP_GRADE = 5.0


def plain_gauge(name: str, plain: Plain) -> Gauge:
    def latent(value: float) -> Bounds:
        if value <= plain.absolute_sd:
            return -math.inf, math.log(max(2 * plain.absolute_sd, 1e-6)), 0.3
        sd = math.hypot(plain.share_sd, plain.absolute_sd / value)
        return math.log(value), math.log(value), sd

    return Gauge(
        name=name,
        words=plain.words,
        unit=plain.channel.unit,
        channel=plain.channel,
        latent=latent,
        value=bounded_exp,
        low=plain.low,
        high=plain.high,
    )


def bounded_exp(latent: float) -> float:
    return math.exp(min(max(latent, -50.0), 50.0))


def grade_latent(grade: float) -> float:
    """Grades on the log scale that cracking is kept on: strain over strength, so that each grade is a factor."""
    return math.log(max(grade, -0.45) + 0.5)


def grade_gauge() -> Gauge:
    def latent(value: float) -> Bounds:
        low = grade_latent(value - 0.5) if value >= 0.5 else -math.inf
        high = grade_latent(value + 0.5) if value < TOP_GRADE - 0.5 else math.inf
        return low, high, CRACK_SOFT / (value + 0.8)

    return Gauge(
        name="crack_grade",
        words="crack grade",
        unit="grade",
        channel=CRACKS,
        latent=latent,
        value=lambda z: min(max(bounded_exp(z) - 0.5, 0.0), TOP_GRADE),
        low=0,
        high=TOP_GRADE,
        half_step=0.25,
    )
