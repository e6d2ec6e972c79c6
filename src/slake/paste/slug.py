"""A slug of paste hung from a nozzle: it breaks off where its own weight pulls it beyond its yield stress."""

from __future__ import annotations

import math

from scipy.integrate import quad
from scipy.special import ndtr

from slake.ground.problems import DoesNotFit, OutsideRange, require_positive
from slake.ground.units import GRAVITY_M_S2

WATER_TENSION_N_M = 0.072
"""Surface tension of water, from memory; gums and soaps of food waste lower it to about 0.05."""


def slug_yield_stress_pa(mass_kg: float, nozzle_m: float) -> float:
    """Yield stress from the mean mass of the pieces that break off: m g / (sqrt3 S), S the bore's area. Von Mises.

    Holds hung slowly (under 5 mm/s), for paste that breaks and does not string. Surface tension is not taken off:
    see `slug_tension_pa`. Source: coussot_gaulard2005.
    """
    require_positive(mass_kg=mass_kg, nozzle_m=nozzle_m)
    return mass_kg * GRAVITY_M_S2 / (math.sqrt(3) * math.pi * nozzle_m**2 / 4)


def slug_mass_kg(yield_stress_pa: float, nozzle_m: float) -> float:
    """Mass at which a slug breaks off: the exact inverse of `slug_yield_stress_pa`."""
    require_positive(yield_stress_pa=yield_stress_pa, nozzle_m=nozzle_m)
    return yield_stress_pa * math.sqrt(3) * math.pi * nozzle_m**2 / 4 / GRAVITY_M_S2


def slug_tension_pa(nozzle_m: float, tension_n_m: float = WATER_TENSION_N_M) -> float:
    """What the skin of the slug holds, said as yield stress: 2 x tension / (sqrt3 bore), to be taken off.

    The ring of the skin pulls pi D times the tension; the pressure inside a thread of that bore pushes half of it
    back. Derived. For water and 2 mm it is 42 Pa, within the 30 to 70 Pa of practice.
    """
    require_positive(nozzle_m=nozzle_m, tension_n_m=tension_n_m)
    return 2 * tension_n_m / (math.sqrt(3) * nozzle_m)


def range_in_standard_deviations(count: int) -> float:
    """How many standard deviations lie, on average, between the least and the most of `count` normal values."""
    if not 2 <= count <= 1000:
        raise OutsideRange("pieces", got=count, low=2, high=1000, do="a spread needs two pieces or more")

    def neither_all_above_nor_below(z: float) -> float:
        return float(1 - ndtr(z) ** count - ndtr(-z) ** count)

    return float(quad(neither_all_above_nor_below, -10, 10, limit=200)[0])


def slug_variation(mass_kg: float, least_kg: float, most_kg: float, count: int) -> float:
    """Standard deviation between pieces per mean mass, from the lightest and the heaviest: how even the paste is.

    Raises DoesNotFit where the mean does not lie between them.
    """
    require_positive(mass_kg=mass_kg, least_kg=least_kg, most_kg=most_kg)
    if not least_kg <= mass_kg <= most_kg:
        raise DoesNotFit(
            "the mean mass of a piece does not lie between the lightest and the heaviest piece: weigh them again, and "
            "divide the mass of all pieces by their number"
        )
    return (most_kg - least_kg) / range_in_standard_deviations(count) / mass_kg
