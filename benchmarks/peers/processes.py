"""Gaussian processes of scikit-learn, one a property, and a classifier of what prints at all.

Matérn 5/2 with a length a part, on fractions in spans of their bounds; the recipe with the best joint chance of all
lines times the chance to print.
"""

from __future__ import annotations

import warnings

import numpy as np
from sklearn.exceptions import ConvergenceWarning
from sklearn.gaussian_process import GaussianProcessClassifier, GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel, Matern, WhiteKernel

from .climb import best_recipe
from .notes import Notes, log_within
from .region import Array

warnings.simplefilter("ignore", ConvergenceWarning)

AMPLITUDES, LENGTHS, NOISES = (0.3, 10.0), (0.4, 4.0), (0.003, 1.0)
LEAST_SPREAD = 1.0
"""Of logs or grades: few alike readings are no ground to think that a property hardly moves."""


class Process:
    def __init__(self, place: Array, values: Array, seed: int) -> None:
        kernel = ConstantKernel(1.0, AMPLITUDES) * Matern(np.ones(place.shape[1]), LENGTHS, nu=2.5)
        kernel += WhiteKernel(0.02, NOISES)
        self.middle, self.spread = float(values.mean()), max(float(values.std()), LEAST_SPREAD)
        self.model = GaussianProcessRegressor(kernel, alpha=1e-8, n_restarts_optimizer=1, random_state=seed)
        self.model.fit(place, (values - self.middle) / self.spread)
        self.noise = float(self.model.kernel_.k2.noise_level)

    def mean_sd(self, place: Array) -> tuple[Array, Array]:
        """Of the property itself."""
        mean, sd = self.model.predict(place, return_std=True)
        return self.middle + self.spread * mean, self.spread * np.sqrt(np.maximum(sd**2 - self.noise, 1e-6))

    def reading_mean_sd(self, place: Array) -> tuple[Array, Array]:
        """Of one new reading of it."""
        mean, sd = self.model.predict(place, return_std=True)
        return self.middle + self.spread * mean, self.spread * sd


def processes(notes: Notes, names: list[str], seed: int) -> dict[str, Process]:
    found = {}
    for name in names:
        place, values = notes.taken(name)
        if len(values) >= 2:
            found[name] = Process(place, values, seed)
    return found


def printing(notes: Notes, seed: int) -> GaussianProcessClassifier | None:
    if notes.printed.all() or not notes.printed.any():
        return None
    kernel = ConstantKernel(4.0, (0.5, 50.0)) * RBF(0.5, (0.15, 5.0))
    model = GaussianProcessClassifier(kernel, random_state=seed)
    return model.fit(notes.region.scaled(notes.rows), notes.printed)


def suggest(notes: Notes, rng: np.random.Generator, start: Array) -> Array:
    if len(notes.rows) < len(start):
        return np.asarray(start[len(notes.rows)])
    seed = int(rng.integers(2**31))
    fitted = processes(notes, list(notes.windows), seed)
    prints = printing(notes, seed)

    def score(rows: Array) -> Array:
        place = notes.region.scaled(rows)
        worth = np.zeros(len(rows))
        for name, process in fitted.items():
            worth += log_within(*process.mean_sd(place), notes.windows[name])
        if prints is not None:
            worth += np.log(np.maximum(prints.predict_proba(place)[:, 1], 1e-6))
        if not fitted:  # nothing read yet: as far as can be from what failed
            away = ((place[:, None, :] - notes.region.scaled(notes.rows)[None, :, :]) ** 2).sum(axis=2)
            worth += away.min(axis=1)
        return worth

    return best_recipe(notes, score, rng)
