"""Moist air: how much water it holds, how much more it takes, and how cold a wet thing in it gets.

The psychrometric equations are those of a kept library, told once that its numbers are SI.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
import psychrolib  # type: ignore[import-untyped]
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .air import ATMOSPHERE_PA

psychrolib.SetUnitSystem(psychrolib.SI)

FloatArray = NDArray[np.float64]
COLDEST_K, HOTTEST_K = to_si(1, "C"), to_si(60, "C")
DAMPEST = 0.98
"""Above it nothing dries: what is left of the deficit is smaller than what is known of the air."""
_TABLE_C = np.arange(-20.0, 100.25, 0.25)


@dataclass(frozen=True, kw_only=True)
class Air:
    """The air of a room. Raises OutsideRange for air no workshop dries in."""

    temperature_k: float
    humidity: float
    pressure_pa: float = ATMOSPHERE_PA

    def __post_init__(self) -> None:
        if not COLDEST_K <= self.temperature_k <= HOTTEST_K:
            raise OutsideRange(
                "temperature of the air (C)",
                got=from_si(self.temperature_k, "C"),
                low=from_si(COLDEST_K, "C"),
                high=from_si(HOTTEST_K, "C"),
                do="read the thermometer where the piece stands",
            )
        if not 0 <= self.humidity <= DAMPEST:
            raise OutsideRange(
                "humidity of the air (%)",
                got=from_si(self.humidity, "%"),
                low=0,
                high=from_si(DAMPEST, "%"),
                do="read the hygrometer where the piece stands; in damper air nothing dries",
            )
        if not 5e4 <= self.pressure_pa <= 1.2e5:
            raise OutsideRange(
                "pressure of the air (Pa)", got=self.pressure_pa, low=5e4, high=1.2e5, do="leave it as it is"
            )

    @property
    def _c(self) -> float:
        return from_si(self.temperature_k, "C")


def saturation_pressure_pa(temperature_k: float) -> float:
    """Vapour pressure over a flat face of pure water. Source: psychrolib_kept."""
    return float(psychrolib.GetSatVapPres(from_si(temperature_k, "C")))


@functools.cache
def _log_table() -> FloatArray:
    return np.log([float(psychrolib.GetSatVapPres(float(t))) for t in _TABLE_C])


def saturation_pressures_pa(temperatures_k: FloatArray) -> FloatArray:
    """The same for many temperatures at once, any shape: straight lines between quarter kelvins of its logarithm,
    true to 1e-5 from 0 to 100 C.
    """
    return np.asarray(np.exp(np.interp(temperatures_k - to_si(0, "C"), _TABLE_C, _log_table())))


def vapour_pressure_pa(air: Air) -> float:
    """Pressure of the water vapour in the air: humidity x saturation."""
    return air.humidity * saturation_pressure_pa(air.temperature_k)


def vapour_deficit_pa(air: Air) -> float:
    """By how much a wet face at the air's own temperature outdoes the air: what drives drying."""
    return saturation_pressure_pa(air.temperature_k) - vapour_pressure_pa(air)


def humidity_ratio(air: Air) -> float:
    """Water per dry air, kg/kg. Source: psychrolib_kept."""
    return float(psychrolib.GetHumRatioFromRelHum(air._c, air.humidity, air.pressure_pa))


def wet_bulb_k(air: Air) -> float:
    """Coldest a wet face in a draught gets: nothing but the air warms it. Source: psychrolib_kept."""
    return to_si(float(psychrolib.GetTWetBulbFromRelHum(air._c, air.humidity, air.pressure_pa)), "C")


def dew_point_k(air: Air) -> float:
    """A face colder than this gets wet instead of drying. Source: psychrolib_kept. Raises OutsideRange for dry air."""
    if air.humidity <= 0:
        raise OutsideRange(
            "humidity of the air (%)", got=0, low=0.1, high=98, do="air without any water has no dew point"
        )
    return to_si(float(psychrolib.GetTDewPointFromRelHum(air._c, air.humidity)), "C")


def enthalpy_j_kg(air: Air) -> float:
    """Heat in the air and its vapour, per dry air, from 0 C. Source: psychrolib_kept."""
    return float(psychrolib.GetMoistAirEnthalpy(air._c, humidity_ratio(air)))


def evaporation_heat_j_kg(temperature_k: float) -> float:
    """Heat a kilogram of water takes up when it evaporates: 2501 - 2.326 t kJ/kg. Source: psychrolib_kept, whose
    enthalpies it is the difference of: to 0.1 % up to 40 C, to 0.2 % at 60.
    """
    return 2.501e6 - 2326.0 * from_si(temperature_k, "C")


VAPOUR_GAS_J_KG_K = 461.5
"""Gas constant of water vapour: 8.314 / 0.018015."""


def vapour_density_kg_m3(vapour_pa: float, temperature_k: float) -> float:
    """Ideal gas of water vapour: p / (461.5 T). Own arithmetic."""
    if not (vapour_pa >= 0 and 200 < temperature_k < math.inf):
        raise OutsideRange("vapour pressure (Pa)", got=vapour_pa, low=0, high=1e5, do="it is zero or more")
    return vapour_pa / (VAPOUR_GAS_J_KG_K * temperature_k)
