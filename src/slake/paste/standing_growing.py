"""How high paste stands before its foot yields, where it stiffens while the wall rises; and the factors on its yield
stress.
"""

from __future__ import annotations

import math

from scipy.optimize import brentq

from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import GRAVITY_M_S2

FIRST_YIELD_PER_YIELD_STRESS = math.sqrt(3)
"""Stress in a freely pressed column at first yield, over the yield stress in shear (von Mises). Source: roussel2018."""
HELD_ALONG = 2 / math.sqrt(3)
"""How much more a wall bears that cannot spread along its length than a piece pressed freely (von Mises, plane strain);
so it first yields at twice its yield stress in shear, as any slender body does after Tresca. Sources: perrot2016."""
TALLEST_M = 100.0


def column_per_yield_stress(diameter_m: float, height_m: float) -> float:
    """Stress a column of paste carries between plates over its yield stress: 2 (1 + D / (2 sqrt3 H)).

    Holds for a column pressed as a whole, rough plates; 2 where it is slender. Source: perrot2016, from memory.
    """
    require_positive(diameter_m=diameter_m, height_m=height_m)
    return 2 * (1 + diameter_m / (2 * math.sqrt(3) * height_m))


def yield_height_growing_m(
    first_yield_pa: float, growth_pa_per_s: float, density_kg_m3: float, rise_m_s: float
) -> float:
    """Height at which the foot yields while its strength grows along a straight line: s0 / (rho g - s1 / rise).

    Infinite where strength grows as fast as the load. The load is spread over the full width. Own arithmetic.
    """
    require_positive(first_yield_pa=first_yield_pa, density_kg_m3=density_kg_m3, rise_m_s=rise_m_s)
    if not math.isfinite(growth_pa_per_s):
        raise OutsideRange("growth of strength (Pa/s)", got=growth_pa_per_s, low=-1e6, high=1e6, do="give a rate, or 0")
    left = density_kg_m3 * GRAVITY_M_S2 - growth_pa_per_s / rise_m_s
    return first_yield_pa / left if left > 0 else math.inf


def yield_height_speeding_m(
    yield_stress_pa: float, growth_pa_per_s: float, speeds_up_s: float, density_kg_m3: float, rise_m_s: float
) -> float:
    """The same where the yield stress grows ever faster: sqrt3 (tau0 + A tc (exp(t/tc) - 1)) = rho g rise t.

    Infinite where the foot never yields. Slender, full width. Sources: roussel2018, perrot2016.
    """
    require_positive(yield_stress_pa=yield_stress_pa, speeds_up_s=speeds_up_s, rise_m_s=rise_m_s)
    require_positive(density_kg_m3=density_kg_m3)
    load_per_s = density_kg_m3 * GRAVITY_M_S2 * rise_m_s / math.sqrt(3)

    def spare(time_s: float) -> float:
        grown = growth_pa_per_s * speeds_up_s * math.expm1(min(time_s / speeds_up_s, 700.0))
        return yield_stress_pa + grown - load_per_s * time_s

    worst = TALLEST_M / rise_m_s
    if growth_pa_per_s > 0:
        worst = min(worst, speeds_up_s * max(math.log(load_per_s / growth_pa_per_s), 0.0))
    if worst <= 0 or spare(worst) > 0:
        return math.inf
    return rise_m_s * float(brentq(spare, 0.0, worst, xtol=1e-9, rtol=1e-13))


def growth_to_stand_pa_per_s(height_m: float, prints_s: float, yield_stress_pa: float, density_kg_m3: float) -> float:
    """Growth of yield stress per second that just carries a height laid in so long; 0 where none is needed.

    Slender, straight growth, the foot's age is the whole time. Source: roussel2018.
    """
    require_positive(height_m=height_m, prints_s=prints_s, yield_stress_pa=yield_stress_pa, density_kg_m3=density_kg_m3)
    needed = density_kg_m3 * GRAVITY_M_S2 * height_m / math.sqrt(3)
    return max(needed - yield_stress_pa, 0.0) / prints_s
