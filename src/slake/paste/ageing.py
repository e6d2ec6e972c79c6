"""How paste stiffens with age: a straight line or a levelling curve through the logarithm of its yield stress."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from slake.ground.evidence import Z80
from slake.ground.problems import DoesNotFit, NotEnoughEvidence

FloatArray = NDArray[np.float64]
POT_LIFE_GROWTH = 1.25
"""Pot life ends when the paste is a quarter stiffer: common practice, no source."""
LOOK_AHEAD = 2.0
SLOWEST, FASTEST, TRIED = 1e-4, 1e3, 400
LEVELS_BETWEEN = (0.3, 30.0)


@dataclass(frozen=True, kw_only=True)
class Shape:
    """A way ln(yield stress) may run with age: its value and slope, and what each parameter does to them."""

    words: str
    value: Callable[[FloatArray, FloatArray], FloatArray]
    value_by: Callable[[FloatArray, FloatArray], FloatArray]
    slope: Callable[[float, FloatArray], float]
    slope_by: Callable[[float, FloatArray], FloatArray]


STRAIGHT = Shape(
    words="a straight line: it grows at one rate",
    value=lambda t, p: p[0] + p[1] * t,
    value_by=lambda t, p: np.stack([np.ones_like(t), t], axis=-1),
    slope=lambda t, p: float(p[1]),
    slope_by=lambda t, p: np.array([0.0, 1.0]),
)
LEVELLING = Shape(
    words="a levelling curve: it grows ever more slowly",
    value=lambda t, p: p[0] - p[1] * np.expm1(-p[2] * t),
    value_by=lambda t, p: np.stack([np.ones_like(t), -np.expm1(-p[2] * t), p[1] * t * np.exp(-p[2] * t)], axis=-1),
    slope=lambda t, p: float(p[1] * p[2] * math.exp(-p[2] * t)),
    slope_by=lambda t, p: math.exp(-p[2] * t) * np.array([0.0, p[2], p[1] * (1 - p[2] * t)]),
)


@dataclass(frozen=True, kw_only=True)
class Ageing:
    """A curve through ln(yield stress) over age, with what is not known of its parameters."""

    shape: Shape
    parameters: FloatArray
    covariance: FloatArray
    last_s: float

    def rate_per_s(self, age_s: float) -> tuple[float, float]:
        """Growth of ln(yield stress) per second at an age, and its standard deviation."""
        by = self.shape.slope_by(age_s, self.parameters)
        return self.shape.slope(age_s, self.parameters), math.sqrt(max(float(by @ self.covariance @ by), 0.0))

    def growth(self, from_s: float, to_s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Growth of ln(yield stress) from one age to others, and its standard deviation."""
        start = np.array([from_s])
        mid = self.shape.value(to_s, self.parameters) - self.shape.value(start, self.parameters)
        by = self.shape.value_by(to_s, self.parameters) - self.shape.value_by(start, self.parameters)
        return mid, np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", by, self.covariance, by), 0.0))


@dataclass(frozen=True, kw_only=True)
class PotLife:
    """Time until the paste is a quarter stiffer, 80 % range; None is longer than `seen_s`, as far as can be told."""

    short_s: float | None
    usual_s: float | None
    long_s: float | None
    seen_s: float


def pot_life(ageing: Ageing, from_s: float) -> PotLife:
    """Time from an age until stiffness has grown by a quarter; looked for up to twice the last age read."""
    seen_s = max(LOOK_AHEAD * ageing.last_s - from_s, 1.0)
    times = np.linspace(0.0, seen_s, 4001)[1:]
    mid, sd = ageing.growth(from_s, from_s + times)

    def first(growth: FloatArray) -> float | None:
        reached = np.flatnonzero(growth >= math.log(POT_LIFE_GROWTH))
        return float(times[reached[0]]) if reached.size else None

    return PotLife(short_s=first(mid + Z80 * sd), usual_s=first(mid), long_s=first(mid - Z80 * sd), seen_s=seen_s)


