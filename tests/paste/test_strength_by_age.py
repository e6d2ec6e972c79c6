"""Strength by age: limits, round trips, an ageing series, drying and a heater learnt from readings."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, OutsideRange
from slake.paste.ageing import fit_ageing
from slake.paste.strength_by_age import (
    Drying,
    Growing,
    HeaterReading,
    drying_gain_per_s,
    grown_by_series,
    grown_yield_stress_pa,
    heater_effect,
    steady,
)

AGES = np.array([600.0, 1800.0, 3600.0, 5400.0, 7200.0])


@given(st.floats(100, 5000), st.floats(0, 5), st.floats(0, 3600))
def test_growth_that_hardly_speeds_up_is_a_straight_line(first: float, rate: float, time: float) -> None:
    slow = grown_yield_stress_pa(first, rate, time, 1e9)
    assert slow == pytest.approx(grown_yield_stress_pa(first, rate, time), rel=1e-5)


def test_arrays_are_one_number_per_draw_and_place() -> None:
    growing = Growing(at_laying=np.array([1000.0, 2000.0]), per_s=np.array([1.0, 0.0]))
    assert growing.at(np.zeros((3, 4))).shape == (2, 3, 4)
    assert growing.at(np.array([60.0]))[:, 0] == pytest.approx([1060, 2000])


def test_a_logarithm_that_levels_ends_at_rate_times_time() -> None:
    growing = Growing(at_laying=np.array([1.0]), log_per_s=np.array([0.002]), levels_s=np.array([500.0]))
    assert growing.at(np.array([1e6]))[0, 0] == pytest.approx(math.e)
    assert growing.at(np.array([1.0]))[0, 0] == pytest.approx(math.exp(0.002), rel=1e-4)


def test_a_strength_that_falls_stays_above_zero() -> None:
    assert steady(1000, -10).at(np.array([1e4]))[0, 0] == pytest.approx(1.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_no_strength_is_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        steady(bad)
    with pytest.raises(DoesNotFit):
        Growing(at_laying=np.array([1.0]), levels_s=np.array([bad if bad <= 0 else -bad]))


def test_a_rate_that_is_no_number_is_refused() -> None:
    with pytest.raises(DoesNotFit):
        steady(1000.0, math.nan)


def test_an_ageing_series_gives_back_its_own_growth() -> None:
    """A straight series: 3e-5 per second, whatever the cone factor."""
    ageing = fit_ageing(AGES, 777 * np.exp(3e-5 * AGES), np.full(5, 0.1))
    growing = grown_by_series(ageing, 3600.0, np.array([900.0]), np.zeros((1, 2)))
    assert growing.at(np.array([1000.0]))[0, 0] == pytest.approx(900 * math.exp(0.03), rel=1e-6)


def test_a_levelling_series_levels() -> None:
    ageing = fit_ageing(AGES, 777 * np.exp(-0.5 * np.expm1(-AGES / 2000)), np.full(5, 0.01))
    growing = grown_by_series(ageing, 600.0, np.array([1000.0]), np.zeros((1, 3)))
    wanted = 0.5 * (math.exp(-600 / 2000) - math.exp(-7200 / 2000))
    assert math.log(growing.at(np.array([6600.0]))[0, 0] / 1000) == pytest.approx(wanted, rel=0.02)


def test_draws_of_a_series_scatter_as_the_series_says() -> None:
    ageing = fit_ageing(AGES, 777 * np.exp(3e-5 * AGES), np.full(5, 0.1))
    normals = np.random.default_rng(1).standard_normal((4000, 2))
    rates = grown_by_series(ageing, 3600.0, np.array([900.0]), normals).log_per_s
    assert np.mean(rates) == pytest.approx(3e-5, rel=0.05)
    assert np.std(rates) == pytest.approx(ageing.rate_per_s(3600.0)[1], rel=0.15)


def test_drying_by_hand() -> None:
    """45 g/m2 h from both faces of 3 mm of paste of 1.5 g/mL at W 0.7: 0.0302 g/g an hour, times the slope of 13."""
    drying = Drying(flux_kg_m2_s=0.045 / 3600, open_faces=2, water_slope=13, water_per_dry=0.7)
    lost = 2 * 0.045 * 1.7 / (1500 * 0.003)
    assert drying_gain_per_s(drying, 0.003, 1500) * 3600 == pytest.approx(13 * lost)
    assert drying_gain_per_s(drying, 0.006, 1500) == pytest.approx(drying_gain_per_s(drying, 0.003, 1500) / 2)
    assert drying.most_gain_log == pytest.approx(13 * 0.2 * 0.7)


@pytest.mark.parametrize("field", ["flux_kg_m2_s", "open_faces", "water_slope", "water_per_dry"])
def test_drying_refuses_what_cannot_be(field: str) -> None:
    good = {"flux_kg_m2_s": 1e-5, "open_faces": 2.0, "water_slope": 10.0, "water_per_dry": 0.7}
    for bad in (-1.0, math.nan, math.inf):
        with pytest.raises(OutsideRange):
            Drying(**{**good, field: bad})


def readings(heater: float, scatter: float = 0.0) -> list[HeaterReading]:
    noise = np.random.default_rng(3).standard_normal(12) * scatter
    told = []
    for i in range(12):
        on, since = i % 2 == 1, 300.0 * (1 + i // 2)
        stress = 1000 * math.exp((2e-4 + heater * on) * since + noise[i])
        told.append(HeaterReading(with_heater=on, since_laid_s=since, yield_stress_pa=stress))
    return told


def test_a_heaters_effect_is_learnt_from_readings_with_and_without_it() -> None:
    effect = heater_effect(readings(3e-4))
    assert effect.heater_per_s.mid == pytest.approx(3e-4, rel=1e-6) and effect.count == 12
    assert effect.heater_per_s.low > 0


def test_a_heater_that_does_nothing_is_told_as_nothing_within_its_range() -> None:
    effect = heater_effect(readings(0.0, scatter=0.1))
    assert effect.heater_per_s.low < 0 < effect.heater_per_s.high


def test_readings_that_scatter_widen_the_range() -> None:
    assert heater_effect(readings(3e-4, scatter=0.6)).sd_per_s > 2 * heater_effect(readings(3e-4)).sd_per_s


def test_a_heater_without_readings_on_both_sides_is_not_counted() -> None:
    with pytest.raises(NotEnoughEvidence):
        heater_effect([one for one in readings(3e-4) if one.with_heater])
    with pytest.raises(NotEnoughEvidence):
        heater_effect([])
