"""Whether a property slake does not expect moves by factors or as it is: what its readings over the recipes say."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cho_factor, cho_solve

Array = NDArray[np.float64]
FEWEST, MOST = 10, 100
NOTHING_READ = 0.05
"""Share of readings of nothing at all from which a property cannot move by factors."""
CLEARLY = 0.2
"""Log evidence a reading by which logarithms must be likelier: where it is near, errors in the unit that is read
are smaller as it is.
"""
LENGTH, STRAIGHT, WIDE = 1.5, 0.37, 10.0
SCATTERS = (0.03, 0.1, 0.2, 0.4, 0.8)
LEAST_SPREAD = 3e-4


def by_factors(rows: Array, values: Array) -> bool | None:
    """True where the logarithms of the readings go with the recipes clearly more likely than the readings themselves;
    None with too few readings to tell. `rows`: (n, q) shares of each recipe.
    """
    if len(values) < FEWEST:
        return None
    positive = values > 0
    if positive.mean() < 1 - NOTHING_READ:
        return False
    some = np.flatnonzero(positive)
    some = some[np.unique(np.linspace(0, len(some) - 1, min(len(some), MOST)).astype(np.intp))]
    read = values[some]
    if np.ptp(read) <= 0:
        return None
    place = (rows[some] - rows[some].mean(0)) / np.maximum(rows[some].std(0), LEAST_SPREAD)
    gain = _likeliest(place, np.log(read)) - float(np.log(read).sum()) - _likeliest(place, read)
    return gain > CLEARLY * len(read)


def _likeliest(place: Array, read: Array) -> float:
    """Log evidence of readings over places: a smooth law of usual reach with the scatter they like best."""
    ways = max(int((np.ptp(place, axis=0) > 0).sum()), 1)
    far = ((place[:, None, :] - place[None, :, :]) ** 2).sum(2)
    law = WIDE**2 + STRAIGHT**2 * place @ place.T + np.exp(-0.5 * far / (LENGTH**2 * ways))
    spread = float(read.std())
    gap, one = (read - read.mean()) / spread, np.eye(len(read))
    return max(_evidence(law + scatter**2 * one, gap) for scatter in SCATTERS) - len(gap) * float(np.log(spread))


def _evidence(cov: Array, gap: Array) -> float:
    try:
        factor = cho_factor(cov, lower=True, check_finite=False)
    except LinAlgError:
        return -np.inf
    log_det = 2 * np.log(np.diag(factor[0])).sum()
    return float(-0.5 * (gap @ cho_solve(factor, gap, check_finite=False) + log_det))
