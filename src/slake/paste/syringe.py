"""A hand syringe under weights: the pressure they make, and the liquid they press out."""

from __future__ import annotations

import math

from slake.ground.problems import DoesNotFit, require_positive
from slake.ground.units import GRAVITY_M_S2


def push_pressure_pa(mass_kg: float, friction_kg: float, bore_m: float) -> float:
    """Pressure in a syringe under a weight, less the weight its empty, wet plunger takes. Statics.

    Raises DoesNotFit where the empty plunger takes as much or more.
    """
    require_positive(mass_kg=mass_kg, bore_m=bore_m)
    if not 0 <= friction_kg < mass_kg:
        raise DoesNotFit(
            f"the empty plunger takes {friction_kg:g} kg and the full one ran with {mass_kg:g} kg: nothing is left for "
            "the paste, so wet the empty plunger and weigh its friction again"
        )
    return (mass_kg - friction_kg) * GRAVITY_M_S2 / (math.pi * bore_m**2 / 4)


def push_mass_kg(pressure_pa: float, friction_kg: float, bore_m: float) -> float:
    """Weight that makes this pressure: the exact inverse of `push_pressure_pa`."""
    require_positive(bore_m=bore_m)
    return friction_kg + pressure_pa * math.pi * bore_m**2 / 4 / GRAVITY_M_S2


def bleed_share(paper_dry_kg: float, paper_wet_kg: float, paste_kg: float) -> float:
    """Liquid pressed into a filter paper per mass of paste. Bookkeeping.

    Raises DoesNotFit where the paper became lighter, or drank more than there was paste.
    """
    require_positive(paper_dry_kg=paper_dry_kg, paper_wet_kg=paper_wet_kg, paste_kg=paste_kg)
    if not 0 <= paper_wet_kg - paper_dry_kg < paste_kg:
        raise DoesNotFit(
            "the paper became lighter, or drank more than there was paste: scrape it clean, weigh it dry and wet "
            "again, and weigh the paste alone"
        )
    return (paper_wet_kg - paper_dry_kg) / paste_kg
