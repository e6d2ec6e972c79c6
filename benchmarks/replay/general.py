"""The two general-purpose models: a ridge-held quadratic blend and a Gaussian process of scikit-learn.

Both see shares and one reading as it is, and give mean and sd of a new reading. Neither knows anything of slake.
"""

from __future__ import annotations

import warnings
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from sklearn.exceptions import ConvergenceWarning
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

Array = NDArray[np.float64]
PENALTIES = 10.0 ** np.arange(-6.0, 4.1, 0.5)
RESTARTS, MANY = 1, 300
"""Climbs of a process from a further start; none from so many rows on."""
LEAST = 1e-9


def quadratic(shares: Array, read: Array, new: Array) -> tuple[Array, Array]:
    """Scheffé's quadratic, every term over its own spread, the penalty with the least error left out one by one."""
    known, asked = _terms(shares), _terms(new)
    middle, spread = known.mean(axis=0), np.maximum(known.std(axis=0), LEAST)
    known, asked = (known - middle) / spread, (asked - middle) / spread
    centre, best = read.mean(), np.inf
    gap, gram, one = read - centre, known @ known.T, np.eye(len(read))
    for penalty in PENALTIES:
        inverse = np.linalg.inv(gram + penalty * one)
        off = float(np.mean((inverse @ gap / np.diag(inverse)) ** 2))
        if off < best:
            best, chosen, held = off, penalty, inverse
    cross = asked @ known.T
    noise = max(chosen * float(gap @ held @ gap) / max(len(gap) - 1, 1), LEAST)
    left = np.maximum((asked**2).sum(axis=1) - ((cross @ held) * cross).sum(axis=1), 0.0)
    return centre + cross @ held @ gap, np.sqrt(noise * (1.0 + left / chosen))


def _terms(shares: Array) -> Array:
    pairs = combinations(range(shares.shape[1]), 2)
    return np.column_stack([shares, *(shares[:, i] * shares[:, j] for i, j in pairs)])


def process(shares: Array, read: Array, new: Array) -> tuple[Array, Array]:
    """Matérn 5/2 with a length a part, on shares in spans of what was seen, its scatter learned too."""
    low, span = shares.min(axis=0), np.ptp(shares, axis=0)
    span = np.where(span > 0, span, 1.0)
    kernel = ConstantKernel(1.0, (1e-3, 1e3)) * Matern(np.ones(shares.shape[1]), (1e-2, 1e2), nu=2.5)
    kernel += WhiteKernel(0.1, (1e-6, 1e1))
    again = RESTARTS if len(read) < MANY else 0
    model = GaussianProcessRegressor(kernel, normalize_y=True, n_restarts_optimizer=again, random_state=0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)
        model.fit((shares - low) / span, read)
    mean, sd = model.predict((new - low) / span, return_std=True)
    return mean, np.maximum(sd, LEAST)
