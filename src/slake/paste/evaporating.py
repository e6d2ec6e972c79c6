"""Water that leaves a wet face: by two published laws, from a face whose own cooling is worked out.

A transfer is kg of water per m2, second and pascal by which the face's vapour outdoes the air's. Arrays: one entry per
draw, any shape that fits.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .air import ATMOSPHERE_PA
from .moist_air import VAPOUR_GAS_J_KG_K, evaporation_heat_j_kg, saturation_pressures_pa

FloatArray = NDArray[np.float64]
Values = float | FloatArray
UNDISTURBED = 0.74
"""Still, undisturbed water gave off this share of the pool law where it was measured. Source: pool1998 (read)."""
AIR_VISCOSITY_M2_S = 1.516e-5
VAPOUR_DIFFUSIVITY_M2_S = 2.44e-5
"""Of air, and of vapour in air, at 20 C: memory."""
AIR_HEAT_J_KG_K = 1006.0
LEAST_SPEED_M_S = 0.03
MOST_SPEED_M_S = 10.0
"""The plate law knows no air that rises by itself; no room is stiller than this. Practice, no source."""
VAPOUR_PER_AIR = 0.622
STEFAN_W_M2_K4 = 5.67e-8
EMISSIVITY = 0.95
_HALVINGS = 44
_COLDER_K = 40.0


def pool_transfer(speed_m_s: Values, temperature_k: float) -> FloatArray:
    """Free-water law of pools with the share measured over undisturbed water: 0.74 (0.089 + 0.0782 V) / Y.

    V in m/s, vapour pressures in kPa and Y in kJ/kg as printed; from still air to a few m/s. Source: pool1998.
    """
    per_kpa = UNDISTURBED * (0.089 + 0.0782 * _speeds(speed_m_s)) / (evaporation_heat_j_kg(temperature_k) / 1e3)
    return np.asarray(per_kpa / to_si(1, "kPa"))


def plate_sherwood(speed_m_s: Values, length_m: float) -> FloatArray:
    """0.664 Re^(1/2) Sc^(1/3): a flat face of this length along the air, laminar (Re under 5e5). Source: plate_flow."""
    if not to_si(1, "mm") <= length_m <= 2:
        raise OutsideRange(
            "length of the face (mm)", got=from_si(length_m, "mm"), low=1, high=2000, do="give the height of the wall"
        )
    reynolds = _speeds(speed_m_s) * length_m / AIR_VISCOSITY_M2_S
    schmidt = AIR_VISCOSITY_M2_S / VAPOUR_DIFFUSIVITY_M2_S
    return np.asarray(0.664 * np.sqrt(reynolds) * schmidt ** (1 / 3))


def plate_transfer(speed_m_s: Values, length_m: float, temperature_k: float) -> FloatArray:
    """The plate law as a transfer: Sh D / (L R T). Held for air no stiller than 0.03 m/s. Source: plate_flow."""
    speed = np.maximum(_speeds(speed_m_s), LEAST_SPEED_M_S)
    metres_per_s = plate_sherwood(speed, length_m) * VAPOUR_DIFFUSIVITY_M2_S / length_m
    return np.asarray(metres_per_s / (VAPOUR_GAS_J_KG_K * temperature_k))


def between_laws(pool: Values, plate: Values, share: Values) -> FloatArray:
    """Where two published laws differ, any value between them may be true: pool^(1-share) x plate^share. Own."""
    return np.asarray(np.exp((1 - np.asarray(share)) * np.log(pool) + np.asarray(share) * np.log(plate)))


def _speeds(speed_m_s: Values) -> FloatArray:
    speeds = np.asarray(speed_m_s, dtype=float)
    if not (speeds.size and float(speeds.min()) >= 0 and float(speeds.max()) <= MOST_SPEED_M_S):
        raise OutsideRange(
            "speed of the air (m/s)",
            got=float(speeds.max()) if speeds.size else float("nan"),
            low=0,
            high=MOST_SPEED_M_S,
            do="a fan at arm's length blows 1 to 3",
        )
    return speeds


def lewis_factor(lewis: float) -> float:
    """Heat a draught brings, per what its vapour transfer would bring were both alike: Le^(2/3). Source: plate_flow."""
    if not 0.1 <= lewis <= 10:
        raise OutsideRange("the Lewis number", got=lewis, low=0.1, high=10, do="it is near 0.88 for water in air")
    return float(lewis ** (2 / 3))


def convected_w_m2_k(transfer: Values) -> FloatArray:
    """Heat a draught brings per kelvin, from its vapour transfer: k cp P / 0.622. Heat and vapour taken to travel
    alike, which makes an unwarmed face come to rest at the thermodynamic wet bulb. Own balance.
    """
    return np.asarray(np.asarray(transfer) * AIR_HEAT_J_KG_K * ATMOSPHERE_PA / VAPOUR_PER_AIR)


def radiated_w_m2_k(temperature_k: Values) -> FloatArray:
    """Heat the walls of the room send per kelvin to a face that sees only them: 4 e sigma T^3. Own, from the law of
    black bodies.
    """
    return np.asarray(4 * EMISSIVITY * STEFAN_W_M2_K4 * np.asarray(temperature_k, dtype=float) ** 3)


@dataclass(frozen=True, kw_only=True)
class Around:
    """What surrounds a face, one entry per draw. transfer: kg/m2 s Pa; sees_room: share of what radiation could bring
    (0: it sees only wet walls as cold as itself).
    """

    temperature_k: FloatArray
    humidity: FloatArray
    transfer: FloatArray
    sees_room: FloatArray

    @property
    def vapour_pa(self) -> FloatArray:
        return np.asarray(self.humidity * saturation_pressures_pa(self.temperature_k))


def surface_k(around: Around) -> FloatArray:
    """Temperature at which a wet face takes as much heat from air and room as its evaporation costs, by halving.

    Between the wet bulb (it sees no warm wall) and the air. Heat through the wall from the other side is left out.
    """
    warmed = convected_w_m2_k(around.transfer) + around.sees_room * radiated_w_m2_k(around.temperature_k)
    vapour, air_k = around.vapour_pa, around.temperature_k
    low, high = air_k - _COLDER_K, air_k.copy()
    for _ in range(_HALVINGS):
        mid = 0.5 * (low + high)
        cost = around.transfer * _heat(mid) * (saturation_pressures_pa(mid) - vapour)
        too_warm = cost > warmed * (air_k - mid)
        high, low = np.where(too_warm, mid, high), np.where(too_warm, low, mid)
    return np.asarray(0.5 * (low + high))


def _heat(face_k: FloatArray) -> FloatArray:
    return np.asarray(2.501e6 - 2326.0 * (face_k - to_si(0, "C")))


def flux_kg_m2_s(around: Around, face_k: FloatArray) -> FloatArray:
    """Water a wet face of this temperature gives off; none where the air is damper than the face."""
    return np.asarray(around.transfer * np.maximum(saturation_pressures_pa(face_k) - around.vapour_pa, 0.0))


@dataclass(frozen=True, kw_only=True)
class WetFace:
    """A wet face in this air, one entry per draw, and both ends: at the air's own temperature, and at the wet bulb."""

    face_k: FloatArray
    flux: FloatArray
    flux_at_air: FloatArray
    flux_at_wet_bulb: FloatArray


def wet_face(around: Around) -> WetFace:
    """What it gives off while it is wet: at its own temperature, and at both ends of where that could lie."""
    face = surface_k(around)
    unwarmed = Around(
        temperature_k=around.temperature_k,
        humidity=around.humidity,
        transfer=around.transfer,
        sees_room=np.zeros_like(around.sees_room),
    )
    return WetFace(
        face_k=face,
        flux=flux_kg_m2_s(around, face),
        flux_at_air=flux_kg_m2_s(around, around.temperature_k),
        flux_at_wet_bulb=flux_kg_m2_s(around, surface_k(unwarmed)),
    )
