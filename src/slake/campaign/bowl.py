"""At the bowl: what one to three readings say to do now. What water is worth is learned as water goes in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from slake.ground.evidence import Z80, Range
from slake.ground.problems import NotEnoughEvidence
from slake.ground.units import to_si

Array = NDArray[np.float64]
STEADY_AGE_S = to_si(45, "min")
"""Before this age most gum pastes still stiffen on their own (common practice: guar most in 30 min, full in 2 h)."""

SLOPE = Range(low=2.1, mid=5.2, high=12.8)
"""Fall of ln(yield stress) when water grows by one whole water demand of the solids. Common practice, no source:
shell falls about 13 % and cellulose about 2.5 % per 0.01 g/g, which is 4.9 and 6.3 at demands of 0.35 and 2.5 g/g;
wide, for demands are mostly typical ones, and grains near their densest packing are steeper."""
AHEAD = ((0.75, 1 / 6), (0.92, 2 / 3), (1.12, 1 / 6))
"""The slope ahead over the one learned on the way, with weights: a softer paste falls a little less. Practice."""
AGEING = (0.25, 0.15)
"""Rise of ln(yield stress) per ln(paste age), middle and sd: tenfold age stiffens x1.8, wide. Practice, no source."""
BENT = 0.25
"""How far a fall between two readings is off the straight one: no paste softens along a straight line. Practice."""
SLOPES_TRIED, FARTHEST = 61, 3.5
LEAST_DEMAND = 0.1
AGAINST = 3.0
"""Readings that lie this many standard deviations off any slope that is known are to be read again."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """wait_s: read again after this long; else the change of water per dry that leads to the aim, as a range.

    slope: fall of ln(yield stress) per water demand, as learned. sure: chance that the paste is on the side it looks to
    be on. odd: whether the readings do not go together with any slope that is known.
    """

    wait_s: float | None
    water_per_dry_change: Range | None
    slope: Range = SLOPE
    sure: float = 1.0
    odd: bool = False


@dataclass(frozen=True, kw_only=True)
class BowlRead:
    """One reading: how many times stiffer than the aim (80 % range of the reading's own error), with how much water per
    dry in, at which paste age (None: the clock did not run).
    """

    ratio: Range
    water_per_dry: float
    age_s: float | None = None


def step_from(reads: Sequence[BowlRead], water_demand: float) -> Step:
    """What to do now, from readings of one bowl taken while water was added, the newest last.

    water_demand: g water per g dry that the solids drink; small demands are taken as 0.1. Too soft and young:
    wait. Else a change of water per dry; negative asks for dry filler instead. The slope is that of common practice,
    moved by what the water added so far did.
    """
    if not reads:
        raise NotEnoughEvidence("water to add", have=0, need=1, do="take a reading of the paste in the bowl")
    now = reads[-1]
    if now.ratio.high < 1 and now.age_s is not None and now.age_s < STEADY_AGE_S:
        return Step(wait_s=STEADY_AGE_S * 4 / 3 - now.age_s, water_per_dry_change=None)
    scale = max(water_demand, LEAST_DEMAND)
    slopes, weight, level, sd, odd = _learned(reads, scale)
    change = _quantiles(slopes, weight, (level, sd))
    order = np.argsort(slopes)
    heap = np.cumsum(weight[order])
    ends = [float(slopes[order][int(np.searchsorted(heap, share))]) for share in (0.1, 0.5, 0.9)]
    stiff = float((weight * ndtr(level / sd)).sum())
    return Step(
        wait_s=None,
        water_per_dry_change=Range(low=change[0] * scale, mid=change[1] * scale, high=change[2] * scale),
        slope=Range(low=ends[0], mid=ends[1], high=ends[2]),
        sure=max(stiff, 1 - stiff),
        odd=odd,
    )


def _learned(reads: Sequence[BowlRead], scale: float) -> tuple[Array, Array, Array, Array, bool]:
    """Slopes tried with their weights, and with each the logarithm of the stiffness now over the aim, and its sd."""
    spread = math.log(SLOPE.high / SLOPE.low) / (2 * Z80)
    z = np.linspace(-FARTHEST, FARTHEST, SLOPES_TRIED)
    slopes = SLOPE.mid * np.exp(spread * z)
    noise = np.array([math.log(r.ratio.high / r.ratio.low) / (2 * Z80) for r in reads])
    values = np.array([math.log(r.ratio.mid) for r in reads])
    noise = np.hypot(np.maximum(noise, 1e-3), BENT * (values - values[-1]))
    more = np.array([r.water_per_dry - reads[-1].water_per_dry for r in reads]) / scale
    older = np.array([_log_age(r, reads[-1]) for r in reads])
    cov = np.diag(noise**2) + AGEING[1] ** 2 * np.outer(older, older)
    precision = np.linalg.inv(cov)
    total = float(precision.sum())
    bare = values[None, :] + slopes[:, None] * more[None, :] - AGEING[0] * older[None, :]
    level = bare @ precision.sum(0) / total
    rest = bare - level[:, None]
    miss = np.einsum("ki,ij,kj->k", rest, precision, rest)
    log_weight = -0.5 * (miss + z**2)
    weight = np.exp(log_weight - log_weight.max())
    far = float((miss + z**2).min())
    return slopes, weight / weight.sum(), level, np.full(len(slopes), total**-0.5), far > AGAINST**2


def _log_age(read: BowlRead, now: BowlRead) -> float:
    if read.age_s is None or now.age_s is None:
        return 0.0
    return math.log(max(read.age_s, 60.0) / max(now.age_s, 60.0))


def _quantiles(slopes: Array, weight: Array, now: tuple[Array, Array]) -> list[float]:
    """Of the change of water per demand that brings the paste to the aim: 10, 50 and 90 %."""
    level, sd = (np.tile(one, len(AHEAD)) for one in now)
    ahead = np.concatenate([slopes * times for times, _ in AHEAD])
    weight = np.concatenate([weight * share for _, share in AHEAD])
    middle, wide = level / ahead, sd / ahead
    low, high = float((middle - 6 * wide).min()), float((middle + 6 * wide).max())
    at = np.linspace(low, high, 501)
    heap = (weight[:, None] * ndtr((at[None, :] - middle[:, None]) / wide[:, None])).sum(0)
    return [float(np.interp(share, heap, at)) for share in (0.1, 0.5, 0.9)]
