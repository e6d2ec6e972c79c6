"""Smooth shapes in which a wall may fold, bonded below and free above, and the smallest load that folds it into one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit

FloatArray = NDArray[np.float64]
SHAPES, POINTS = 14, 48
TALL_SHAPES, TALL_POINTS = 24, 80
NOTHING_LEFT = "the wall has no stiffness left somewhere: it has yielded there, no folding is found"


@dataclass(frozen=True, kw_only=True)
class Upward:
    """Shapes up the wall at Gauss points of the unit height: values and first two derivatives, (SHAPES, POINTS)."""

    points: FloatArray  # (POINTS,), rising from the foot
    weights: FloatArray  # (POINTS,)
    value: FloatArray
    first: FloatArray
    second: FloatArray


@cache
def upward(power: int, shapes: int = SHAPES, points: int = POINTS) -> Upward:
    """z^power times Legendre polynomials: held at the foot in value (1), or in value and slope (2)."""
    nodes, weights = legendre.leggauss(points)
    z = (nodes + 1) / 2
    series = [np.eye(shapes)[i] for i in range(shapes)]
    p0, p1, p2 = (
        np.stack([legendre.legval(nodes, legendre.legder(one, m)) * 2**m for one in series]) for m in range(3)
    )
    front = z**power
    front1 = power * z ** (power - 1)
    front2 = power * (power - 1) * z ** max(power - 2, 0)
    return Upward(
        points=z,
        weights=weights / 2,
        value=front * p0,
        first=front1 * p0 + front * p1,
        second=front2 * p0 + 2 * front1 * p1 + front * p2,
    )


def tall() -> Upward:
    """More shapes held at the foot in value and slope, for walls up to ten times as high as long."""
    return upward(2, TALL_SHAPES, TALL_POINTS)


def product(left: FloatArray, right: FloatArray, weight: FloatArray) -> FloatArray:
    """Integrals of weight x left x right: (..., i, j) from (i, P), (j, P) and (..., P)."""
    return np.asarray((left * weight[..., None, :]) @ right.T)


def smallest_factor(stiff: FloatArray, load: FloatArray) -> FloatArray:
    """The smallest factor on the load at which stiffness is used up: stiff x = factor load x, (...) from (..., n, n).

    Infinite where no load folds it. Raises DoesNotFit where the wall has no stiffness left.
    """
    own = np.einsum("...ii->...i", stiff)
    if not np.all(own > 0):
        raise DoesNotFit(NOTHING_LEFT)
    size = np.sqrt(own)
    scale = size[..., :, None] * size[..., None, :]
    try:
        root = np.linalg.cholesky(stiff / scale + 1e-12 * np.eye(stiff.shape[-1]))
    except np.linalg.LinAlgError as problem:
        raise DoesNotFit(NOTHING_LEFT) from problem
    half = np.linalg.solve(root, load / scale)
    both = np.linalg.solve(root, np.swapaxes(half, -1, -2))
    most = np.linalg.eigvalsh((both + np.swapaxes(both, -1, -2)) / 2)[..., -1]
    return np.asarray(np.where(most > 0, 1 / np.where(most > 0, most, 1.0), np.inf))
