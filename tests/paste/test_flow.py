"""Inverses, limits and directions of cone, slump and spread. Printed values stand in tests/references."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Kind
from slake.ground.problems import OutsideRange, Problem
from slake.paste import flow

BAD = [0.0, -1.0, float("nan"), float("inf")]


@given(st.floats(0.005, 1), st.floats(10, 1e5), st.floats(0.1, 2))
def test_cone_there_and_back(mass: float, stress: float, factor: float) -> None:
    depth = flow.fall_cone_depth_m(mass, stress, factor)
    assert flow.fall_cone_yield_stress_pa(mass, depth, factor) == pytest.approx(stress, rel=1e-12)


@given(st.floats(0.005, 1), st.floats(0.001, 0.05))
def test_cone_half_the_depth_is_four_times_twice_the_mass_is_twice(mass: float, depth: float) -> None:
    once = flow.fall_cone_yield_stress_pa(mass, depth, 0.8)
    assert flow.fall_cone_yield_stress_pa(mass, depth / 2, 0.8) == pytest.approx(4 * once, rel=1e-12)
    assert flow.fall_cone_yield_stress_pa(2 * mass, depth, 0.8) == pytest.approx(2 * once, rel=1e-12)


def test_a_half_millimetre_at_16_is_6_to_7_percent() -> None:
    """By hand: coding only."""
    mid, deep, flat = (flow.fall_cone_yield_stress_pa(0.03, d, 0.8) for d in (0.016, 0.0165, 0.0155))
    assert deep / mid - 1 == pytest.approx(-0.06, abs=0.005)
    assert flat / mid - 1 == pytest.approx(0.07, abs=0.005)


@pytest.mark.parametrize("bad", BAD)
@pytest.mark.parametrize("place", [0, 1, 2])
def test_cone_refuses_bad_numbers(bad: float, place: int) -> None:
    values = [0.03, 0.016, 0.8]
    values[place] = bad
    with pytest.raises(OutsideRange):
        flow.fall_cone_yield_stress_pa(*values)


def test_factors_of_known_angles_only() -> None:
    assert all(factor.angle_deg == angle for angle, factor in flow.CONE_FACTORS.items())
    assert flow.cone_factor(30).mid == 0.80 and flow.cone_factor(60).mid == 0.27
    assert (flow.cone_factor(30).low, flow.cone_factor(30).high) == (0.5, 1.33)
    for angle in (45, 0, float("nan"), float("inf")):
        with pytest.raises(Problem, match="no known factor"):
            flow.cone_factor(angle)


@given(st.floats(0.001, 0.49), st.floats(900, 2600), st.floats(0.03, 0.3))
def test_slump_there_and_back(share: float, density: float, height: float) -> None:
    stress = share * density * 9.81 * height
    slump = flow.slump_from_yield_stress_m(stress, density, height)
    assert flow.yield_stress_from_slump_pa(slump, density, height) == pytest.approx(stress, rel=1e-6)


@given(st.floats(1e-4, 0.998), st.floats(1e-4, 0.998))
def test_more_slump_is_softer(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert flow.yield_share(low) >= flow.yield_share(high)


@given(st.floats(0.5, 100))
def test_a_stiff_cylinder_does_not_slump_at_all(share: float) -> None:
    assert flow.slump_share(share) == 0.0


@pytest.mark.parametrize("slump", [0.0, -0.001, 0.05, 0.06, float("nan")])
def test_a_slump_that_says_no_number_is_refused(slump: float) -> None:
    with pytest.raises(OutsideRange):
        flow.yield_stress_from_slump_pa(slump, 1500, 0.05)


def test_where_a_millimetre_ruler_goes_blind() -> None:
    """About 300 Pa at 1.5 g/mL and 200 Pa at 1.1 g/mL for a 50 mm cylinder (practice figures, rounded)."""
    assert flow.slump_blind_above_pa(1500, 0.05, 0.001) == pytest.approx(300, abs=10)
    assert flow.slump_blind_above_pa(1100, 0.05, 0.001) == pytest.approx(200, abs=20)
    assert flow.slump_blind_above_pa(1500, 0.05, 0) == pytest.approx(1500 * 9.81 * 0.025)


@given(st.floats(0.05, 0.25), st.floats(1800, 2600))
def test_concrete_cone_there_and_back(slump: float, density: float) -> None:
    stress = flow.yield_stress_from_abrams_slump_pa(slump, density)
    assert flow.abrams_slump_m(stress, density) == pytest.approx(slump, abs=1e-12)


@given(st.floats(0, 0.0499))
def test_a_stiff_concrete_cone_says_only_above(slump: float) -> None:
    found = flow.abrams_evidence(slump, 2400, 0.15)
    assert found.kind is Kind.ABOVE
    assert found.low == flow.yield_stress_from_abrams_slump_pa(0.05, 2400)


@given(st.floats(0.2501, 0.30))
def test_a_runny_concrete_cone_says_only_below(slump: float) -> None:
    found = flow.abrams_evidence(slump, 2400, 0.15)
    assert found.kind is Kind.BELOW
    assert found.high == flow.yield_stress_from_abrams_slump_pa(0.25, 2400)


def test_a_concrete_cone_between_says_a_number() -> None:
    assert flow.abrams_evidence(0.10, 2300, 0.15).low == pytest.approx(2025.6, abs=0.1)


@pytest.mark.parametrize("slump", [-0.01, 0.31, float("nan")])
def test_a_slump_the_cone_cannot_make_is_refused(slump: float) -> None:
    with pytest.raises(OutsideRange):
        flow.abrams_evidence(slump, 2400, 0.15)


@given(st.floats(1, 40))
def test_spread_there_and_back(stress: float) -> None:
    radius = flow.spread_radius_m(50e-6, 1500, stress) if stress <= 60 else 0.05
    assert flow.spread_yield_stress_pa(50e-6, 1500, radius) == pytest.approx(stress)


def test_a_cylinder_is_a_mould_with_two_equal_ends() -> None:
    assert flow.mould_volume_m3(0.05, 0.05, 0.05) == pytest.approx(math.pi * 0.025**2 * 0.05)


def test_von_mises_is_the_larger() -> None:
    assert flow.von_mises_yield_stress_pa(100) == pytest.approx(115.47, abs=0.005)
