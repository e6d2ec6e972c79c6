"""How a piece dries: at a steady rate first, then ever slower; and when it counts as dry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, least_squares

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange, require_positive
from slake.ground.units import from_si, to_si

FloatArray = NDArray[np.float64]
DRY_SHARE = 0.002
DRY_WITHIN_S = to_si(24, "h")
"""Dry: it loses less than 0.2 % of its mass in 24 hours. Common practice, no source."""
FEWEST_WEIGHINGS = 5
SLOWED = 0.6
"""The last rate must have fallen under this share of the fastest one before an end is drawn from it: practice."""
LEAST_LOST = 0.01
MODEL_SD_LOG = 0.15
"""Real pieces follow the two stages this well: practice, no source."""
STARTS = (0.15, 0.4, 0.8)


@dataclass(frozen=True, kw_only=True)
class DryingCurve:
    """wet_kg at first; drying_rate_kg_per_s until slows_at_s; then what is left above end_kg fades with fades_in_s."""

    wet_kg: float
    drying_rate_kg_per_s: float
    slows_at_s: float
    fades_in_s: float

    @property
    def end_kg(self) -> float:
        """Mass it comes to rest at in this air: not bone dry."""
        return self.wet_kg - self.drying_rate_kg_per_s * (self.slows_at_s + self.fades_in_s)


def dried_mass_kg(curve: DryingCurve, dried_s: float) -> float:
    """Mass after so long: straight while the surface is wet, then exponential, without a kink.

    Holds in steady air. Form: drying theory, two stages; common practice, no source.
    """
    return float(curve.wet_kg - curve.drying_rate_kg_per_s * _effective_s(np.array([dried_s]), curve)[0])


def _effective_s(at_s: FloatArray, curve: DryingCurve) -> FloatArray:
    late = np.maximum(at_s - curve.slows_at_s, 0.0)
    return np.asarray(np.minimum(at_s, curve.slows_at_s) + curve.fades_in_s * -np.expm1(-late / curve.fades_in_s))


def share_gone(curve: DryingCurve, mass_kg: float) -> float:
    """Share of the water that leaves in this air which has left already, from 0 to 1. Bookkeeping."""
    return min(max((curve.wet_kg - mass_kg) / (curve.wet_kg - curve.end_kg), 0.0), 1.0)


def dry_after_s(curve: DryingCurve) -> float:
    """When the loss of the next 24 h falls under 0.2 % of the mass then: what counts as dry."""

    def too_much(at_s: float) -> float:
        now, later = dried_mass_kg(curve, at_s), dried_mass_kg(curve, at_s + DRY_WITHIN_S)
        return now - later - DRY_SHARE * now

    if too_much(0.0) <= 0:
        return 0.0
    latest = curve.slows_at_s + curve.fades_in_s
    while too_much(latest) > 0:
        latest *= 2
    return float(brentq(too_much, 0.0, latest, xtol=1e-9, rtol=1e-13))


@dataclass(frozen=True, kw_only=True)
class Dried:
    """What a series of weighings says. sd_log: of the time it counts as dry, error of the two stages included.

    slowed: whether the loss has slowed enough to draw an end from; without it `curve` is None.
    """

    curve: DryingCurve | None
    drying_rate_kg_per_s: float
    dry_after_s: float
    sd_log: float
    slowed: bool


def dried(at_s: Sequence[float], mass_kg: Sequence[float], mass_sd_kg: float, least_end_kg: float = 0.0) -> Dried:
    """Both stages fitted to weighings, by least squares; least_end_kg is the mass bone dry where it is known.

    Raises DoesNotFit where it grew, NotEnoughEvidence where it has hardly lost anything.
    """
    times, masses = np.asarray(at_s, dtype=float), np.asarray(mass_kg, dtype=float)
    _require_falling(times, masses, mass_sd_kg)
    rates = -np.diff(masses) / np.diff(times)
    fastest = float(rates.max())
    slowed = len(times) >= FEWEST_WEIGHINGS and float(rates[-1]) < SLOWED * fastest
    fitted = _fit(times, masses, least_end_kg) if slowed else None
    if fitted is None or fitted[0].end_kg <= 0:
        last = float(times[-1])
        return Dried(curve=None, drying_rate_kg_per_s=fastest, dry_after_s=last, sd_log=MODEL_SD_LOG, slowed=False)
    curve, spread = fitted[0], _spread(fitted, times, masses, mass_sd_kg)
    return Dried(
        curve=curve,
        drying_rate_kg_per_s=curve.drying_rate_kg_per_s,
        dry_after_s=float(times[0]) + dry_after_s(curve),
        sd_log=math.hypot(MODEL_SD_LOG, spread),
        slowed=True,
    )


def _require_falling(times: FloatArray, masses: FloatArray, mass_sd_kg: float) -> None:
    require_positive(mass_sd_kg=mass_sd_kg)
    if len(times) < 2 or any(b <= a for a, b in pairwise(times)):
        raise DoesNotFit("the hours do not rise from one weighing to the next: put the rows in the order of time")
    if float(masses.min()) <= 0:
        raise OutsideRange(
            "mass of the piece (g)", got=from_si(float(masses.min()), "g"), low=0.01, high=1e5, do="check the tare"
        )
    for before, after in pairwise(masses):
        if after > before + 4 * mass_sd_kg:
            raise DoesNotFit(
                f"it grew from {from_si(before, 'g'):.4g} to {from_si(after, 'g'):.4g} g while drying: weigh it again, "
                "or look whether the air got damper"
            )
    lost = float(masses[0] - masses[-1])
    if lost < max(LEAST_LOST * float(masses[0]), 4 * mass_sd_kg):
        do = f"it has only lost {from_si(lost, 'g'):.3g} g: weigh it again later"
        raise NotEnoughEvidence("a drying curve (g lost)", have=int(from_si(lost, "g")), need=1, do=do)


Fitted = tuple[DryingCurve, NDArray[np.float64], float]


def _fit(times: FloatArray, masses: FloatArray, least_end_kg: float) -> Fitted | None:
    """Best of several starts over the two times; start mass and rate follow from them by a straight line."""
    since, span = times - times[0], float(times[-1] - times[0])

    def curve_of(logs: FloatArray) -> DryingCurve:
        shape = DryingCurve(
            wet_kg=0.0, drying_rate_kg_per_s=0.0, slows_at_s=math.exp(logs[0]), fades_in_s=math.exp(logs[1])
        )
        gone = _effective_s(since, shape)
        wet, rate = _line(gone, masses, shape.slows_at_s + shape.fades_in_s, least_end_kg)
        return DryingCurve(
            wet_kg=wet, drying_rate_kg_per_s=rate, slows_at_s=shape.slows_at_s, fades_in_s=shape.fades_in_s
        )

    def gaps(logs: FloatArray) -> FloatArray:
        curve = curve_of(logs)
        return np.asarray((curve.wet_kg - curve.drying_rate_kg_per_s * _effective_s(since, curve) - masses) / masses[0])

    bounds = (math.log(1e-3 * span), math.log(20 * span))
    starts = [[math.log(part * span), math.log(0.3 * span)] for part in STARTS]
    found = [least_squares(gaps, s, bounds=bounds, xtol=1e-14, ftol=1e-14, gtol=1e-14) for s in starts]
    best = min(found, key=lambda one: float(one.cost))
    curve = curve_of(best.x)
    return (curve, np.asarray(best.x), float(best.cost)) if curve.drying_rate_kg_per_s > 0 else None


def _line(gone: FloatArray, masses: FloatArray, whole_s: float, least_end_kg: float) -> tuple[float, float]:
    """Start mass and rate that fit best; held to an end no lighter than the bone-dry mass where that is known."""
    mean_x, mean_y = float(gone.mean()), float(masses.mean())
    across = gone - mean_x
    rate = -float(across @ (masses - mean_y)) / float(across @ across)
    wet = mean_y + rate * mean_x
    if wet - rate * whole_s >= least_end_kg:
        return wet, rate
    left = 1 - gone / whole_s
    above = float(left @ (masses - least_end_kg)) / float(left @ left)
    return least_end_kg + above, above / whole_s


def _spread(fitted: Fitted, times: FloatArray, masses: FloatArray, mass_sd_kg: float) -> float:
    """Standard deviation of the logarithm of the dry time, from weighing error and from how well the curve fits."""
    curve, _, cost = fitted
    free = max(len(times) - 4, 1)
    sd_kg = math.hypot(mass_sd_kg, math.sqrt(2 * cost / free) * float(masses[0]))
    since, names = times - times[0], ("wet_kg", "drying_rate_kg_per_s", "slows_at_s", "fades_in_s")
    at = [float(getattr(curve, name)) for name in names]

    def moved(n: int, by: float) -> DryingCurve:
        return DryingCurve(
            **{name: v * (1 + by) if m == n else v for m, (name, v) in enumerate(zip(names, at, strict=True))}
        )

    def masses_of(one: DryingCurve) -> FloatArray:
        return np.asarray(one.wet_kg - one.drying_rate_kg_per_s * _effective_s(since, one))

    step = 1e-4
    slopes = np.array([(masses_of(moved(n, step)) - masses_of(moved(n, -step))) / (2 * step) for n in range(4)]).T
    ends = [(_log_dry(moved(n, step)) - _log_dry(moved(n, -step))) / (2 * step) for n in range(4)]
    joint = np.linalg.pinv(slopes.T @ slopes + 1e-12 * np.eye(4)) * sd_kg**2
    return min(math.sqrt(max(float(np.array(ends) @ joint @ np.array(ends)), 0.0)), 1.5)


def _log_dry(curve: DryingCurve) -> float:
    return math.log(max(dry_after_s(curve), 1.0)) if curve.end_kg > 0 else math.log(max(curve.slows_at_s, 1.0))
