"""How well this bench repeats a test: the scatter between readings of one batch at about the same paste age, pooled.

A few repeats say little, so the own scatter is drawn to the declared one, which counts as DECLARED_COUNT repeats; under
LEAST_PAIRS it is only shown, not used. Spread of the pooled value: chi-square, its own repeats alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scipy.stats import chi2

from slake.ground.evidence import Range

from .declaration import BenchTest

LEAST_PAIRS = 3
DECLARED_COUNT = 4
LEAST_TIMES, MOST_TIMES = 0.2, 5.0
"""Practice, no source: a declared scatter is worth four repeats, and is not wrong by more than a factor of five."""


@dataclass(frozen=True, kw_only=True)
class Repeatability:
    """`repeats`: readings beyond the first of each batch. `sd`: pooled scatter of one reading and its 80 % range, of
    the natural logarithm where `by_factors`, else in the bench unit. `declared`: the declared one on the same scale.
    `used`: what belief and ranges take; `times` is that over the declared one.
    """

    repeats: int
    by_factors: bool
    sd: Range
    declared: float
    used: float

    @property
    def times(self) -> float:
        return self.used / self.declared

    @property
    def moved(self) -> bool:
        """Whether there are enough repeats to be used."""
        return self.repeats >= LEAST_PAIRS


def repeatability(test: BenchTest, groups: Sequence[Sequence[float]]) -> Repeatability | None:
    """From headline values (bench unit) of readings of one batch, one instrument and about one age each.

    None where nothing was read twice. A test whose declared scatter is a share of the value is pooled by factors.
    """
    kept = [[x for x in group if math.isfinite(x)] for group in groups]
    kept = [group for group in kept if len(group) > 1]
    by_factors = test.scatter_share > 0 and all(x > 0 for group in kept for x in group)
    repeats = sum(len(group) - 1 for group in kept)
    if repeats == 0:
        return None
    turn: Callable[[float], float] = math.log if by_factors else float
    squares = sum(_squares([turn(x) for x in group]) for group in kept)
    declared = _declared(test, [x for group in kept for x in group], by_factors=by_factors)
    return Repeatability(
        repeats=repeats,
        by_factors=by_factors,
        sd=_range(squares, repeats),
        declared=declared,
        used=_used(squares, repeats, declared),
    )


def _squares(values: Sequence[float]) -> float:
    mean = sum(values) / len(values)
    return sum((value - mean) ** 2 for value in values)


def _declared(test: BenchTest, values: Sequence[float], *, by_factors: bool) -> float:
    """Root mean square of the declared scatter at the values read."""
    each = [test.scatter(x) / (x if by_factors else 1.0) for x in values]
    return max(math.sqrt(sum(sd**2 for sd in each) / len(each)), 1e-9)


def _range(squares: float, repeats: int) -> Range:
    """Pooled standard deviation with its 80 % range: squares over the true variance follow chi-square."""
    low, high = (math.sqrt(squares / float(chi2.ppf(p, repeats))) for p in (0.9, 0.1))
    mid = math.sqrt(squares / repeats)
    return Range(low=min(low, mid), mid=mid, high=max(high, mid))


def _used(squares: float, repeats: int, declared: float) -> float:
    if repeats < LEAST_PAIRS:
        return declared
    drawn = math.sqrt((DECLARED_COUNT * declared**2 + squares) / (DECLARED_COUNT + repeats))
    return min(max(drawn, LEAST_TIMES * declared), MOST_TIMES * declared)
