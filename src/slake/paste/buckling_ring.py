"""A closed round wall: how many times its weight it bears before it folds: in waves, in bulges, or as a mast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import require_positive

from .buckling import POISSON
from .buckling_shapes import product, smallest_factor, upward

FloatArray = NDArray[np.float64]
MOST_WAVES = 40
DENTED = 0.2
"""The poorest of many tests on dented thin shells carried about this share of the perfect one: nasa_sp8007, memory."""


@dataclass(frozen=True, kw_only=True)
class Ring:
    """A round wall at the Gauss points of `upward`, foot to top: stretching and bending stiffness and weight above, per
    length round it, (..., P) each; its middle radius and height.
    """

    stretching_n_m: FloatArray
    bending_n_m: FloatArray
    weight_n_m: FloatArray
    radius_m: float
    height_m: float

    def __post_init__(self) -> None:
        require_positive(radius_m=self.radius_m, height_m=self.height_m)


def stretching_n_m(modulus_pa: FloatArray, wall_m: FloatArray) -> FloatArray:
    """Stretching stiffness of a wall per length: E w / (1 - nu^2). Geometry and elasticity."""
    return np.asarray(modulus_pa * wall_m / (1 - POISSON**2))


def ring_factor(ring: Ring) -> FloatArray:
    """How many times its own weight the ring bears, (...): the least over bulges (no wave round it), leaning over as a
    mast (one) and more waves, until two more in a row bear more, at most 40.

    Thin shell (a radius of three walls and more; a guide below that), small strains, bonded below and free above,
    round and upright as drawn: dents, ovals and slopes take from it. Sums of smooth shapes, so never lower than the
    true factor of the perfect ring. Own energy sum with the strains and changes of curvature of a thin cylinder, from
    memory. Sources: love_shells, suiker2018.
    """
    found = [waves_factor(ring, waves) for waves in range(4)]
    while len(found) <= MOST_WAVES and not (np.all(found[-1] > found[-2]) and np.all(found[-2] > found[-3])):
        found.append(waves_factor(ring, len(found)))
    return np.asarray(np.min(found, axis=0))


def waves_factor(ring: Ring, waves: int) -> FloatArray:
    """The same for one number of waves round it."""
    held, flat = upward(2), upward(1)
    zero = np.zeros_like(flat.value)
    high, radius, n = ring.height_m, ring.radius_m, float(waves)
    along = _rows(flat.first / high, zero, zero)
    round_it = _rows(zero, flat.value * n / radius, held.value / radius)
    sheared = _rows(-flat.value * n / radius, flat.first / high, zero)
    bent_up = _rows(zero, zero, -held.second / high**2)
    bent_round = _rows(zero, flat.value * n / radius**2, held.value * n**2 / radius**2)
    twisted = _rows(zero, flat.first / (high * radius), held.first * n / (high * radius))
    turned, shifted = _rows(zero, zero, held.first / high), _rows(zero, flat.first / high, zero)
    stretch, bend = ring.stretching_n_m * held.weights, ring.bending_n_m * held.weights
    stiff = (
        _two_way(along, round_it, stretch)
        + product(sheared, sheared, stretch) * (1 - POISSON) / 2
        + _two_way(bent_up, bent_round, bend)
        + product(twisted, twisted, bend) * 2 * (1 - POISSON)
    )
    weight = ring.weight_n_m * held.weights
    load = product(turned, turned, weight) + product(shifted, shifted, weight)
    kept = slice(2 * len(zero), None) if waves == 0 else slice(None)
    if waves == 0:
        stiff = _without_along(stiff, len(zero))
        return smallest_factor(stiff, load[..., kept, kept])
    return smallest_factor(stiff, load)


def _two_way(one: FloatArray, other: FloatArray, weight: FloatArray) -> FloatArray:
    """one^2 + other^2 + 2 nu one other, as strains in two directions go."""
    crossed = product(one, other, weight) * POISSON
    return np.asarray(
        product(one, one, weight) + product(other, other, weight) + crossed + np.swapaxes(crossed, -1, -2)
    )


def _without_along(stiff: FloatArray, n: int) -> FloatArray:
    """Bulges only: twist about the axis left out, stretching along eliminated as it costs nothing to follow."""
    along, held = slice(0, n), slice(2 * n, None)
    follow = np.linalg.solve(stiff[..., along, along], stiff[..., along, held])
    return np.asarray(stiff[..., held, held] - stiff[..., held, along] @ follow)


def _rows(along: FloatArray, round_it: FloatArray, out: FloatArray) -> FloatArray:
    """One strain of every shape: moves along the height first, then round the ring, then out of the wall, (3n, P)."""
    return np.concatenate([along, round_it, out])
