"""The chance that every line of the brief holds together."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

from .belief import Forecast
from .brief import Brief
from .layout import Look
from .priors import CLOGGING, RAM_FORCE

Array = NDArray[np.float64]
PASSES, UNCLOGGED = "passes the nozzle", "does not clog"
"""What no brief needs to say."""


def looks_for(
    brief: Brief, machine: str, lots: tuple[str, ...], with_which: Mapping[str, str], unsaid: Collection[str]
) -> tuple[list[Look], Array]:
    """One look per line of the brief, then of what no brief needs to say, with (L, 2) latent windows. `with_which`:
    reading -> name of the instrument it will be taken with.
    """
    looks, windows = [], []
    for line in brief.lines:
        shared = tuple(line.gauge.shared(with_which.get(line.name, "")).items())
        looks.append(
            Look(channel=line.gauge.channel.name, row=0, batch=-1, calibrations=shared, machine=machine, lots=lots)
        )
        windows.append((line.latent_low, line.latent_high))
    if PASSES in unsaid:
        looks.append(Look(channel=RAM_FORCE.name, row=0, batch=-1, machine=machine, against_force=True, lots=lots))
        windows.append((-np.inf, 0.0))
    if UNCLOGGED in unsaid:
        looks.append(Look(channel=CLOGGING.name, row=0, batch=-1, machine=machine, lots=lots))
        windows.append((-np.inf, 0.0))
    return looks, np.array(windows, dtype=np.float64)


@cache
def draws(count: int, dims: int) -> Array:
    """`count` evenly spread standard normal vectors, always the same."""
    points = qmc.Sobol(dims, seed=20).random(count)
    found: Array = np.asarray(ndtri(np.clip(points, 1e-9, 1 - 1e-9)))
    return found


def of_the_recipe(view: Forecast) -> Forecast:
    """The forecast without what one batch does by itself: a brief is about the paste one means to make."""
    cov = view.cov - view.own_var
    diagonal = np.arange(cov.shape[-1])
    cov[..., diagonal, diagonal] = np.maximum(cov[..., diagonal, diagonal], 1e-8)
    return replace(view, cov=cov, own_var=np.zeros_like(view.own_var))


def line_chances(view: Forecast, windows: Array) -> Array:
    """(n, L) chance of each line by itself."""
    sd = np.sqrt(np.diagonal(view.cov, axis1=1, axis2=2))
    return np.asarray(ndtr((windows[:, 1] - view.mean) / sd) - ndtr((windows[:, 0] - view.mean) / sd))


def all_hold(mean: Array, cov: Array, windows: Array, count: int = 128) -> Array:
    """(n,) chance that all lines hold: separation of variables (Genz), one line after the other."""
    n, lines = mean.shape
    root = np.linalg.cholesky(cov + 1e-9 * np.eye(lines) * np.trace(cov, axis1=1, axis2=2)[:, None, None] / lines)
    uniform = ndtr(draws(count, max(lines, 1)))
    total = np.ones((n, count))
    drawn = np.zeros((n, count, lines))
    for k in range(lines):
        shift = mean[:, k, None] + np.einsum("nsj,nj->ns", drawn[:, :, :k], root[:, k, :k])
        scale = root[:, k, k, None]
        low, high = ndtr((windows[k, 0] - shift) / scale), ndtr((windows[k, 1] - shift) / scale)
        total *= np.maximum(high - low, 0)
        inside = low + uniform[None, :, k] * np.maximum(high - low, 0)
        drawn[:, :, k] = ndtri(np.clip(inside, 1e-12, 1 - 1e-12))
    return np.asarray(total.mean(1))


def spread_of_chance(view: Forecast, windows: Array) -> Array:
    """Chances of one batch of one recipe, one per draw of all but what that batch does by itself: of what is left to
    learn.
    """
    rest = view.own_var[0]
    shared = view.cov[0] - rest
    values, vectors = np.linalg.eigh((shared + shared.T) / 2)
    root = vectors * np.sqrt(np.maximum(values, 0))
    means = view.mean[0] + draws(256, len(windows)) @ root.T
    covs = np.tile(rest + 1e-6 * np.eye(len(windows)), (len(means), 1, 1))
    return all_hold(means, covs, windows, 32)
