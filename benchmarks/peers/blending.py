"""Constrained mixture design: a start over the region, a quadratic blending polynomial a property, desirability.

Ridge, its strength by leaving one out, while rows are fewer than terms need.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from scipy.special import ndtri, stdtrit

from .climb import best_recipe
from .notes import Notes
from .region import Array

PENALTIES = 10.0 ** np.arange(-4.0, 3.1, 0.5)
CROSS_TIMES = 3.0
"""A blend of two is held back more than the parts alone: a linear blend is the first thing to believe."""
SOFT = 0.5
"""Desirability falls from 1 at the line to near nothing this many spreads of the readings beyond it."""


def terms(place: Array) -> Array:
    """Scheffé's quadratic terms of recipes in spans above their lows, cross terms scaled for the ridge."""
    pairs = list(combinations(range(place.shape[1]), 2))
    cross = np.stack([place[:, i] * place[:, j] for i, j in pairs], axis=1) / CROSS_TIMES
    return np.concatenate([place, cross], axis=1)


class Blend:
    """One fitted property: mean and sd of a new reading."""

    def __init__(self, place: Array, values: Array) -> None:
        self.middle, design = float(values.mean()), terms(place)
        gap = values - self.middle
        self.centre = design.mean(axis=0)
        self.design = design - self.centre
        gram, best = self.design @ self.design.T, np.inf
        for penalty in PENALTIES:
            inverse = np.linalg.inv(gram + penalty * np.eye(len(gap)))
            off = float(np.mean((inverse @ gap / np.diag(inverse)) ** 2))
            if off < best:
                best, self.penalty, self.inverse = off, penalty, inverse
        self.pull = self.design.T @ self.inverse @ gap
        self.left_out_var, self.free = max(best, 1e-6), max(len(gap) - 1, 1)
        self.noise_var = max(self.penalty * float(gap @ self.inverse @ gap) / self.free, 1e-6)

    def mean(self, place: Array) -> Array:
        return np.asarray(self.middle + (terms(place) - self.centre) @ self.pull)

    def mean_sd(self, place: Array) -> tuple[Array, Array]:
        """Of one new reading: ridge as a normal prior, the scatter estimated from few rows (Student's factor)."""
        seen = terms(place) - self.centre
        cross = seen @ self.design.T
        left = (seen**2).sum(axis=1) - ((cross @ self.inverse) * cross).sum(axis=1)
        var = self.noise_var * (1.0 + 1.0 / (self.free + 1) + np.maximum(left, 0.0) / self.penalty)
        wide = float(stdtrit(self.free, 0.9)) / float(ndtri(0.9))
        return self.mean(place), wide * np.sqrt(var)


def blends(notes: Notes, names: list[str]) -> dict[str, Blend]:
    found = {}
    for name in names:
        place, values = notes.taken(name)
        if len(values) >= 3:
            found[name] = Blend(place, values)
    return found


def starts(parts: int) -> int:
    return parts + 2


def suggest(notes: Notes, rng: np.random.Generator, start: Array) -> Array:
    if len(notes.rows) < len(start):
        return np.asarray(start[len(notes.rows)])
    fitted = blends(notes, list(notes.windows))
    both = notes.printed.any() and not notes.printed.all()
    prints = Blend(notes.region.scaled(notes.rows), notes.printed.astype(float)) if both else None

    def score(rows: Array) -> Array:
        place = notes.region.scaled(rows)
        worth = np.zeros(len(rows))
        for name, blend in fitted.items():
            low, high = notes.windows[name]
            mean, spread = blend.mean(place), SOFT * max(float(np.std(notes.taken(name)[1])), 1e-3)
            if np.isfinite(low) and np.isfinite(high):  # target type: best in the middle
                worth -= 0.1 * np.abs(mean - (low + high) / 2) / ((high - low) / 2)
            worth -= (np.maximum(low - mean, 0.0) + np.maximum(mean - high, 0.0)) / spread
            # ends are asked with a margin as far as the fit is unsure
            margin = 0.5 * np.sqrt(blend.left_out_var)
            worth -= 0.2 * (np.maximum(low + margin - mean, 0.0) + np.maximum(mean - high + margin, 0.0)) / spread
        if prints is not None:
            worth -= 4.0 * np.maximum(0.7 - prints.mean(place), 0.0)
        return worth

    return best_recipe(notes, score, rng)
