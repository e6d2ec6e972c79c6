"""A puddle that is neither thin nor tall: between the thin cake and the tall stump, surface tension taken off."""

from __future__ import annotations

import math

from scipy.optimize import brentq

from slake.ground.problems import require_positive
from slake.ground.units import GRAVITY_M_S2

NARROWEST_M, WIDEST_M = 1e-5, 10.0


def thin_over_middle(volume_m3: float, radius_m: float) -> float:
    """By how much the thin-cake formula reads above the one between: 1 + (225 sqrt3 / 128) V / (pi R^3)."""
    require_positive(volume_m3=volume_m3, radius_m=radius_m)
    return 1 + 225 * math.sqrt(3) / 128 * volume_m3 / (math.pi * radius_m**3)


def middle_spread_yield_stress_pa(volume_m3: float, density_kg_m3: float, radius_m: float) -> float:
    """Yield stress of a cake of any height, from its radius at rest.

    Its reciprocal is the sum of those of the thin cake (225 rho g V^2 / (128 pi^2 R^5)) and the tall stump
    (rho g V / (sqrt3 pi R^2)), so it meets both. Source: pierre2013.
    """
    require_positive(volume_m3=volume_m3, density_kg_m3=density_kg_m3, radius_m=radius_m)
    thin_pa = 225 * density_kg_m3 * GRAVITY_M_S2 * volume_m3**2 / (128 * math.pi**2 * radius_m**5)
    return thin_pa / thin_over_middle(volume_m3, radius_m)


def middle_spread_radius_m(
    volume_m3: float, density_kg_m3: float, yield_stress_pa: float, tension_n_m: float = 0.0
) -> float:
    """Radius at rest: the inverse, with the surface-tension term (tension x R^2 / V) taken off the yield stress."""
    require_positive(volume_m3=volume_m3, density_kg_m3=density_kg_m3, yield_stress_pa=yield_stress_pa)

    def too_narrow_by(log_radius: float) -> float:
        radius_m = math.exp(log_radius)
        read_pa = middle_spread_yield_stress_pa(volume_m3, density_kg_m3, radius_m)
        return read_pa - tension_n_m * radius_m**2 / volume_m3 - yield_stress_pa

    low, high = math.log(NARROWEST_M), math.log(WIDEST_M)
    if too_narrow_by(low) <= 0:
        return NARROWEST_M
    if too_narrow_by(high) >= 0:
        return WIDEST_M
    return math.exp(brentq(too_narrow_by, low, high, xtol=1e-14))
