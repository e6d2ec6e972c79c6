"""Recipes within bounds that sum to one, and recipes near good ones. Fractions of wet paste, water last."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEPS_PER_PART = 10
TOO_NEAR = 0.01
"""Of the spans: a recipe nearer than this to one already mixed is that recipe again."""


class Region:
    """The polytope of recipes: low <= x <= high, sum 1."""

    def __init__(self, low: Any, high: Any) -> None:
        self.low, self.high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
        self.span = np.maximum(self.high - self.low, 1e-9)

    def scaled(self, rows: Array) -> Array:
        return np.asarray((rows - self.low) / self.span)

    def spread(self, count: int, rng: np.random.Generator) -> Array:
        """Uniform over the polytope: many chains side by side exchange two parts at a time."""
        room = (1.0 - self.low.sum()) / max((self.high - self.low).sum(), 1e-12)
        rows = np.tile(self.low + (self.high - self.low) * room, (count, 1))
        each, parts = np.arange(count), len(self.low)
        for _ in range(STEPS_PER_PART * parts):
            a = rng.integers(parts, size=count)
            b = (a + 1 + rng.integers(parts - 1, size=count)) % parts
            least = np.maximum(self.low[a] - rows[each, a], rows[each, b] - self.high[b])
            most = np.minimum(self.high[a] - rows[each, a], rows[each, b] - self.low[b])
            step = least + rng.random(count) * np.maximum(most - least, 0.0)
            rows[each, a] += step
            rows[each, b] -= step
        return rows

    def vertices(self) -> Array:
        """Extreme vertices: all parts but one at an end, that one what is left."""
        parts, found = len(self.low), []
        ends = np.stack([self.low, self.high], axis=1)
        for free in range(parts):
            others = [i for i in range(parts) if i != free]
            for pick in product((0, 1), repeat=parts - 1):
                row = np.zeros(parts)
                row[others] = [ends[i, p] for i, p in zip(others, pick, strict=True)]
                row[free] = 1.0 - row[others].sum()
                if self.low[free] - 1e-9 <= row[free] <= self.high[free] + 1e-9:
                    found.append(row)
        return np.unique(np.round(found, 9), axis=0) if found else self.low[None, :]

    def near(self, rows: Array, count: int, size: float, rng: np.random.Generator) -> Array:
        """Recipes about `size` of each span away from the given ones."""
        moved = rows[rng.integers(len(rows), size=count)] + rng.standard_normal((count, len(self.low))) * (
            size * self.span
        )
        moved = np.clip(moved, self.low, self.high)
        for _ in range(5):
            gap = 1.0 - moved.sum(axis=1, keepdims=True)
            room = np.where(gap > 0, self.high - moved, moved - self.low)
            moved = np.clip(
                moved + gap * room / np.maximum(room.sum(axis=1, keepdims=True), 1e-15), self.low, self.high
            )
        return np.asarray(moved[np.abs(moved.sum(axis=1) - 1.0) < 1e-8])

    def fresh(self, rows: Array, tried: Array) -> Array:
        """Those of the recipes that are not one of the tried ones again."""
        if not len(tried):
            return rows
        away = np.abs(self.scaled(rows)[:, None, :] - self.scaled(tried)[None, :, :]).max(axis=2).min(axis=1)
        return rows[away > TOO_NEAR] if (away > TOO_NEAR).any() else rows

    def filling(self, count: int, rng: np.random.Generator) -> Array:
        """A space-filling start: the middle, then each time the recipe farthest from those chosen.

        Among uniform recipes and the blends half way from the middle to each extreme vertex.
        """
        wide = self.spread(1500, rng)
        middle = wide.mean(axis=0)
        pool = np.concatenate([middle[None, :], (middle + self.vertices()) / 2.0, wide])
        place, chosen = self.scaled(pool), [0]
        gap = np.full(len(pool), np.inf)
        for _ in range(count - 1):
            gap = np.minimum(gap, ((place - place[chosen[-1]]) ** 2).sum(axis=1))
            chosen.append(int(np.argmax(gap)))
        return np.asarray(pool[chosen])
