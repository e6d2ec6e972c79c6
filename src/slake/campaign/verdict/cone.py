"""A cone depth that was only said, as the usual cone reads it; its calibration is a weight of the force law."""

from __future__ import annotations

from slake.bench.fall_cone import ANGLE, MASS
from slake.ground.units import to_si
from slake.paste.flow import cone_factor, fall_cone_yield_stress_pa

from .spread import Spread, known

CONE_READING_SD_LOG = 0.08


def cone_stress(depth_mm: float) -> Spread:
    factor = cone_factor(float(str(ANGLE.typical)))
    stress = fall_cone_yield_stress_pa(MASS.typical_si(), to_si(depth_mm, "mm"), factor.mid)
    return known(stress, CONE_READING_SD_LOG, f"cone {depth_mm:g} mm")
