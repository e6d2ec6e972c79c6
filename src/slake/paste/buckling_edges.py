"""A wall whose upright edges are held: hinged to, or clamped in, what it meets there. Between free wall and corner."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray
from scipy.optimize import brentq

from slake.ground.problems import OutsideRange

from .buckling import POISSON
from .buckling_shapes import product, smallest_factor, tall

FloatArray = NDArray[np.float64]
ACROSS_POINTS = 64
NARROWEST, WIDEST = 2.0, 200.0
TALLEST, SPARE = 10.0, 1.2
"""Walls higher than ten of their lengths between edges are not held to: the shapes are too few."""


@dataclass(frozen=True, kw_only=True)
class Across:
    """Integrals over the unit length of a wall of the shapes between its two edges, (k, k) each."""

    value: FloatArray
    slope: FloatArray
    bend: FloatArray
    bend_value: FloatArray


def _integrals(shapes: FloatArray, slopes: FloatArray, bends: FloatArray, weight: FloatArray) -> Across:
    return Across(
        value=product(shapes, shapes, weight),
        slope=product(slopes, slopes, weight),
        bend=product(bends, bends, weight),
        bend_value=product(bends, shapes, weight),
    )


@cache
def hinged() -> Across:
    """Edges that stay in line but may turn: one half-wave, which is exact. Source: suiker2018."""
    nodes, weight = legendre.leggauss(ACROSS_POINTS)
    x = (nodes + 1) / 2
    sine = np.sin(np.pi * x)[None]
    return _integrals(sine, np.pi * np.cos(np.pi * x)[None], -(np.pi**2) * sine, weight / 2)


@cache
def clamped() -> Across:
    """Edges that neither move nor turn: even polynomials with double zeros there. Source: suiker2018."""
    nodes, weight = legendre.leggauss(ACROSS_POINTS)
    front = np.polynomial.Polynomial([1, 0, -1]) ** 2
    even = [front * np.polynomial.Polynomial(legendre.leg2poly(np.eye(9)[2 * i])) for i in range(4)]
    shapes, slopes, bends = (
        np.stack([one.deriv(m)(nodes) * 2**m if m else one(nodes) for one in even]) for m in range(3)
    )
    return _integrals(shapes, slopes, bends, weight / 2)


def held_wall_factor(
    stiffness_n_m: FloatArray, weight_n_m: FloatArray, sides_m: tuple[float, float], across: Callable[[], Across]
) -> FloatArray:
    """How many times its weight a wall bears before it folds, its upright edges held, (...) from arrays (..., P).

    At the Gauss points of `tall`: bending stiffness, and weight above, per length. `sides_m`: height, and length
    between the edges. Thin plate, loads upright only. The sum of products of shapes up and across, so never lower than
    the true factor. Source: suiker2018.
    """
    height, length = sides_m
    up, held = tall(), across()
    if not 0 < height <= TALLEST * SPARE * length:
        raise OutsideRange(
            "height of a held wall (m)", got=height, low=0, high=TALLEST * length, do="take it as longer"
        )
    bend = stiffness_n_m * up.weights
    cross = _times(held.bend_value, product(up.value, up.second, bend)) * POISSON / (length**2 * height**2)
    stiff = (
        _times(held.value, product(up.second, up.second, bend)) / height**4
        + _times(held.bend, product(up.value, up.value, bend)) / length**4
        + cross
        + np.swapaxes(cross, -1, -2)
        + _times(held.slope, product(up.first, up.first, bend)) * 2 * (1 - POISSON) / (length * height) ** 2
    )
    load = _times(held.value, product(up.first, up.first, weight_n_m * up.weights)) / height**2
    return smallest_factor(stiff, load)


def _times(across: FloatArray, up: FloatArray) -> FloatArray:
    """Every pair of shapes: (..., k n, k n) from (k, k) and (..., n, n)."""
    found = across[:, None, :, None] * up[..., None, :, None, :]
    k, n = across.shape[0], up.shape[-1]
    return np.asarray(found.reshape(*up.shape[:-2], k * n, k * n))


def held_wall_height(length: float, across: Callable[[], Across], growth: float = 0.0) -> float:
    """Folding height of a wall held at its edges, over (D0/(rho g w))^(1/3), with its length between them likewise.

    `growth` as in `free_wall_growing`. Holds from a length of 2 on; beyond 200 it is a free wall; infinite where
    it stands higher than ten lengths. Poisson's ratio is
    0.3. Source: suiker2018.
    """
    if not NARROWEST <= length <= WIDEST:
        raise OutsideRange(
            "length of the wall over its folding scale", got=length, low=NARROWEST, high=WIDEST, do="take a free wall"
        )
    points = tall().points

    def spare(height: float) -> float:
        above = height * (1 - points)
        return float(held_wall_factor(1 + growth * above, above, (height, length), across)) - 1

    most, high = TALLEST * SPARE * length, 2.5
    while high < most and spare(high) > 0:
        high = min(1.5 * high, most)
    return float(brentq(spare, 1.0, high, xtol=1e-7)) if spare(high) <= 0 else math.inf
