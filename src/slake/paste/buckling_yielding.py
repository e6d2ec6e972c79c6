"""Folding of paste that is already yielding: the stiffness that is left under a load, after two published forms."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange, require_positive

FloatArray = NDArray[np.float64]
STRENGTH_STRAIN = 0.15
"""Strain by which a plain compression test counts as having reached its strength: astm_d2166, from memory."""
REACHED = math.log(20.0)
"""Reached: to a twentieth."""
LEAST_LEFT = 1e-6


def softening_left_pa(modulus_pa: FloatArray, strength_pa: FloatArray, stress_pa: FloatArray) -> FloatArray:
    """Tangent stiffness of paste that softens from the first load on: E (1 - stress/strength).

    The curve strength (1 - exp(-E strain/strength)); folding of an even column with it is the rule of Rankine and
    Gordon, 1/load = 1/folding + 1/crushing. The lower of the two forms here. Sources: rankine_gordon, shanley1947.
    """
    return np.asarray(modulus_pa * np.clip(1 - stress_pa / strength_pa, LEAST_LEFT, 1.0))


def hardening_left_pa(
    modulus_pa: FloatArray, first_yield_pa: FloatArray, strength_pa: FloatArray, stress_pa: FloatArray
) -> FloatArray:
    """Tangent stiffness of paste that is elastic to first yield and then hardens to its strength, E H / (E + H).

    Stress nears the strength exponentially with plastic strain, to a twentieth at the 15 % at which a plain compression
    test ends; so no number is left to choose. The wall folds while the load still grows, so the tangent stiffness
    counts. Sources: astm_d2166, shanley1947.
    """
    room = np.maximum(strength_pa - first_yield_pa, LEAST_LEFT * strength_pa)
    strain = np.maximum(STRENGTH_STRAIN - first_yield_pa / modulus_pa, STRENGTH_STRAIN / 3)
    hardening = REACHED * np.clip(strength_pa - stress_pa, LEAST_LEFT * strength_pa, room) / strain
    yielding = modulus_pa * hardening / (modulus_pa + hardening)
    return np.asarray(np.where(stress_pa < first_yield_pa, modulus_pa, yielding))


def interacting_height_m(folding_m: float, yielding_m: float) -> float:
    """Height at which folding and yielding together end a wall: (H/folding)^3 + H/yielding = 1.

    Load on the foot goes with H and the load that folds it with 1/H^2, put into the rule of Rankine and Gordon. Below
    each of the two alone. A quick figure: the answer solves the wall with its own stiffness at each height instead.
    Source: rankine_gordon.
    """
    require_positive(folding_m=folding_m, yielding_m=yielding_m)
    if math.isinf(folding_m + yielding_m):
        raise OutsideRange("height (m)", got=folding_m + yielding_m, low=0, high=100, do="give two heights")
    low, high = 0.0, min(folding_m, yielding_m)
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if (middle / folding_m) ** 3 + middle / yielding_m < 1 else (low, middle)
    return high
