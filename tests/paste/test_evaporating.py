"""Evaporation: both laws, the face's own cooling between its two ends, and what practice reads."""

from __future__ import annotations

import numpy as np
import pytest

from slake.ground.problems import OutsideRange
from slake.paste import evaporating as ev
from slake.paste import moist_air
from slake.paste.moist_air import Air

GRAMS_M2_H = 3.6e6


def around(celsius=20.0, humidity=0.5, transfer=None, sees=0.6, speed=0.1) -> ev.Around:
    transfer = float(ev.pool_transfer(speed, celsius + 273.15)) if transfer is None else transfer
    values = (celsius + 273.15, humidity, transfer, sees)
    return ev.Around(
        **{
            name: np.array([value])
            for name, value in zip(("temperature_k", "humidity", "transfer", "sees_room"), values, strict=True)
        }
    )


@pytest.mark.parametrize(("celsius", "humidity"), [(10, 0.6), (20, 0.5), (25, 0.3), (35, 0.2)])
def test_a_face_that_nothing_warms_rests_at_the_wet_bulb_of_the_library(celsius, humidity):
    wet_bulb = moist_air.wet_bulb_k(Air(temperature_k=celsius + 273.15, humidity=humidity))
    assert ev.surface_k(around(celsius, humidity, sees=0.0))[0] == pytest.approx(wet_bulb, abs=0.15)


@pytest.mark.parametrize("speed", [0.0, 0.1, 0.5, 2.0])
def test_the_face_lies_between_wet_bulb_and_air_and_so_does_its_flux(speed):
    found = ev.wet_face(around(speed=speed))
    wet_bulb = moist_air.wet_bulb_k(Air(temperature_k=293.15, humidity=0.5))
    assert wet_bulb - 0.1 < found.face_k[0] < 293.15
    assert found.flux_at_wet_bulb[0] < found.flux[0] < found.flux_at_air[0]


def test_a_draught_brings_the_face_nearer_to_the_wet_bulb():
    faces = [ev.surface_k(around(speed=speed))[0] for speed in (0.0, 0.3, 1.0, 3.0)]
    assert faces == sorted(faces, reverse=True)


def test_heat_in_equals_heat_out_at_the_face():
    there = around()
    face = ev.surface_k(there)
    takes = ev.flux_kg_m2_s(there, face) * moist_air.evaporation_heat_j_kg(float(face[0]))
    brings = (ev.convected_w_m2_k(there.transfer) + 0.6 * ev.radiated_w_m2_k(there.temperature_k)) * (293.15 - face)
    assert takes == pytest.approx(brings, rel=1e-6)


def test_black_walls_of_a_room_send_six_watts_per_kelvin():
    """Handbooks print 5.7 to 6 W/m2 K for black faces near 20 C (memory)."""
    assert float(ev.radiated_w_m2_k(293.15)) / ev.EMISSIVITY == pytest.approx(5.71, abs=0.01)


@pytest.mark.parametrize("law", [ev.pool_transfer, lambda v, t: ev.plate_transfer(v, 0.1, t)])
def test_both_laws_fall_into_what_practice_reads(law):
    """Common practice, no source: 30 to 60 g/m2 h in still air, 100 to 200 with a fan, at 20 C and half humid."""
    still = ev.wet_face(around(transfer=float(law(0.1, 293.15)))).flux[0] * GRAMS_M2_H
    fan = ev.wet_face(around(transfer=float(law(2.0, 293.15)))).flux[0] * GRAMS_M2_H
    assert 30 < still < 60 and 100 < fan < 200


def test_practice_of_damper_and_drier_rooms():
    """Common practice, no source: 1.2 times at 40 % and 0.6 times at 70 % humidity of what 50 % gives."""
    at = {h: ev.wet_face(around(humidity=h)).flux[0] for h in (0.4, 0.5, 0.7)}
    assert at[0.4] / at[0.5] == pytest.approx(1.2, abs=0.05) and at[0.7] / at[0.5] == pytest.approx(0.6, abs=0.05)


@pytest.mark.parametrize("sign", [1, -1])
def test_more_humidity_less_flux_more_speed_and_warmth_more(sign):
    base = ev.wet_face(around()).flux[0]
    assert sign * (ev.wet_face(around(humidity=0.5 + sign * 0.1)).flux[0] - base) < 0
    assert sign * (ev.wet_face(around(speed=0.1 + sign * 0.05)).flux[0] - base) > 0
    assert sign * (ev.wet_face(around(celsius=20 + sign * 3)).flux[0] - base) > 0


def test_between_the_laws_is_between_them_and_each_at_its_end():
    pool, plate = ev.pool_transfer(2.0, 293.15), ev.plate_transfer(2.0, 0.1, 293.15)
    assert ev.between_laws(pool, plate, 0.0) == pytest.approx(pool) and ev.between_laws(pool, plate, 1.0) == (
        pytest.approx(plate)
    )
    assert pool < ev.between_laws(pool, plate, 0.5) < plate


def test_air_damper_than_a_cold_face_takes_nothing():
    there = around(humidity=0.97)
    assert ev.flux_kg_m2_s(there, np.array([280.0]))[0] == 0.0


@pytest.mark.parametrize("speed", [-0.1, 40.0, float("nan")])
def test_no_such_wind(speed):
    with pytest.raises(OutsideRange, match="speed of the air"):
        ev.pool_transfer(speed, 293.15)


def test_no_such_face_or_lewis_number():
    with pytest.raises(OutsideRange, match="length of the face"):
        ev.plate_sherwood(1.0, 0.0)
    with pytest.raises(OutsideRange, match="Lewis"):
        ev.lewis_factor(0.0)
    assert ev.lewis_factor(1.0) == 1.0
