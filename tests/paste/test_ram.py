"""What a ram must push: our own table of forces, limits, scaling and refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.lands import ends_of_lands
from slake.paste.ram import (
    Barrel,
    entry_pressure_pa,
    land_pressure_pa,
    ram_force_n,
    screw_force_n,
    speed_stress_pa,
)

WIDE = Barrel(barrel_m=0.060, nozzle_m=0.002)


def slow_force(yield_stress: float, barrel: Barrel, land: float, fill: float) -> float:
    """Barely moving: entry at sqrt3 x yield stress, walls at half of it (common practice)."""
    wall = yield_stress / 2
    pressure = entry_pressure_pa(math.sqrt(3) * yield_stress, barrel)
    pressure = pressure + land_pressure_pa(wall, land, barrel.nozzle_m) + land_pressure_pa(wall, fill, barrel.barrel_m)
    return float(ram_force_n(pressure, barrel, 0.0))


@pytest.mark.parametrize(("pascals", "newtons", "half_last_digit"), [(300, 27, 0.5), (1000, 90, 0.5), (3000, 270, 1.5)])
def test_force_table_worked_by_hand(pascals: float, newtons: float, half_last_digit: float) -> None:
    """Own arithmetic: 60 mm barrel, 2 mm nozzle, 15 mm land, 150 mm fill. Checks the coding, not the physics."""
    assert slow_force(pascals, WIDE, 0.015, 0.150) == pytest.approx(newtons, abs=half_last_digit)


def test_a_finer_nozzle_costs_as_worked_by_hand() -> None:
    """Own arithmetic: 2 to 1 mm is x1.65 for entry and land, x1.55 with the barrel, at equal yield stress."""
    fine = Barrel(barrel_m=0.060, nozzle_m=0.001)
    assert slow_force(1000, fine, 0.015, 0.0) / slow_force(1000, WIDE, 0.015, 0.0) == pytest.approx(1.65, abs=0.005)
    assert slow_force(1000, fine, 0.015, 0.15) / slow_force(1000, WIDE, 0.015, 0.15) == pytest.approx(1.55, abs=0.005)


@pytest.mark.parametrize(
    ("torque", "lead", "low", "high"),
    [(0.4, 0.008, 165, 210), (0.4, 0.002, 320, 460)],
)
def test_screw_forces_lie_about_the_usual_ones(torque: float, lead: float, low: float, high: float) -> None:
    """Own arithmetic: 0.4 N m on a lead of 8 mm is 165 to 210 N, on 2 mm 320 to 460 N, within the usual efficiency."""
    ideal = screw_force_n(torque, lead, 1.0)
    assert low / ideal + 0.005 >= 0.25 and high / ideal <= 0.67


def test_lossless_drive_keeps_the_energy_of_a_turn() -> None:
    assert screw_force_n(0.4, 0.008, 1.0) * 0.008 == pytest.approx(2 * math.pi * 0.4)


@given(st.floats(10, 1e5), st.floats(0.001, 0.05), st.floats(0.001, 0.05))
def test_two_lands_give_the_wall_stress_back(wall: float, short: float, more: float) -> None:
    pressures = [float(land_pressure_pa(wall, length, 0.002)) for length in (short, short + more)]
    found = ends_of_lands([short / 0.002, (short + more) / 0.002], pressures)
    assert found.wall_stress_pa == pytest.approx(wall, rel=1e-6)


def test_limits_of_each_part() -> None:
    assert entry_pressure_pa(1000, Barrel(barrel_m=0.02, nozzle_m=0.02 * (1 - 1e-12))) == pytest.approx(0, abs=1e-6)
    assert land_pressure_pa(500, 0.0, 0.002) == 0
    assert ram_force_n(0.0, WIDE, 25.0) == 25
    assert speed_stress_pa(500, 300, 0.0, 0.4) == 500 and speed_stress_pa(500, 300, 1.0, 0.4) == 800


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_bad_numbers_are_refused(bad: float) -> None:
    for call in (
        lambda: Barrel(barrel_m=bad, nozzle_m=0.002),
        lambda: Barrel(barrel_m=0.06, nozzle_m=bad),
        lambda: screw_force_n(bad, 0.008, 0.5),
        lambda: screw_force_n(0.4, bad, 0.5),
        lambda: screw_force_n(0.4, 0.008, bad),
        lambda: land_pressure_pa(500, 0.01, bad),
    ):
        with pytest.raises(OutsideRange):
            call()


def test_a_nozzle_as_wide_as_the_barrel_or_a_drive_that_gains_is_refused() -> None:
    with pytest.raises(OutsideRange):
        Barrel(barrel_m=0.02, nozzle_m=0.02)
    with pytest.raises(OutsideRange):
        screw_force_n(0.4, 0.008, 1.2)
