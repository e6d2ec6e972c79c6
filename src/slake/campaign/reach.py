"""How alike two recipes are in what the features miss: near recipes miss alike, and how near is near may be learned."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def alike(a: Array, b: Array) -> Array:
    """How much of the smooth remainder two recipes share: 1 for equal features, falling as a Gaussian."""
    far = (a**2).sum(1)[:, None] + (b**2).sum(1)[None, :] - 2 * a @ b.T
    return np.asarray(np.exp(-0.5 * np.maximum(far, 0)))


@dataclass(frozen=True, kw_only=True)
class Reach:
    """How far “alike” reaches for one property: some Gaussians, each with its weight (together 1) and, by direction,
    one over its length. `by_shares`: in the plain shares of the recipe, not in its features.
    """

    weights: tuple[float, ...]
    per_length: tuple[tuple[float, ...], ...]
    by_shares: bool

    def alike(self, a: Array, b: Array) -> Array:
        total = np.zeros((len(a), len(b)))
        for weight, per in zip(self.weights, self.per_length, strict=True):
            total += weight * alike(a * np.array(per), b * np.array(per))
        return total
