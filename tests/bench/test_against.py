"""Readings against their aim: a repeat narrows the range, an instrument in common costs nothing."""

from __future__ import annotations

import math

import pytest

from slake.bench.against import times_the_aim
from slake.bench.declaration import Context
from slake.bench.shelf import all_tests
from slake.bench.together import Look
from slake.ground.evidence import Z80

CONE, SLUMP = all_tests()["fall_cone"], all_tests()["slump"]


def cone(depth: str, mass: str = "30", angle: str = "30", scatter: float | None = 0.1) -> Look:
    raw = CONE.read({"cone_depth_mm": depth, "cone_mass_g": mass, "cone_angle": angle})
    return Look(called=depth, test=CONE, raw=raw, context=Context(age_s=3600.0), scatter=scatter)


def test_one_reading_has_its_own_scatter_and_no_calibration_error_of_the_cone_it_shares() -> None:
    found = times_the_aim([cone("10")], cone("20"))
    assert found is not None and found.mid == pytest.approx(4.0, rel=0.02), "Hansbo: stress goes as depth to the -2"
    assert math.log(found.high / found.low) == pytest.approx(2 * Z80 * 0.1, rel=1e-3)


@pytest.mark.parametrize("times", [2, 3, 9])
def test_repeats_average_out(times: int) -> None:
    one, many = times_the_aim([cone("10")], cone("20")), times_the_aim([cone("10")] * times, cone("20"))
    assert one is not None and many is not None and many.mid == pytest.approx(one.mid)
    narrower = math.log(one.high / one.low) / math.log(many.high / many.low)
    assert narrower == pytest.approx(times**0.5, rel=1e-3)


def test_a_reading_of_another_test_keeps_its_calibration_error() -> None:
    pascals = cone("30").evidence.low
    assert pascals is not None
    height = SLUMP.forward(pascals, Context())
    other = Look(called="slump", test=SLUMP, raw=SLUMP.quick(height), context=Context(age_s=3600.0), scatter=0.1)
    alone, own = times_the_aim([other], cone("20")), times_the_aim([cone("30")], cone("20"))
    assert alone is not None and own is not None
    assert alone.high / alone.low > 1.2 * own.high / own.low


def test_nothing_exact_says_nothing() -> None:
    assert times_the_aim([], cone("20")) is None