def fit_ageing(ages_s: Sequence[float], yield_stresses_pa: Sequence[float], sd_log: Sequence[float]) -> Ageing:
    """The straight or the levelling curve, whichever has the smaller corrected Akaike criterion.

    The criterion: squared misfits over squared reading errors, plus 2k + 2k(k+1)/(n-k-1) for k parameters and n
    readings; a levelling curve therefore needs five readings and must fit far better. Where the readings scatter
    more than their errors, everything is widened by as much. Raises NotEnoughEvidence below three readings.
    """
    ages, logs = np.asarray(ages_s, dtype=np.float64), np.log(np.asarray(yield_stresses_pa, dtype=np.float64))
    weights = 1 / np.asarray(sd_log, dtype=np.float64)
    _require_series(ages, logs, weights)
    tried = [(_straight(ages, logs, weights), STRAIGHT)]
    if ages.size >= 5:
        levelling = _levelling(ages, logs, weights)
        tried += [(levelling, LEVELLING)] if levelling is not None else []

    def criterion(found: tuple[FloatArray, Shape]) -> float:
        k, misfit = len(found[0]), float(np.sum(((logs - found[1].value(ages, found[0])) * weights) ** 2))
        return misfit + 2 * k + (2 * k * (k + 1) / (ages.size - k - 1) if ages.size > k + 1 else 0.0)

    parameters, shape = min(tried, key=criterion)
    by = shape.value_by(ages, parameters) * weights[:, None]
    misfit = float(np.sum(((logs - shape.value(ages, parameters)) * weights) ** 2))
    spread = max(1.0, misfit / max(ages.size - len(parameters), 1))
    covariance = np.asarray(np.linalg.pinv(by.T @ by) * spread, dtype=np.float64)
    return Ageing(shape=shape, parameters=parameters, covariance=covariance, last_s=float(ages.max()))


def _require_series(ages: FloatArray, logs: FloatArray, weights: FloatArray) -> None:
    if ages.size < 3:
        raise NotEnoughEvidence("an ageing series", have=int(ages.size), need=3, do="read the cone again later")
    if not ages.size == logs.size == weights.size or not all(np.all(np.isfinite(x)) for x in (ages, logs, weights)):
        raise DoesNotFit("each age needs one stiffness above zero: read the missing ones, or leave that age out")
    if np.any(np.diff(ages) <= 0):
        raise DoesNotFit("the minutes do not rise from one row to the next: put the rows in the order of time")


def _straight(ages: FloatArray, logs: FloatArray, weights: FloatArray) -> FloatArray:
    design = np.stack([np.ones_like(ages), ages], axis=1) * weights[:, None]
    return np.asarray(np.linalg.lstsq(design, logs * weights, rcond=None)[0], dtype=np.float64)


def _levelling(ages: FloatArray, logs: FloatArray, weights: FloatArray) -> FloatArray | None:
    """The levelling curve; None where it is a straight line or a step as far as these ages can tell."""
    steepness, heights = _fit_levels(ages, logs, weights, with_start=True)
    low, high = LEVELS_BETWEEN
    return np.array([*heights, steepness]) if low <= steepness * float(ages.max()) <= high else None


def _fit_levels(x: FloatArray, y: FloatArray, weights: FloatArray, *, with_start: bool) -> tuple[float, FloatArray]:
    """Steepness and heights: every steepness of a wide grid tried with its best heights, the best one refined."""

    def heights(steepness: float) -> tuple[float, FloatArray]:
        columns = ([np.ones_like(x)] if with_start else []) + [-np.expm1(-steepness * x)]
        design = np.stack(columns, axis=1) * weights[:, None]
        best = np.asarray(np.linalg.lstsq(design, y * weights, rcond=None)[0], dtype=np.float64)
        return float(np.sum((y * weights - design @ best) ** 2)), best

    grid = np.geomspace(SLOWEST, FASTEST, TRIED) / float(np.abs(x).max())
    first = float(min(grid, key=lambda steepness: heights(steepness)[0]))
    size = np.append(np.maximum(np.abs(heights(first)[1]), 1e-12), first)

    def missing(scaled: FloatArray) -> FloatArray:
        *start, top, steepness = scaled * size
        return np.asarray((y - sum(start) + top * np.expm1(-steepness * x)) * weights, dtype=np.float64)

    found = least_squares(missing, np.append(heights(first)[1], first) / size, method="lm", xtol=1e-15, ftol=1e-15)
    steepness = abs(float((found.x * size)[-1]))
    return steepness, heights(steepness)[1]
