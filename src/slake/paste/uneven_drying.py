"""How far the middle of a wall lags behind its face while it dries, and how long the first stage takes.

Uneven drying is one of two things that crack a drying wall; the other is what holds it while it shrinks.
"""

from __future__ import annotations

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import to_si

OPEN_AIR = Range(low=to_si(30, "g/m2.h"), mid=to_si(45, "g/m2.h"), high=to_si(60, "g/m2.h"))
"""Water a wet face gives off in still air of 20 to 22 C and about half humid: common practice, no source."""
COVERED = Range(low=to_si(8, "g/m2.h"), mid=to_si(15, "g/m2.h"), high=to_si(25, "g/m2.h"))
"""The same under a loose cover, a box or a bag with a gap: common practice, no source."""
FROM_UNEVEN = Range(low=0.0, mid=0.5, high=0.9)
"""How much of a crack comes from uneven drying, the rest from what holds the part: common practice, no source."""


def water_ahead_kg_m3(flux_kg_m2_s: float, path_m: float, diffusivity_m2_s: float) -> float:
    """Water the middle of a wall holds more than its face, in the stage of steady drying: J L / (2 D).

    A parabola across the path: half the wall where both faces are open, all of it where one is. Own balance of water
    that moves by diffusion; paste whose water is drawn by capillaries evens out better than that.
    """
    require_positive(flux_kg_m2_s=flux_kg_m2_s, path_m=path_m, diffusivity_m2_s=diffusivity_m2_s)
    return flux_kg_m2_s * path_m / (2 * diffusivity_m2_s)


def first_stage_s(water_kg_m3: float, path_m: float, flux_kg_m2_s: float) -> float:
    """Time in which a face at this steady rate takes this much water out of the path behind it. Own balance; the slow
    tail after it takes half as long again, or as long.
    """
    require_positive(water_kg_m3=water_kg_m3, path_m=path_m, flux_kg_m2_s=flux_kg_m2_s)
    return water_kg_m3 * path_m / flux_kg_m2_s


def crack_drive_times(uneven_times: float, from_uneven: float) -> float:
    """Factor on what drives cracks where the uneven part of it changes by `uneven_times`; the held part stays. Own."""
    require_positive(uneven_times=uneven_times)
    if not 0 <= from_uneven <= 1:
        raise OutsideRange("the share of cracks from uneven drying", got=from_uneven, low=0, high=1, do="give a share")
    return 1 - from_uneven + from_uneven * uneven_times
