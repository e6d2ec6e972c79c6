"""Readings of one property put together: what they say jointly, calibration errors in common counted once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from slake.ground.evidence import Evidence, Kind, Range
from slake.ground.units import from_si

from .declaration import BenchTest, Context, Raw

FloatArray = NDArray[np.float64]
COMPARABLE_LOG_AGE = 0.35
"""Readings whose paste ages differ by less than this (as a log ratio: about 40 %) are of one paste age; practice."""
GRID = 2001
WIDE_SD = 6.0


@dataclass(frozen=True, kw_only=True)
class Look:
    """One reading with what is needed to read it again. `called`: how a sentence names it, such as “Fall cone at
    61 min”. `scatter`: standard deviation of one reading as learned on this bench, None to take the declared one.
    """

    called: str
    test: BenchTest
    raw: Raw
    context: Context
    scatter: float | None = None

    @property
    def evidence(self) -> Evidence:
        return self.test.inverse(self.raw, self.context)

    @property
    def log_age(self) -> float | None:
        age_s = self.context.age_s
        return None if age_s is None else math.log(max(from_si(age_s, "min"), 1.0))


@dataclass(frozen=True, kw_only=True)
class Together:
    """What several readings of one property at comparable paste age say. SI; 80 %; None where all are one-sided."""

    informs: str
    looks: tuple[Look, ...]
    range80: Range | None


def of_one_property(looks: Sequence[Look]) -> tuple[tuple[Look, ...], ...]:
    """Looks sorted by the property they inform, in the order they came; a property read once is left out."""
    by_property: dict[str, list[Look]] = {}
    for look in looks:
        by_property.setdefault(look.evidence.informs, []).append(look)
    return tuple(tuple(group) for group in by_property.values() if len(group) > 1)


def at_comparable_age(looks: Sequence[Look]) -> tuple[tuple[Look, ...], ...]:
    """Looks of one property sorted by paste age; those without an age are a group of their own."""
    aged = sorted((look for look in looks if look.log_age is not None), key=lambda look: look.log_age or 0.0)
    groups: list[list[Look]] = []
    for look in aged:
        if groups and (look.log_age or 0.0) - (groups[-1][0].log_age or 0.0) < COMPARABLE_LOG_AGE:
            groups[-1].append(look)
        else:
            groups.append([look])
    unaged = tuple(look for look in looks if look.log_age is None)
    return tuple(tuple(group) for group in groups) + ((unaged,) if unaged else ())


def together(looks: Sequence[Look]) -> Together:
    """The joint 80 % range of readings of one property at comparable paste age.

    Independent scatter averages out; a calibration error that readings have in common does not. One-sided readings
    cut the range softly. Exact readings joint normal (of the logarithm for positive properties). Algebra.
    """
    found = [look.evidence for look in looks]
    on_log = found[0].on_log
    exact = [n for n, one in enumerate(found) if one.kind is Kind.EXACT]
    informs = found[0].informs
    if not exact:
        return Together(informs=informs, looks=tuple(looks), range80=None)
    values = np.array([value_of(found[n]) for n in exact])
    precision = np.linalg.inv(covariance([looks[n] for n in exact]))
    weight = float(precision.sum())
    mid, sd = float((precision @ values).sum() / weight), weight**-0.5
    bounds = [one for one in found if one.kind is not Kind.EXACT]
    low, mid, high = (math.exp(x) if on_log else x for x in _cut(mid, sd, bounds))
    return Together(informs=informs, looks=tuple(looks), range80=Range(low=low, mid=mid, high=high))


def value_of(found: Evidence) -> float:
    """Where evidence lies on the scale its scatter is of; the known side of a one-sided one."""
    side = found.low if found.low is not None else found.high
    assert side is not None
    return math.log(side) if found.on_log else side


def covariance(looks: Sequence[Look]) -> FloatArray:
    """(n, n) covariance of the errors of readings of one property, on the scale of their scatter."""
    found = [look.evidence for look in looks]
    own = [look.scatter if look.scatter is not None else one.scatter for look, one in zip(looks, found, strict=True)]
    keys = sorted({key for one in found for key in one.shared})
    loads = np.array([[one.shared.get(key, 0.0) for key in keys] for one in found]).reshape(len(found), len(keys))
    joint: FloatArray = loads @ loads.T + np.diag(np.maximum(own, 1e-6) ** 2)
    return joint


def _cut(mid: float, sd: float, bounds: Sequence[Evidence]) -> tuple[float, float, float]:
    """10, 50 and 90 % points of a normal cut softly by one-sided evidence."""
    x = np.linspace(mid - WIDE_SD * sd, mid + WIDE_SD * sd, GRID)
    log_weight = -0.5 * ((x - mid) / sd) ** 2
    for bound in bounds:
        soft = max(bound.total_sd, 1e-6)
        for side, sign in ((bound.low, 1.0), (bound.high, -1.0)):
            if side is not None:
                log_weight += log_ndtr(sign * (x - (math.log(side) if bound.on_log else side)) / soft)
    weight = np.exp(log_weight - log_weight.max())
    share = np.cumsum(weight) / weight.sum()
    low, middle, high = np.interp([0.1, 0.5, 0.9], share, x)
    return float(low), float(middle), float(high)
