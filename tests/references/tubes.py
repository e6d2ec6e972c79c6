"""The tube's laws called with plain numbers, as a reference row gives them."""

from __future__ import annotations

from slake.paste.air import air_stored_m3
from slake.paste.pipe import (
    Tube,
    YieldFluid,
    apparent_shear_rate_per_s,
    tube_flow_m3_s,
    tube_pressure_pa,
    wall_stress_pa,
)


def _paste(of: dict[str, float]) -> YieldFluid:
    return YieldFluid(yield_stress_pa=of["tau0"], consistency_pa=of["k"], flow_index=of["n"])


def _tube(of: dict[str, float]) -> Tube:
    return Tube(radius_m=of["radius_m"], length_m=of["length_m"])


def flow(pressure_pa: float, **of: float) -> float:
    return tube_flow_m3_s(_paste(of), _tube(of), pressure_pa)


def speed(pressure_pa: float, **of: float) -> float:
    return flow(pressure_pa, **of) / (3.141592653589793 * of["radius_m"] ** 2)


def wall_stress(pressure_pa: float, radius_m: float, length_m: float) -> float:
    return wall_stress_pa(pressure_pa, Tube(radius_m=radius_m, length_m=length_m))


def pressure(speed_m_s: float, **of: float) -> float:
    return tube_pressure_pa(_paste(of), _tube(of), speed_m_s * 3.141592653589793 * of["radius_m"] ** 2)


def stress_at(speed_m_s: float, **of: float) -> float:
    return wall_stress_pa(pressure(speed_m_s, **of), _tube(of))


def rate_at(speed_m_s: float, radius_m: float) -> float:
    return apparent_shear_rate_per_s(speed_m_s * 3.141592653589793 * radius_m**2, radius_m)


def stored(air_fraction: float, volume_m3: float, pressure_pa: float) -> float:
    return float(air_stored_m3(air_fraction, volume_m3, pressure_pa))
