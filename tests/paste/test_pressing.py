"""Laws of slug, squeeze, puddle, syringe, lands and ageing: a limit, a round trip, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import DoesNotFit, NotEnoughEvidence, Problem
from slake.paste.ageing import LEVELLING, STRAIGHT, fit_ageing, pot_life
from slake.paste.flow import spread_yield_stress_pa
from slake.paste.lands import ends_of_lands
from slake.paste.slug import (
    range_in_standard_deviations,
    slug_mass_kg,
    slug_tension_pa,
    slug_variation,
    slug_yield_stress_pa,
)
from slake.paste.spreading import middle_spread_radius_m, middle_spread_yield_stress_pa, thin_over_middle
from slake.paste.squeeze import radius_per_height, squeeze_edge_factor, squeeze_radius_m, squeeze_yield_stress_pa
from slake.paste.syringe import bleed_share, push_mass_kg, push_pressure_pa
from tests.references.rises import fit_rise

stress = st.floats(20, 5000)


@given(pascals=stress, nozzle=st.floats(5e-4, 6e-3))
def test_a_slug_there_and_back(pascals, nozzle):
    assert slug_yield_stress_pa(slug_mass_kg(pascals, nozzle), nozzle) == pytest.approx(pascals)


def test_the_skin_of_a_wide_slug_holds_less():
    assert slug_tension_pa(0.002) == pytest.approx(42, abs=0.6)
    assert slug_tension_pa(0.004) == pytest.approx(slug_tension_pa(0.002) / 2)


def test_least_and_most_of_many_lie_further_apart():
    """1.128, 2.326 and 3.078 for 2, 5 and 10: the well-known factors of quality control, from memory."""
    found = [range_in_standard_deviations(count) for count in (2, 5, 10)]
    assert found == pytest.approx([1.128, 2.326, 3.078], abs=6e-4)
    with pytest.raises(DoesNotFit):
        slug_variation(1e-3, 2e-3, 3e-3, 10)


@given(pascals=stress, volume=st.floats(5e-7, 1e-5), force=st.floats(1, 50))
def test_a_squeeze_there_and_back(pascals, volume, force):
    assert squeeze_yield_stress_pa(force, volume, squeeze_radius_m(force, volume, pascals)) == pytest.approx(pascals)


def test_a_thin_disc_needs_no_edge_correction():
    assert squeeze_edge_factor(2e-6, 1.0) == pytest.approx(1.0, abs=1e-4)
    assert radius_per_height(2e-6, 0.017) == pytest.approx(math.pi * 0.017**3 / 2e-6)


@given(pascals=st.floats(5, 200))
def test_a_puddle_there_and_back(pascals):
    radius = middle_spread_radius_m(5e-5, 1500, pascals, 0.0)
    assert middle_spread_yield_stress_pa(5e-5, 1500, radius) == pytest.approx(pascals, rel=1e-6)


def test_a_wide_puddle_is_the_thin_cake():
    """The formula between is the harmonic sum of the two ends: far out it is the thin cake's."""
    wide, volume = 0.3, 5e-5
    assert middle_spread_yield_stress_pa(volume, 1500, wide) == pytest.approx(
        spread_yield_stress_pa(volume, 1500, wide), rel=3e-3
    )
    assert thin_over_middle(volume, 0.03) > thin_over_middle(volume, 0.06) > 1


@given(pascals=st.floats(1e3, 5e5), friction=st.floats(0, 2))
def test_a_weight_there_and_back(pascals, friction):
    assert push_pressure_pa(push_mass_kg(pascals, friction, 0.0267), friction, 0.0267) == pytest.approx(pascals)


@pytest.mark.parametrize("bore", [0.0, -0.01, math.nan])
def test_a_syringe_with_no_bore_is_refused(bore):
    with pytest.raises(Problem):
        push_pressure_pa(1.0, 0.0, bore)


def test_a_plunger_that_takes_all_the_weight_is_refused():
    with pytest.raises(Problem):
        push_pressure_pa(0.4, 0.4, 0.0267)


def test_bleed_is_bookkeeping():
    assert bleed_share(1.2e-3, 1.5e-3, 15e-3) == pytest.approx(0.02)
    with pytest.raises(Problem):
        bleed_share(1.5e-3, 1.2e-3, 15e-3)


def test_lands_of_equal_length_and_one_land_are_refused():
    with pytest.raises(DoesNotFit):
        ends_of_lands([5, 5], [1e5, 2e5])
    with pytest.raises(NotEnoughEvidence):
        ends_of_lands([5], [1e5])


MINUTE = 60.0
AGES = [15 * MINUTE, 30 * MINUTE, 60 * MINUTE, 120 * MINUTE, 240 * MINUTE]


def test_a_straight_rise_is_told_as_one_and_its_pot_life_follows():
    rate = 0.10 / 3600
    found = fit_ageing(AGES, [900 * math.exp(rate * t) for t in AGES], [0.05] * 5)
    assert found.shape is STRAIGHT
    assert found.rate_per_s(3600.0)[0] == pytest.approx(rate)
    life = pot_life(found, 3600.0)
    assert life.usual_s == pytest.approx(math.log(1.25) / rate, rel=2e-3)


def test_a_curve_that_levels_off_is_told_as_one():
    values = [500 * math.exp(1.2 * (1 - math.exp(-t / (40 * MINUTE)))) for t in AGES]
    found = fit_ageing(AGES, values, [0.01] * 5)
    assert found.shape is LEVELLING
    assert found.rate_per_s(240 * MINUTE)[0] < 0.1 * found.rate_per_s(15 * MINUTE)[0]
    assert pot_life(found, 240 * MINUTE).usual_s is None


def test_two_readings_are_no_series():
    with pytest.raises(NotEnoughEvidence):
        fit_ageing(AGES[:2], [900, 950], [0.05] * 2)


@given(top=st.floats(1, 300), steep=st.floats(0.05, 2))
def test_a_rise_comes_back(top, steep):
    x = np.linspace(0.3, 12, 9)
    found = fit_rise(list(x), list(top * -np.expm1(-steep * x)))
    assert (found.top, found.steepness) == pytest.approx((top, steep), rel=1e-4)
