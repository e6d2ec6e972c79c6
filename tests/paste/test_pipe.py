"""Tube flow: against an independent integration, limits, there and back. Printed values stand in tests/references."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from slake.ground.problems import OutsideRange
from slake.paste.pipe import (
    Tube,
    YieldFluid,
    apparent_shear_rate_per_s,
    plug_share,
    tube_flow_m3_s,
    tube_pressure_pa,
    wall_stress_pa,
)

CASES = [
    (300.0, 50.0, 0.5, 1e-3, 1.0, 1e6),
    (100.0, 10.0, 1.0, 1e-2, 1.0, 1e5),
    (900.0, 400.0, 0.35, 1e-3, 0.015, 2e5),
    (0.0, 12.0, 0.7, 5e-4, 0.02, 5e4),
    (2000.0, 30.0, 0.9, 3e-2, 0.15, 4.3e4),
]


def by_quadrature(tau0: float, k: float, n: float, radius: float, wall: float) -> float:
    """Q = pi R^3 / tau_w^3 x integral of tau^2 x shear rate over tau from tau0 to tau_w (Rabinowitsch)."""
    inside, _ = quad(lambda tau: tau**2 * ((tau - tau0) / k) ** (1 / n), tau0, wall, epsabs=0, epsrel=1e-12, limit=200)
    return math.pi * radius**3 / wall**3 * inside


@pytest.mark.parametrize(("tau0", "k", "n", "radius", "length", "pressure"), CASES)
def test_flow_is_the_integral_of_the_law(tau0, k, n, radius, length, pressure) -> None:
    """Outside: scipy's quadrature of the local law, nothing of the closed form in it."""
    paste, tube = (
        YieldFluid(yield_stress_pa=tau0, consistency_pa=k, flow_index=n),
        Tube(radius_m=radius, length_m=length),
    )
    wanted = by_quadrature(tau0, k, n, radius, wall_stress_pa(pressure, tube))
    assert wanted > 0
    assert tube_flow_m3_s(paste, tube, pressure) == pytest.approx(wanted, rel=1e-9)


def test_without_yield_stress_and_index_one_it_is_poiseuille() -> None:
    paste, tube = YieldFluid(yield_stress_pa=0, consistency_pa=12, flow_index=1), Tube(radius_m=1e-3, length_m=0.02)
    got = tube_pressure_pa(paste, tube, 1e-8)
    assert got == pytest.approx(8 * 12 * 0.02 * 1e-8 / (math.pi * 1e-3**4), rel=1e-9)


@settings(deadline=None)
@given(st.floats(0, 1e4), st.floats(0.1, 1e4), st.floats(0.15, 1.2), st.floats(1e-10, 1e-4))
def test_pressure_and_flow_there_and_back(tau0: float, k: float, n: float, flow: float) -> None:
    paste, tube = YieldFluid(yield_stress_pa=tau0, consistency_pa=k, flow_index=n), Tube(radius_m=1e-3, length_m=0.015)
    pressure = tube_pressure_pa(paste, tube, flow)
    over = wall_stress_pa(pressure, tube) - tau0
    if over < 1e-5 * tau0:  # the difference of two nearly equal numbers bears no more
        assert over >= 0
        return
    assert tube_flow_m3_s(paste, tube, pressure) == pytest.approx(flow, rel=1e-5)


@pytest.mark.parametrize("share", [0.0, 0.5, 0.999, 1.0])
def test_below_the_threshold_nothing_flows_at_all(share: float) -> None:
    paste, tube = YieldFluid(yield_stress_pa=800, consistency_pa=90, flow_index=0.4), Tube(radius_m=1e-3, length_m=0.02)
    threshold = 800 * 2 * 0.02 / 1e-3
    flow = tube_flow_m3_s(paste, tube, share * threshold)
    assert flow == 0.0 and isinstance(flow, float)
    assert tube_pressure_pa(paste, tube, 0.0) == threshold
    assert tube_flow_m3_s(paste, tube, 1.2 * threshold) > 0


@pytest.mark.parametrize(("tau0", "k", "n", "radius", "length", "pressure"), [case for case in CASES if case[0] > 0])
def test_the_plug_is_the_same_law_worked_the_other_way(tau0, k, n, radius, length, pressure) -> None:
    paste, tube = (
        YieldFluid(yield_stress_pa=tau0, consistency_pa=k, flow_index=n),
        Tube(radius_m=radius, length_m=length),
    )
    speed = tube_flow_m3_s(paste, tube, pressure) / (math.pi * radius**2)
    got = plug_share(np.array([k * (speed / radius) ** n / tau0]), n)
    assert got[0] == pytest.approx(tau0 / wall_stress_pa(pressure, tube), rel=1e-6)


def test_a_paste_that_does_not_move_is_all_plug() -> None:
    assert plug_share(np.array([0.0, 1e9]), np.array([0.4, 0.4])) == pytest.approx([1.0, 0.0], abs=1e-6)


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_bad_numbers_are_refused(bad: float) -> None:
    paste, tube = YieldFluid(yield_stress_pa=800, consistency_pa=90, flow_index=0.4), Tube(radius_m=1e-3, length_m=0.02)
    for call in (
        lambda: tube_flow_m3_s(paste, tube, bad),
        lambda: tube_pressure_pa(paste, tube, bad),
        lambda: YieldFluid(yield_stress_pa=bad, consistency_pa=1, flow_index=1),
        lambda: YieldFluid(yield_stress_pa=1, consistency_pa=bad, flow_index=1),
        lambda: YieldFluid(yield_stress_pa=1, consistency_pa=1, flow_index=bad),
        lambda: Tube(radius_m=bad, length_m=1),
        lambda: apparent_shear_rate_per_s(1e-8, bad),
    ):
        with pytest.raises(OutsideRange):
            call()
    with pytest.raises(OutsideRange):
        plug_share(np.array([-1.0]), 0.5)
