"""Points and fits in a mixture whose shares sum to 1: lattices, corners of bounded mixtures, sampling, Scheffe fits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange

FloatArray = NDArray[np.float64]

MOST_PARTS = 10
CLOSE = 1e-9


def simplex_lattice(parts: int, steps: int) -> FloatArray:
    """All mixtures of `parts` shares in multiples of 1/steps: (q+m-1)! / (m! (q-1)!) rows. Source: nist5542."""
    if not (1 <= parts <= MOST_PARTS and 1 <= steps <= 20):
        raise OutsideRange("parts of a lattice", got=parts, low=1, high=MOST_PARTS, do="and from 1 to 20 steps")
    rows = [
        [b - a - 1 for a, b in zip((-1, *bars), (*bars, steps + parts - 1), strict=True)]
        for bars in combinations(range(steps + parts - 1), parts - 1)
    ]
    return np.array(rows, dtype=np.float64)[::-1] / steps


def _bounds(lower: Sequence[float], upper: Sequence[float]) -> tuple[FloatArray, FloatArray]:
    low, high = np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)
    if low.shape != high.shape or low.ndim != 1 or not 1 <= low.size <= MOST_PARTS:
        raise DoesNotFit(
            f"bounds need one low and one high each for 1 to {MOST_PARTS} parts: {low.size} and {high.size}"
        )
    if not (np.isfinite(low).all() and np.isfinite(high).all() and (low >= 0).all() and (high <= 1).all()):
        raise DoesNotFit("every bound must be a share from 0 to 1: check the list")
    if (low > high).any():
        raise DoesNotFit("a low bound lies above its high bound: swap or correct them")
    if low.sum() > 1 + CLOSE or high.sum() < 1 - CLOSE:
        raise DoesNotFit(
            f"no mixture fits: the lows sum to {low.sum():.3g} and the highs to {high.sum():.3g}, with 1 between them "
            "needed; widen a bound"
        )
    return low, high


def extreme_vertices(lower: Sequence[float], upper: Sequence[float]) -> FloatArray:
    """Every corner of the mixtures within bounds, exactly; rows in rising order, none twice.

    A corner has all parts but one at a bound. Source: mclean_anderson1966. Raises DoesNotFit where no mixture
    lies within the bounds.
    """
    low, high = _bounds(lower, upper)
    found: dict[tuple[float, ...], FloatArray] = {}
    for free in range(low.size):
        others = [i for i in range(low.size) if i != free]
        for choice in product(*((low[i], high[i]) for i in others)):
            rest = 1 - float(np.sum(choice))
            if low[free] - CLOSE <= rest <= high[free] + CLOSE:
                corner = np.insert(np.array(choice, dtype=np.float64), free, np.clip(rest, low[free], high[free]))
                found.setdefault(tuple(np.round(corner, 9)), corner)
    return np.array([found[key] for key in sorted(found)], dtype=np.float64)


def sample_mixtures(lower: Sequence[float], upper: Sequence[float], count: int, rng: np.random.Generator) -> FloatArray:
    """`count` mixtures spread evenly over those within bounds, by hit and run from the middle of the corners.

    Each row is `4 q` steps from the last: close to independent for boxes cut by one plane; not exactly so.
    """
    low, high = _bounds(lower, upper)
    if not 1 <= count <= 1_000_000:
        raise OutsideRange("number of mixtures", got=count, low=1, high=1e6, do="ask for fewer")
    point = extreme_vertices(low.tolist(), high.tolist()).mean(axis=0)
    rows = np.empty((count, low.size))
    thin = 4 * low.size
    steps = rng.standard_normal((count * thin, low.size))
    moving = high - low > CLOSE
    steps[:, ~moving] = 0.0
    if moving.any():
        steps[:, moving] -= steps[:, moving].mean(axis=1, keepdims=True)
    where = rng.random(count * thin)
    for i in range(count * thin):
        point = _hit(point, steps[i], (low, high), where[i])
        if i % thin == thin - 1:
            rows[i // thin] = point
    clipped: FloatArray = np.clip(rows, low, high)
    return clipped


def _hit(point: FloatArray, step: FloatArray, box: tuple[FloatArray, FloatArray], where: float) -> FloatArray:
    """A point somewhere on the chord through `point` along `step` within the box."""
    moves = np.abs(step) > 1e-12
    if not moves.any():
        return point
    to_low = (box[0][moves] - point[moves]) / step[moves]
    to_high = (box[1][moves] - point[moves]) / step[moves]
    back = float(np.minimum(to_low, to_high).max())
    ahead = float(np.maximum(to_low, to_high).min())
    if ahead <= back:
        return point
    return point + (back + where * (ahead - back)) * step


def scheffe_terms(mixtures: FloatArray) -> FloatArray:
    """Columns of the quadratic mixture model: every share, then every product of two. Source: scheffe1958."""
    pairs = combinations(range(mixtures.shape[1]), 2)
    return np.column_stack([mixtures, *(mixtures[:, i] * mixtures[:, j] for i, j in pairs)])


def special_cubic_terms(mixtures: FloatArray) -> FloatArray:
    """Columns of the special cubic mixture model: those of the quadratic, then every product of three shares. Source:
    scheffe1958.
    """
    threes = combinations(range(mixtures.shape[1]), 3)
    return np.column_stack(
        [scheffe_terms(mixtures), *(mixtures[:, i] * mixtures[:, j] * mixtures[:, k] for i, j, k in threes)]
    )


@dataclass(frozen=True, kw_only=True)
class MixtureFit:
    """Least-squares fit: coefficients and their standard errors in the order of the terms, and what is left over."""

    coefficients: FloatArray
    standard_errors: FloatArray
    residual_sd: float
    residual_sum_squares: float
    degrees_of_freedom: int


def fit_scheffe_quadratic(mixtures: FloatArray, values: FloatArray) -> MixtureFit:
    """Fit the quadratic mixture model by ordinary least squares; scatter taken alike everywhere.

    Raises DoesNotFit where shares do not sum to 1, NotEnoughEvidence where there are too few rows, or where the
    mixtures cannot tell the terms apart.
    """
    return _fitted(mixtures, values, scheffe_terms)


def fit_scheffe_special_cubic(mixtures: FloatArray, values: FloatArray) -> MixtureFit:
    """The same with the special cubic terms. Raises as the quadratic fit does."""
    return _fitted(mixtures, values, special_cubic_terms)


def _fitted(mixtures: FloatArray, values: FloatArray, terms_of: Callable[[FloatArray], FloatArray]) -> MixtureFit:
    x, y = np.asarray(mixtures, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if x.ndim != 2 or y.shape != (x.shape[0],) or not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise DoesNotFit("a mixture fit needs one finite value per row of shares: check the table")
    if not np.allclose(x.sum(axis=1), 1, atol=1e-6):
        raise DoesNotFit("the shares of every mixture must sum to 1: check the rows")
    terms = terms_of(x)
    if x.shape[0] <= terms.shape[1] or np.linalg.matrix_rank(terms) < terms.shape[1]:
        raise NotEnoughEvidence(
            "a mixture fit",
            have=int(np.unique(x.round(9), axis=0).shape[0]),
            need=terms.shape[1] + 1,
            do="mix more, and more unlike, recipes",
        )
    return _least_squares(terms, y)


def _least_squares(terms: FloatArray, y: FloatArray) -> MixtureFit:
    coefficients: FloatArray = np.linalg.lstsq(terms, y, rcond=None)[0].astype(np.float64)
    left = y - terms @ coefficients
    free = y.size - terms.shape[1]
    squares = float(left @ left)
    spread = np.linalg.inv(terms.T @ terms)
    return MixtureFit(
        coefficients=coefficients,
        standard_errors=np.sqrt(np.diag(spread) * squares / free),
        residual_sd=float(np.sqrt(squares / free)),
        residual_sum_squares=squares,
        degrees_of_freedom=free,
    )
