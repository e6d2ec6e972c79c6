"""Flow of a yield-stress paste through a round tube that holds it at the wall: pressure to flow and back.

The wall does not slip here. Where a paste slips, as many filled pastes do, the no-slip tube says too much pressure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange, require_positive

Values = float | NDArray[np.float64]
STEPS, LONGEST_STEP, CLOSE = 60, 2.0, 1e-12
NO_YIELD = 1e-17
"""Share of the stress at the wall below which a yield stress changes no digit of it."""


@dataclass(frozen=True, kw_only=True)
class YieldFluid:
    """Herschel-Bulkley paste: stress = yield stress + consistency x (shear rate per second)^flow index."""

    yield_stress_pa: float
    consistency_pa: float
    flow_index: float

    def __post_init__(self) -> None:
        if self.yield_stress_pa != 0:
            require_positive(yield_stress_pa=self.yield_stress_pa)
        require_positive(consistency_pa=self.consistency_pa, flow_index=self.flow_index)


@dataclass(frozen=True, kw_only=True)
class Tube:
    """A straight round tube."""

    radius_m: float
    length_m: float

    def __post_init__(self) -> None:
        require_positive(radius_m=self.radius_m, length_m=self.length_m)


def wall_stress_pa(pressure_pa: float, tube: Tube) -> float:
    """Shear stress at the wall that a pressure drop over the tube makes: pressure x radius / (2 length). Statics."""
    return pressure_pa * tube.radius_m / (2 * tube.length_m)


def tube_flow_m3_s(paste: YieldFluid, tube: Tube, pressure_pa: float) -> float:
    """Volume flow under a pressure drop, steady and slow, no slip at the wall.

    Exactly zero while the wall stress is not above the yield stress. Source: herschel_bulkley_tube.
    """
    if not math.isfinite(pressure_pa) or pressure_pa < 0:
        raise OutsideRange("pressure (Pa)", got=pressure_pa, low=0, high=1e9, do="give the pressure drop, zero or more")
    stress = wall_stress_pa(pressure_pa, tube)
    if stress <= paste.yield_stress_pa:
        return 0.0
    n, plug = paste.flow_index, np.float64(paste.yield_stress_pa / stress)
    moving = float(_log_moving(np.log(stress - paste.yield_stress_pa) - np.log(stress), plug, n))
    return math.pi * tube.radius_m**3 * math.exp(moving + math.log(stress / paste.consistency_pa) / n)


def tube_pressure_pa(paste: YieldFluid, tube: Tube, flow_m3_s: float) -> float:
    """Pressure drop that drives this flow: the inverse of `tube_flow_m3_s`.

    For no flow, the pressure just below which nothing moves.
    """
    if not math.isfinite(flow_m3_s) or flow_m3_s < 0:
        raise OutsideRange("flow (m3/s)", got=flow_m3_s, low=0, high=1, do="give the volume per second, zero or more")
    rate, n = flow_m3_s / (math.pi * tube.radius_m**3), paste.flow_index
    sheared = rabinowitsch_factor(n) * apparent_shear_rate_per_s(flow_m3_s, tube.radius_m)
    wall_pa = paste.consistency_pa * sheared**n
    if paste.yield_stress_pa > NO_YIELD * wall_pa:
        wall_pa = paste.yield_stress_pa / float(plug_share(paste.consistency_pa * rate**n / paste.yield_stress_pa, n))
    return float(wall_pa) * 2 * tube.length_m / tube.radius_m


def apparent_shear_rate_per_s(flow_m3_s: Values, radius_m: float) -> Values:
    """Wall shear rate of a Newtonian liquid at this flow: 4 Q / (pi R^3)."""
    require_positive(radius_m=radius_m)
    return 4 * flow_m3_s / (math.pi * radius_m**3)


def rabinowitsch_factor(flow_index: float) -> float:
    """True over apparent wall shear rate where stress goes as rate^index: (3n + 1) / (4n). Source: capillary."""
    require_positive(flow_index=flow_index)
    return (3 * flow_index + 1) / (4 * flow_index)


def plug_share(flow_number: Values, flow_index: Values) -> NDArray[np.float64]:
    """Yield stress over wall stress at a given flow: the share of the radius that moves as one plug.

    flow_number: consistency x (mean speed / radius)^index / yield stress; 0 is a paste that barely moves (share 1).
    Works on arrays, by Newton's rule; the same law as `tube_flow_m3_s`.
    """
    number, n = np.broadcast_arrays(np.asarray(flow_number, dtype=np.float64), np.asarray(flow_index, dtype=np.float64))
    if np.any(number < 0) or np.any(n <= 0):
        raise OutsideRange("flow number", got=float(np.min(number)), low=0, high=1e9, do="give zero or more")
    with np.errstate(divide="ignore"):
        wanted = np.where(number > 0, np.log(number) / n, 0.0)
    over = _first_log_over(wanted, n)
    for _ in range(STEPS):
        step = np.clip((wanted - _log_rate(over, n)) / _log_rate_slope(over, n), -LONGEST_STEP, LONGEST_STEP)
        over = over + step
        if np.all(np.abs(step) < CLOSE):
            break
    return np.asarray(np.where(number > 0, np.exp(-np.logaddexp(0.0, over)), 1.0))


def _bracket(plug: Values, n: Values) -> Values:
    return (1 - plug) ** 2 / (3 * n + 1) + 2 * plug * (1 - plug) / (2 * n + 1) + plug**2 / (n + 1)


def _log_moving(log_free: Values, plug: Values, n: Values) -> NDArray[np.float64]:
    """log of (mean speed / radius) x (wall stress / consistency)^(-1/n); log_free: log of 1 - plug."""
    return np.asarray(np.log(n) + (n + 1) / n * log_free + np.log(_bracket(plug, n)))


def _log_rate(log_over: NDArray[np.float64], n: NDArray[np.float64]) -> NDArray[np.float64]:
    """log of (mean speed / radius) x (yield stress / consistency)^(-1/n), for log of (wall - yield) / yield."""
    log_wall = np.logaddexp(0.0, log_over)
    return _log_moving(log_over - log_wall, np.exp(-log_wall), n) + log_wall / n


def _log_rate_slope(log_over: NDArray[np.float64], n: NDArray[np.float64]) -> NDArray[np.float64]:
    plug = np.exp(-np.logaddexp(0.0, log_over))
    bend = 2 * plug / (n + 1) + 2 * (1 - 2 * plug) / (2 * n + 1) - 2 * (1 - plug) / (3 * n + 1)
    return np.asarray((n + 1) / n * plug + (1 - plug) / n - plug * (1 - plug) * bend / _bracket(plug, n))


def _first_log_over(log_rate: NDArray[np.float64], n: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where a paste that barely moves, and one far above its yield, would be: the larger of the two."""
    barely = (log_rate + np.log((n + 1) / n)) * n / (n + 1)
    freely = (log_rate + np.log((3 * n + 1) / n)) * n
    return np.asarray(np.maximum(barely, freely))
