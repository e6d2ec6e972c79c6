"""How high fresh paste stands before its foot yields or its wall folds. No stiffening with age is counted here."""

from __future__ import annotations

import math

from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import GRAVITY_M_S2

SELF_BUCKLING = 7.837347
"""(9/4) j^2 with j = 1.8663509 the first zero of the Bessel function J of order -1/3. Source: greenhill1881."""

BEAM = 12.0
"""Second moment of a plain wall: thickness squared / 12 per area. Geometry."""


def yield_height_m(yield_stress_pa: float, density_kg_m3: float) -> float:
    """Height at which the foot first yields under the weight above: sqrt3 tau / (rho g).

    Holds for slender, evenly loaded walls and columns of paste that does not stiffen meanwhile. In a compilation
    of 146 prints the median height reached was 1.39 times this, so it is a cautious figure. Source: roussel2018.
    """
    require_positive(yield_stress_pa=yield_stress_pa, density_kg_m3=density_kg_m3)
    return math.sqrt(3) * yield_stress_pa / (density_kg_m3 * GRAVITY_M_S2)


def yield_stress_to_stand_pa(height_m: float, density_kg_m3: float) -> float:
    """Yield stress that just carries this height: the inverse of `yield_height_m`."""
    require_positive(height_m=height_m, density_kg_m3=density_kg_m3)
    return density_kg_m3 * GRAVITY_M_S2 * height_m / math.sqrt(3)


def wall_buckling_height_m(modulus_pa: float, density_kg_m3: float, wall_m: float) -> float:
    """Height at which a straight free wall folds under its own weight, as a strip of beam.

    Holds for a straight wall with free ends, bonded below, one modulus throughout. Curved or held walls stand
    higher: for them it is a lower bound. Source: greenhill1881, suiker2018.
    """
    require_positive(modulus_pa=modulus_pa, density_kg_m3=density_kg_m3, wall_m=wall_m)
    return float((SELF_BUCKLING * modulus_pa * wall_m**2 / (BEAM * density_kg_m3 * GRAVITY_M_S2)) ** (1 / 3))


def modulus_from_folding_pa(height_m: float, density_kg_m3: float, wall_m: float) -> float:
    """Modulus of a straight free wall that was printed until it folded: the inverse of the above."""
    require_positive(height_m=height_m, density_kg_m3=density_kg_m3, wall_m=wall_m)
    return BEAM * density_kg_m3 * GRAVITY_M_S2 * height_m**3 / (SELF_BUCKLING * wall_m**2)


def layers_from_height(height_m: float, layer_height_m: float) -> float:
    """Layers in a height, not rounded: a wall that fell at layer n stood n - 1 and not n."""
    require_positive(layer_height_m=layer_height_m)
    if not 0 <= height_m < math.inf:
        raise OutsideRange("height (m)", got=height_m, low=0, high=10, do="it must be zero or more")
    return height_m / layer_height_m


def height_from_layers_m(layers: float, layer_height_m: float) -> float:
    require_positive(layers=layers, layer_height_m=layer_height_m)
    return layers * layer_height_m
