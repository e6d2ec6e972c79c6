"""Moist air against a formula of another family, printed tables (tests/references) and its own limits."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slake.ground.problems import OutsideRange
from slake.paste import moist_air
from slake.paste.moist_air import Air

PLACES = [(8.0, 0.7), (12.0, 0.8), (20.0, 0.5), (25.0, 0.65), (33.0, 0.2), (45.0, 0.4)]


def air(celsius: float, humidity: float) -> Air:
    return Air(temperature_k=celsius + 273.15, humidity=humidity)


def magnus_pa(celsius: float) -> float:
    """Another family of formula, of meteorology (from memory): 611.2 exp(17.62 t / (243.12 + t)), to 0.3 %."""
    return 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))


@pytest.mark.parametrize(("celsius", "humidity"), PLACES)
def test_saturation_and_dew_point_against_a_formula_of_another_family(celsius, humidity):
    assert moist_air.saturation_pressure_pa(celsius + 273.15) == pytest.approx(magnus_pa(celsius), rel=3e-3)
    log = math.log(humidity * magnus_pa(celsius) / 611.2)
    assert moist_air.dew_point_k(air(celsius, humidity)) - 273.15 == pytest.approx(
        243.12 * log / (17.62 - log), abs=0.1
    )


@pytest.mark.parametrize(("celsius", "humidity"), PLACES)
def test_wet_bulb_keeps_the_balance_of_a_psychrometer(celsius, humidity):
    """Vapour pressure told back from both thermometers (6.6e-4 P per K, from memory) is that of the air, as near as a
    ventilated thermometer comes to the thermodynamic wet bulb: 50 Pa, which is 0.4 K."""
    wet = moist_air.wet_bulb_k(air(celsius, humidity)) - 273.15
    told = magnus_pa(wet) - 6.6e-4 * 101325 * (celsius - wet) * (1 + 1.15e-3 * wet)
    assert told == pytest.approx(humidity * magnus_pa(celsius), rel=0.02, abs=50)


@pytest.mark.parametrize(("celsius", "humidity"), PLACES)
def test_humidity_ratio_is_that_of_ideal_gases_and_goes_back(celsius, humidity):
    there = air(celsius, humidity)
    vapour = moist_air.vapour_pressure_pa(there)
    ratio = moist_air.humidity_ratio(there)
    assert ratio == pytest.approx(0.622 * vapour / (101325 - vapour), rel=1e-3)
    assert ratio * 101325 / (0.621945 + ratio) == pytest.approx(vapour, rel=1e-3)


def test_damp_air_has_no_deficit_left_and_all_temperatures_meet():
    nearly = air(20, moist_air.DAMPEST)
    assert moist_air.vapour_deficit_pa(nearly) < 0.03 * moist_air.saturation_pressure_pa(293.15)
    assert moist_air.wet_bulb_k(nearly) == pytest.approx(293.15, abs=0.3)
    assert moist_air.dew_point_k(nearly) < moist_air.wet_bulb_k(nearly) < 293.15


def test_heat_of_moist_air_rises_with_warmth_and_water():
    assert moist_air.enthalpy_j_kg(air(20, 0.5)) < moist_air.enthalpy_j_kg(air(25, 0.5))
    assert moist_air.enthalpy_j_kg(air(20, 0.4)) < moist_air.enthalpy_j_kg(air(20, 0.5))


def test_many_at_once_are_the_same_as_one_by_one():
    celsius = np.linspace(0.3, 60, 211)
    one_by_one = [moist_air.saturation_pressure_pa(float(t) + 273.15) for t in celsius]
    assert moist_air.saturation_pressures_pa(celsius + 273.15) == pytest.approx(one_by_one, rel=1e-5)


def test_vapour_density_at_20_c_is_the_printed_17_3_grams():
    """Printed in every table of saturated air: 17.3 g/m3 at 20 C (from memory)."""
    assert moist_air.vapour_density_kg_m3(moist_air.saturation_pressure_pa(293.15), 293.15) == pytest.approx(
        0.0173, abs=0.00005
    )


@pytest.mark.parametrize(
    ("celsius", "humidity", "word"),
    [(-3, 0.5, "temperature"), (75, 0.5, "temperature"), (20, 1.0, "nothing dries"), (20, -0.1, "humidity")],
)
def test_air_no_workshop_dries_in_is_refused_in_a_sentence(celsius, humidity, word):
    with pytest.raises(OutsideRange, match=word):
        air(celsius, humidity)
    with pytest.raises(OutsideRange):
        air(float("nan"), 0.5)


def test_air_without_water_has_no_dew_point():
    with pytest.raises(OutsideRange, match="no dew point"):
        moist_air.dew_point_k(air(20, 0.0))
    with pytest.raises(OutsideRange):
        moist_air.vapour_density_kg_m3(-1.0, 293.0)
