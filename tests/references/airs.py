"""Moist air of plain numbers, for rows that name a temperature and a humidity."""

from __future__ import annotations

from slake.paste import evaporating, moist_air
from slake.paste.moist_air import Air


def _air(temperature_k: float, humidity: float) -> Air:
    return Air(temperature_k=temperature_k, humidity=humidity)


def humidity_ratio(temperature_k: float, humidity: float) -> float:
    return moist_air.humidity_ratio(_air(temperature_k, humidity))


def wet_bulb_k(temperature_k: float, humidity: float) -> float:
    return moist_air.wet_bulb_k(_air(temperature_k, humidity))


def dew_point_k(temperature_k: float, humidity: float) -> float:
    return moist_air.dew_point_k(_air(temperature_k, humidity))


def enthalpy_j_kg(temperature_k: float, humidity: float) -> float:
    return moist_air.enthalpy_j_kg(_air(temperature_k, humidity))


def vapour_deficit_pa(temperature_k: float, humidity: float) -> float:
    return moist_air.vapour_deficit_pa(_air(temperature_k, humidity))


def pool_flux_kg_m2_h(temperature_k: float, humidity: float, speed_m_s: float) -> float:
    """Undisturbed water as warm as the air, per hour."""
    transfer = float(evaporating.pool_transfer(speed_m_s, temperature_k))
    return 3600 * transfer * vapour_deficit_pa(temperature_k, humidity)


def pool_equation_kg_m2_h(temperature_k: float, humidity: float, speed_m_s: float) -> float:
    """The equation as printed, without the share of undisturbed water."""
    return pool_flux_kg_m2_h(temperature_k, humidity, speed_m_s) / evaporating.UNDISTURBED


def plate_flux_kg_m2_h(temperature_k: float, humidity: float, speed_m_s: float, length_m: float) -> float:
    transfer = float(evaporating.plate_transfer(speed_m_s, length_m, temperature_k))
    return 3600 * transfer * vapour_deficit_pa(temperature_k, humidity)


def plate_speed_mm_s(temperature_k: float, speed_m_s: float, length_m: float) -> float:
    """Mass transfer as a speed, in mm/s."""
    transfer = float(evaporating.plate_transfer(speed_m_s, length_m, temperature_k))
    return 1e3 * transfer * moist_air.VAPOUR_GAS_J_KG_K * temperature_k
