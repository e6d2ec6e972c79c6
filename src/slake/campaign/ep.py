"""Expectation propagation: a joint Gaussian through readings that are exact, one-sided, intervals or "perhaps".

Every site is one linear look f at the joint Gaussian. Its likelihood is
    q * [Phi((high - f)/soft) - Phi((low - f)/soft)] + (1 - q)          (bounds; q = 1 unless a cause is uncertain)
or  Normal(f; low, soft)                                                (exact: low = high)
so the moments under a Gaussian cavity are closed. Minka 2001 gives the method (from memory); tests hold it against
numerical integration.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular
from scipy.special import log_ndtr

Array = NDArray[np.float64]
MOST_ROUNDS = 60
DAMPING = 0.7
LEAST_PRECISION = 1e-9
CLOSE_ENOUGH = 1e-4
_LOG_ROOT_2PI = 0.9189385332046727


@dataclass(frozen=True, kw_only=True)
class Sites:
    """Likelihoods of n looks. Open sides are +-inf; `soft` is the sd of the reading or of the threshold, > 0."""

    low: Array
    high: Array
    soft: Array
    sure: Array

    def only(self, which: NDArray[np.intp]) -> Sites:
        return Sites(low=self.low[which], high=self.high[which], soft=self.soft[which], sure=self.sure[which])

    @property
    def exact(self) -> NDArray[np.bool_]:
        return np.asarray(self.low == self.high)


@dataclass(frozen=True, kw_only=True)
class Fit:
    """What EP found. `pull` maps a cross-covariance to a mean shift: shift = cross @ pull. `hold` likewise for the
    covariance: prior - cross @ hold @ cross.T, where hold = half.T @ half and `half` is lower triangular. `cavity_z` is
    each exact reading's distance from what the others say, in standard deviations (0 for the rest). `log_evidence` is
    EP's own approximation.
    """

    mean: Array
    cov: Array
    pull: Array
    half: Array
    cavity_z: Array
    log_evidence: float
    settled: bool

    @cached_property
    def hold(self) -> Array:
        """(s, s) half.T @ half."""
        return np.asarray(self.half.T @ self.half)


def tilted(sites: Sites, mean: Array, var: Array) -> tuple[Array, Array, Array]:
    """log Z, its slope and minus its curvature in the cavity mean, for every site."""
    spread = np.sqrt(var + sites.soft**2)
    logz, slope, bend = _interval(sites, mean, spread)
    sure = np.clip(sites.sure, 1e-12, 1.0)
    total = np.logaddexp(np.log(sure) + logz, np.log1p(-np.minimum(sure, 1 - 1e-15)))
    total = np.where(sure >= 1, logz, total)
    share = np.exp(np.clip(np.log(sure) + logz - total, -700, 0))
    mixed_bend = share * bend - share * (1 - share) * slope**2
    z = (sites.low - mean) / spread
    exact = sites.exact
    with np.errstate(invalid="ignore"):
        gauss = -0.5 * z**2 - np.log(spread) - _LOG_ROOT_2PI
    return (
        np.where(exact, gauss, total),
        np.where(exact, z / spread, share * slope),
        np.where(exact, 1 / spread**2, mixed_bend),
    )


def _interval(sites: Sites, mean: Array, spread: Array) -> tuple[Array, Array, Array]:
    a, b = (sites.low - mean) / spread, (sites.high - mean) / spread
    flip = a + np.where(np.isinf(b), 40.0, b) > 0
    left, right = np.where(flip, -b, a), np.where(flip, -a, b)
    upper, lower = log_ndtr(right), log_ndtr(left)
    with np.errstate(divide="ignore", invalid="ignore"):
        logz = upper + np.log1p(-np.exp(np.minimum(lower - upper, -1e-14)))
        at_a = np.where(np.isinf(a), 0.0, np.exp(np.minimum(-0.5 * a**2 - _LOG_ROOT_2PI - logz, 700)))
        at_b = np.where(np.isinf(b), 0.0, np.exp(np.minimum(-0.5 * b**2 - _LOG_ROOT_2PI - logz, 700)))
    slope = (at_a - at_b) / spread
    edge = np.where(np.isinf(b), 0, np.nan_to_num(b)) * at_b - np.where(np.isinf(a), 0, np.nan_to_num(a)) * at_a
    return logz, slope, slope**2 + edge / spread**2


def fit(prior_mean: Array, prior_cov: Array, sites: Sites) -> Fit:
    """The Gaussian nearest to prior times all sites. Never returns nan: a site that will not settle keeps its last
    good value, and `settled` says so.

    Exact readings are taken in closed form first; only the bounds are then gone over in rounds.
    """
    exact, bounds = np.flatnonzero(sites.exact), np.flatnonzero(~sites.exact)
    precision = np.where(sites.exact, 1 / sites.soft**2, LEAST_PRECISION)
    shift = np.where(sites.exact, np.where(sites.exact, sites.low, 0.0) * precision, 0.0)
    mean, cov = _given_exact(prior_mean, prior_cov, sites, exact, bounds)
    precision[bounds], shift[bounds], settled = _rounds(mean, cov, sites.only(bounds))
    return _finished(prior_mean, prior_cov, sites, (precision, shift), settled)


def _given_exact(
    mean: Array, cov: Array, sites: Sites, exact: NDArray[np.intp], bounds: NDArray[np.intp]
) -> tuple[Array, Array]:
    """The prior of the bounded looks once the exact readings are counted."""
    noisy = cov[np.ix_(exact, exact)] + np.diag(sites.soft[exact] ** 2)
    between = cov[np.ix_(bounds, exact)]
    gain = np.linalg.solve(noisy, between.T).T if len(exact) else between
    left = cov[np.ix_(bounds, bounds)] - gain @ between.T
    return mean[bounds] + gain @ (sites.low[exact] - mean[exact]), (left + left.T) / 2


def _rounds(prior_mean: Array, prior_cov: Array, sites: Sites) -> tuple[Array, Array, bool]:
    """Precision and shift of the bounds after rounds of all sites side by side, and whether they settled."""
    precision, shift = np.full(len(prior_mean), LEAST_PRECISION), np.zeros(len(prior_mean))
    mean, var = prior_mean, np.diag(prior_cov)
    for _ in range(MOST_ROUNDS if len(prior_mean) else 0):
        new_precision, new_shift = _updated(sites, mean, var, precision, shift)
        moved = float(np.max(np.abs(new_precision - precision) / (1 + precision)))
        moved = max(moved, float(np.max(np.abs(new_shift - shift) / (1 + np.abs(shift)))))
        precision, shift = new_precision, new_shift
        mean, var = _margins(prior_mean, prior_cov, precision, shift)
        if moved < CLOSE_ENOUGH:
            return precision, shift, True
    return precision, shift, len(prior_mean) == 0


def _updated(sites: Sites, mean: Array, var: Array, precision: Array, shift: Array) -> tuple[Array, Array]:
    cavity_var, cavity_mean = _cavity(mean, var, precision, shift)
    _, slope, bend = tilted(sites, cavity_mean, cavity_var)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        keep = 1 - cavity_var * bend
        wanted = bend / keep
        wanted_shift = (slope + cavity_mean * bend) / keep
    fine = np.isfinite(wanted) & np.isfinite(wanted_shift) & (keep > 1e-9) & ~sites.exact
    floor = np.maximum(wanted, LEAST_PRECISION)
    lifted = wanted < LEAST_PRECISION
    wanted_shift = np.where(lifted, slope + cavity_mean * LEAST_PRECISION, wanted_shift)
    new = np.where(fine, (1 - DAMPING) * precision + DAMPING * floor, precision)
    new_shift = np.where(fine, (1 - DAMPING) * shift + DAMPING * wanted_shift, shift)
    return new, new_shift


def _cavity(mean: Array, var: Array, precision: Array, shift: Array) -> tuple[Array, Array]:
    rest = np.maximum(1 / np.maximum(var, 1e-14) - precision, 1e-8)
    return 1 / rest, (mean / np.maximum(var, 1e-14) - shift) / rest


def _margins(prior_mean: Array, prior_cov: Array, precision: Array, shift: Array) -> tuple[Array, Array]:
    """Mean and variances alone: all that the next round needs."""
    root = np.sqrt(precision)
    half = _half(prior_cov, root, root[:, None] * prior_cov)
    gap = shift - precision * prior_mean
    mean = prior_mean + prior_cov @ gap - half.T @ (half @ gap)
    return mean, np.diag(prior_cov) - np.einsum("ij,ij->j", half, half)


def _half(prior_cov: Array, root: Array, side: Array) -> Array:
    """L^-1 side, where L L^T = 1 + root cov root."""
    lower = np.linalg.cholesky(np.eye(len(root)) + root[:, None] * prior_cov * root)
    return np.asarray(solve_triangular(lower, side, lower=True, check_finite=False), dtype=np.float64)


def _finished(prior_mean: Array, prior_cov: Array, sites: Sites, state: tuple[Array, Array], settled: bool) -> Fit:
    precision, shift = state
    root = np.sqrt(precision)
    half = _half(prior_cov, root, np.diag(root))
    gap = shift - precision * prior_mean
    pull = half.T @ (half @ (gap / precision))
    mean = prior_mean + prior_cov @ pull
    seen = half @ prior_cov
    cov = prior_cov - seen.T @ seen
    exact, alone = sites.exact, np.maximum((half**2).sum(0), LEAST_PRECISION**2)
    cavity_var, cavity_mean = _cavity(mean, np.diag(cov), precision, shift)
    # of exact readings without the difference of two nearly equal numbers: they may be far finer than what is expected
    cavity_var = np.where(exact, np.maximum(1 / alone - sites.soft**2, 1e-14), cavity_var)
    cavity_mean = np.where(exact, np.where(exact, sites.low, 0.0) - pull / alone, cavity_mean)
    logz, _, _ = tilted(sites, cavity_mean, cavity_var)
    z = np.where(exact, pull / np.sqrt(alone), 0.0)
    return Fit(
        mean=mean,
        cov=cov,
        pull=pull,
        half=np.asfortranarray(half),
        cavity_z=z,
        log_evidence=_log_evidence(prior_mean, prior_cov, state, (logz, cavity_mean, cavity_var)),
        settled=settled,
    )


def _log_evidence(
    prior_mean: Array,
    prior_cov: Array,
    state: tuple[Array, Array],
    cavity: tuple[Array, Array, Array],
) -> float:
    """log of the Gaussian integral with every site rescaled so that its own moment of order 0 is right."""
    precision, shift = state
    logz, cavity_mean, cavity_var = cavity
    n = len(precision)
    if n == 0:
        return 0.0
    centre, site_var = shift / precision, 1 / precision
    both = cavity_var + site_var
    scale = logz + 0.5 * np.log(2 * np.pi * both) + 0.5 * (cavity_mean - centre) ** 2 / both
    total = prior_cov + np.diag(site_var)
    lower = np.linalg.cholesky(total)
    gap = solve_triangular(lower, centre - prior_mean, lower=True, check_finite=False)
    log_det = 2 * np.log(np.diag(lower)).sum()
    value = float(-0.5 * (gap @ gap + log_det + n * np.log(2 * np.pi)) + scale.sum())
    return value if np.isfinite(value) else -np.inf
