"""How strong and stiff laid paste is by its age: growth at rest, drying by air, fan or a heater at the nozzle."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range, linear_range
from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange, require_positive

from .ageing import Ageing

FloatArray = NDArray[np.float64]
COUNTED_SHARE = 0.2
"""Strength from drying is counted until a fifth of the water is gone; beyond that a skin forms. Practice, no source."""
STEP_S = 60.0
STEEPEST = 50.0
"""No growth is followed beyond exp(50)."""


def _none() -> FloatArray:
    return np.zeros(1)


def _never() -> FloatArray:
    return np.full(1, np.inf)


@dataclass(frozen=True, kw_only=True)
class Growing:
    """A strength or a stiffness by the time since the paste was laid; each array is one number per draw, (D,) or (1,).

    (at_laying + per_s tc (exp(t/tc) - 1)) exp(log_per_s T (1 - exp(-t/T))), with tc = speeds_up_s and T = levels_s;
    both infinite: a straight line, times a steady growth of the logarithm. Sources: roussel2018, perrot2016.
    """

    at_laying: FloatArray
    per_s: FloatArray = field(default_factory=_none)
    speeds_up_s: FloatArray = field(default_factory=_never)
    log_per_s: FloatArray = field(default_factory=_none)
    levels_s: FloatArray = field(default_factory=_never)

    def __post_init__(self) -> None:
        if not (np.all(self.at_laying > 0) and np.all(np.isfinite(self.at_laying))):
            raise OutsideRange(
                "strength or stiffness as laid (Pa)",
                got=float(np.min(self.at_laying)),
                low=1e-6,
                high=1e12,
                do="give one above zero",
            )
        if not all(np.all(np.isfinite(rate)) for rate in (self.per_s, self.log_per_s)):
            raise DoesNotFit("a growth with age is not a finite number: give its rate per second, 0 for none")
        if not all(np.all(times > 0) for times in (self.speeds_up_s, self.levels_s)):
            raise DoesNotFit("the time in which a growth speeds up or levels off must be above zero")

    def at(self, since_laid_s: FloatArray) -> FloatArray:
        """Values (D, ...) at times of any shape (...), not below a thousandth of those at laying."""
        times = np.asarray(since_laid_s, dtype=np.float64)
        to = (-1,) + (1,) * times.ndim
        first = self.at_laying.reshape(to)
        found = first + np.zeros_like(times)
        if np.any(self.per_s != 0):
            found = found + self.per_s.reshape(to) * _speeding(times, self.speeds_up_s.reshape(to))
        if np.any(self.log_per_s != 0):
            exponent = self.log_per_s.reshape(to) * _levelling(times, self.levels_s.reshape(to))
            found = found * np.exp(np.clip(exponent, -STEEPEST, STEEPEST))
        return np.asarray(np.maximum(found, first / 1000))

    def each(self, pick: Callable[[FloatArray], FloatArray]) -> Growing:
        """The same growth with every array changed alike."""
        return Growing(
            at_laying=pick(self.at_laying),
            per_s=pick(self.per_s),
            speeds_up_s=pick(self.speeds_up_s),
            log_per_s=pick(self.log_per_s),
            levels_s=pick(self.levels_s),
        )

    def times(self, factor: FloatArray | float) -> Growing:
        """The same growth of a value so many times as great."""
        return replace(self, at_laying=np.asarray(self.at_laying * factor), per_s=np.asarray(self.per_s * factor))


def _speeding(times: FloatArray, speeds_up_s: FloatArray) -> FloatArray:
    if np.all(np.isinf(speeds_up_s)):
        return times
    slow = np.where(np.isinf(speeds_up_s), 1.0, speeds_up_s)
    with_speed = slow * np.expm1(np.minimum(times / slow, STEEPEST))
    return np.asarray(np.where(np.isinf(speeds_up_s), times, with_speed))


def _levelling(times: FloatArray, levels_s: FloatArray) -> FloatArray:
    if np.all(np.isinf(levels_s)):
        return times
    slow = np.where(np.isinf(levels_s), 1.0, levels_s)
    return np.asarray(np.where(np.isinf(levels_s), times, -slow * np.expm1(-times / slow)))


def steady(value_pa: float, growth_pa_per_s: float = 0.0) -> Growing:
    """One value that grows along a straight line, without a range."""
    return Growing(at_laying=np.array([value_pa]), per_s=np.array([growth_pa_per_s]))


def grown_yield_stress_pa(
    yield_stress_pa: float, growth_pa_per_s: float, since_laid_s: float, speeds_up_s: float = math.inf
) -> float:
    """Yield stress of paste at rest: a straight line, or tau0 + A tc (exp(t/tc) - 1).

    Holds from minutes to an hour or so, undisturbed. Sources: roussel2018, perrot2016, both from memory.
    """
    growing = Growing(
        at_laying=np.array([yield_stress_pa]), per_s=np.array([growth_pa_per_s]), speeds_up_s=np.array([speeds_up_s])
    )
    return float(growing.at(np.array([since_laid_s]))[0, 0])


def grown_by_series(ageing: Ageing, from_s: float, at_laying: FloatArray, normals: FloatArray) -> Growing:
    """Growth read off an ageing series from an age on, one draw per row of `normals` (D, parameters).

    The cone factor cancels. Paste sheared in the nozzle may have lost part of what it gained at rest: the value at
    laying is read or said apart. Beyond the last age read the curve is carried on. A draw never falls with age where
    the series as a whole rises. Own arithmetic on fit_ageing.
    """
    root = np.linalg.cholesky(ageing.covariance + 1e-18 * np.eye(len(ageing.parameters)))
    drawn = ageing.parameters + normals[:, : len(ageing.parameters)] @ root.T
    now = np.array([ageing.shape.slope(from_s, one) for one in drawn])
    later = np.array([ageing.shape.slope(from_s + STEP_S, one) for one in drawn])
    if ageing.shape.slope(from_s, ageing.parameters) >= 0:
        now, later = np.maximum(now, 0.0), np.maximum(later, 0.0)
    falls = (now > 0) & (later > 0) & (later < now * (1 - 1e-9))
    levels = np.where(falls, STEP_S / np.log(np.where(falls, now / np.where(falls, later, 1.0), np.e)), np.inf)
    return Growing(at_laying=at_laying, log_per_s=now, levels_s=levels)


@dataclass(frozen=True, kw_only=True)
class Drying:
    """What dries laid paste: water a face gives off, how many faces of the wall are open, and what water is worth.

    water_slope: fall of ln(yield stress) per g of water more to each g of dry solids.
    """

    flux_kg_m2_s: float
    open_faces: float
    water_slope: float
    water_per_dry: float

    def __post_init__(self) -> None:
        require_positive(water_per_dry=self.water_per_dry)
        for name, value, high in (
            ("water a face gives off (kg/m2.s)", self.flux_kg_m2_s, 1e-2),
            ("open faces of the wall", self.open_faces, 2.0),
            ("what water is worth (per g/g)", self.water_slope, 100.0),
        ):
            if not 0 <= value <= high:
                raise OutsideRange(name, got=value, low=0, high=high, do="zero where nothing dries")

    @property
    def most_gain_log(self) -> float:
        """The growth of ln(strength) at which counting stops."""
        return self.water_slope * COUNTED_SHARE * self.water_per_dry


def drying_gain_per_s(drying: Drying, wall_m: float, density_kg_m3: float) -> float:
    """Growth of ln(strength) per second while a wall dries at a steady rate: k n J (1 + W) / (rho w).

    Holds while the surface is wet and the wall dries evenly through, so for thin walls and the first part of drying
    only: counted until a fifth of the water is gone. Own balance of water; the slope is the paste's own reading.
    """
    require_positive(wall_m=wall_m, density_kg_m3=density_kg_m3)
    lost_per_s = drying.open_faces * drying.flux_kg_m2_s * (1 + drying.water_per_dry) / (density_kg_m3 * wall_m)
    return drying.water_slope * lost_per_s


@dataclass(frozen=True, kw_only=True)
class HeaterReading:
    """Yield stress of a strip laid by this machine, so long after laying, with its heater on or off."""

    with_heater: bool
    since_laid_s: float
    yield_stress_pa: float
    sd_log: float = 0.15


@dataclass(frozen=True, kw_only=True)
class HeaterEffect:
    """What a heater adds to the growth of ln(strength) per second, with its 80 % range, and from how many readings."""

    heater_per_s: Range
    sd_per_s: float
    count: int


def heater_effect(readings: Sequence[HeaterReading]) -> HeaterEffect:
    """A heater's effect, learnt from readings of one paste by one machine with and without it.

    Least squares on ln(yield stress) = a + r t + h t where the heater was on, weighed by the reading errors; where they
    scatter more than their errors the range is widened by as much. Holds for that machine, heater setting and layer
    time. Own arithmetic. Raises NotEnoughEvidence below two readings on each side: without them no effect is counted,
    though a heater usually raises what stands (common practice, no source).
    """
    on, off = (sum(1 for r in readings if r.with_heater is way and r.since_laid_s > 0) for way in (True, False))
    if min(on, off) < 2:
        raise NotEnoughEvidence(
            "a heater's effect, on each side,", have=min(on, off), need=2, do="lay strips with it on and with it off"
        )
    for one in readings:
        require_positive(yield_stress_pa=one.yield_stress_pa, sd_log=one.sd_log)
    since = np.array([r.since_laid_s for r in readings])
    heated = np.array([r.with_heater for r in readings])
    weights = 1 / np.array([r.sd_log for r in readings])
    design = np.stack([np.ones_like(since), since, since * heated], axis=1) * weights[:, None]
    told = np.log([r.yield_stress_pa for r in readings]) * weights
    best = np.linalg.lstsq(design, told, rcond=None)[0]
    spread = max(1.0, float(np.sum((told - design @ best) ** 2)) / max(len(readings) - 3, 1))
    sd = math.sqrt(float(np.linalg.pinv(design.T @ design)[2, 2]) * spread)
    return HeaterEffect(heater_per_s=linear_range(float(best[2]), sd), sd_per_s=sd, count=len(readings))
