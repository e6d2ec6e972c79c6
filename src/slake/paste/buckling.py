"""When a wall folds sideways under its own weight: the free wall, stiffening or not, and a tube as a whole."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import GRAVITY_M_S2

from .standing import SELF_BUCKLING

FloatArray = NDArray[np.float64]
POISSON = 0.3
"""Ratio the published walls were worked out with; of paste it lies between 0.3 and 0.5. Memory."""
MOST_GROWTH = 1e3
ROUNDS = 7
"""Rounds of the load factor; each takes the error down sevenfold or more."""


def plate_stiffness_n_m(modulus_pa: float, wall_m: float, poisson: float = POISSON) -> float:
    """Bending stiffness of a wall per length of it: E w^3 / (12 (1 - nu^2)). Source: suiker2018."""
    require_positive(modulus_pa=modulus_pa, wall_m=wall_m)
    if not 0 <= poisson <= 0.5:
        raise OutsideRange("Poisson's ratio", got=poisson, low=0, high=0.5, do="0.3 where nothing is known")
    return modulus_pa * wall_m**3 / (12 * (1 - poisson**2))


def free_wall_height_m(stiffness_n_m: float, weight_n_m2: float) -> float:
    """Height at which a long straight free wall folds: 1.98635 (D / (rho g w))^(1/3).

    `weight_n_m2`: rho g w, weight per length and height. Bonded below, free sides and top, no stiffening; the plate's
    own stiffness, so 3 % above the same wall taken as a strip of beam. Source: suiker2018.
    """
    require_positive(stiffness_n_m=stiffness_n_m, weight_n_m2=weight_n_m2)
    return float((SELF_BUCKLING * stiffness_n_m / weight_n_m2) ** (1 / 3))


def free_wall_growing(growth: float) -> float:
    """Folding height of a free wall over (D0/(rho g w))^(1/3) while it stiffens along a straight line with age.

    `growth`: (xi / rise) (D0/(rho g w))^(1/3), with E = E0 (1 + xi age). The eigenvalue problem of the slope of the
    wall, ((1 + growth s) y')' + s y = 0 from the free top (s = 0, y' = 0) down: the first zero of y is the height.
    Source: suiker2018; no curve is fitted here.
    """
    if not 0 <= growth <= MOST_GROWTH:
        raise OutsideRange("growth of stiffness over rise", got=growth, low=0, high=MOST_GROWTH, do="lay it faster")

    def falls(s: float, y: FloatArray) -> list[float]:
        return [y[1] / (1 + growth * s), -s * y[0]]

    def folds(s: float, y: FloatArray) -> float:
        return float(y[0])

    folds.terminal = True  # type: ignore[attr-defined]
    far = 3.0 + 3.0 * growth
    found = solve_ivp(falls, (0.0, far), [1.0, 0.0], method="DOP853", events=folds, rtol=1e-11, atol=1e-13)
    return float(found.t_events[0][0])


def free_wall_growing_fitted(growth: float) -> float:
    """The same from a published fitted form, 1.98635 + 0.996 growth^0.793: from memory, within 4 % up to 5.

    Kept for comparison only. Source: suiker2018.
    """
    if not 0 <= growth <= 5:
        raise OutsideRange("growth of stiffness over rise", got=growth, low=0, high=5, do="solve it instead")
    return float(SELF_BUCKLING ** (1 / 3) + 0.996 * growth**0.793)


def free_wall_growing_height_m(
    stiffness_n_m: float, weight_n_m2: float, stiffening_per_s: float, rise_m_s: float
) -> float:
    """Folding height of a free wall that stiffens by so much of its first stiffness per second. Source: suiker2018."""
    require_positive(stiffness_n_m=stiffness_n_m, weight_n_m2=weight_n_m2, rise_m_s=rise_m_s)
    length_m = float((stiffness_n_m / weight_n_m2) ** (1 / 3))
    return length_m * free_wall_growing(stiffening_per_s / rise_m_s * length_m)


def tube_folding_height_m(modulus_pa: float, density_kg_m3: float, radius_m: float) -> float:
    """Height at which a thin tube leans over as one mast: (7.837 E R^2 / (2 rho g))^(1/3).

    Holds for a tube much taller than wide whose wall stays round; the wall's thickness cancels. Source: greenhill1881.
    """
    require_positive(modulus_pa=modulus_pa, density_kg_m3=density_kg_m3, radius_m=radius_m)
    return float((SELF_BUCKLING * modulus_pa * radius_m**2 / (2 * density_kg_m3 * GRAVITY_M_S2)) ** (1 / 3))


def waved_times(wall_m: float, wave_m: float) -> float:
    """How many times stiffer a wall laid in waves is than a straight one, per length of plan: 1 + 6 (a/w)^2.

    `wave_m`: from the middle line to the crest of a sine. Holds where the waves are short beside the height and shallow
    enough not to flatten. Geometry: the mean of a sine squared is one half.
    """
    require_positive(wall_m=wall_m)
    return 1 + 6 * (wave_m / wall_m) ** 2


def waved_longer(wave_m: float, wave_length_m: float) -> float:
    """How many times longer a line laid in waves is: 1 + (pi a / wave length)^2, shallow waves. Geometry."""
    require_positive(wave_length_m=wave_length_m)
    return 1 + (math.pi * wave_m / wave_length_m) ** 2


def load_factor(stiffness_n_m: FloatArray, weight_n_m: FloatArray, height_m: FloatArray) -> FloatArray:
    """How many times its own weight a free wall bears before it folds, (...) from arrays (..., P).

    Middles of P even slices from foot to top: bending stiffness, and weight above, per length. `height_m` (...).
    The smallest eigenvalue of (D y')' + factor W y = 0 in the slope y, by rounds of its integral form. Source:
    suiker2018.
    """
    step = height_m[..., None] / stiffness_n_m.shape[-1]
    weight = weight_n_m[..., ::-1] * step
    bend = step / stiffness_n_m[..., ::-1]
    slope = np.broadcast_to(
        np.linspace(1.0, 0.0, weight.shape[-1] + 1)[:-1], np.broadcast_shapes(weight.shape, bend.shape)
    )
    factor = np.ones(slope.shape[:-1])
    for _ in range(ROUNDS):
        turning = weight * slope
        moment = np.cumsum(turning, axis=-1) - turning / 2
        bent = moment * bend
        new = bent.sum(axis=-1, keepdims=True) - np.cumsum(bent, axis=-1) + bent / 2
        factor = (turning * slope).sum(axis=-1) / (turning * new).sum(axis=-1)
        slope = new / new[..., :1]
    return np.asarray(factor)
