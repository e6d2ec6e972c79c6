"""Air shut in with the paste: what it stores under pressure, and the late start and ooze that follow from it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange, require_positive

Values = float | NDArray[np.float64]
ATMOSPHERE_PA = 101325.0
"""Standard atmosphere, a convention."""


def air_stored_m3(air_fraction: Values, volume_m3: Values, pressure_pa: Values) -> NDArray[np.float64]:
    """How much smaller the air in a cartridge gets under a pressure above the room's: Boyle's law.

    air_fraction x volume x (1 - atmosphere / (atmosphere + pressure)); at one temperature, air not dissolving.
    """
    return np.asarray(air_fraction * volume_m3 * (1 - ATMOSPHERE_PA / (ATMOSPHERE_PA + pressure_pa)))


def late_start_s(stored_m3: Values, flow_m3_s: Values) -> NDArray[np.float64]:
    """Seconds until the bead runs, and that it oozes on after the stop: stored volume over flow."""
    stored, flow = np.asarray(stored_m3), np.asarray(flow_m3_s)
    require_positive(flow_m3_s=float(flow.min()), most_flow_m3_s=float(flow.max()))
    if not (stored.min() >= 0 and stored.max() < math.inf):
        raise OutsideRange("air stored (m3)", got=float(stored.min()), low=0, high=1, do="it is zero or more")
    return np.asarray(stored / flow)


def air_from_density(density_kg_m3: float, air_free_kg_m3: float) -> float:
    """Share of a paste's volume that is air: 1 - density / density without air; nothing where it reads heavier."""
    require_positive(density_kg_m3=density_kg_m3, air_free_kg_m3=air_free_kg_m3)
    return max(1 - density_kg_m3 / air_free_kg_m3, 0.0)
