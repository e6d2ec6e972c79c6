"""Fall cone against the printed check numbers: own arithmetic on hansbo1957, factor 0.8 (30 deg), g 9.81."""

from __future__ import annotations

import math

import pytest

from slake.bench.declaration import Context
from slake.bench.fall_cone import TEST
from slake.ground.problems import OutsideRange


def evidence(**typed: str):
    return TEST.inverse(TEST.read(typed), Context())


@pytest.mark.parametrize(("mass", "depth", "pascals"), [("80", "20", 1570), ("30", "16,0", 920)])
def test_depth_to_yield_stress(mass: str, depth: str, pascals: float):
    assert evidence(cone_depth_mm=depth, cone_mass_g=mass).low == pytest.approx(pascals, abs=0.5)


@pytest.mark.parametrize(("pascals", "depth_mm", "half_digit"), [(300, 28, 0.5), (1000, 15.3, 0.05), (3000, 8.9, 0.05)])
def test_yield_stress_to_depth_with_the_typical_cone(pascals: float, depth_mm: float, half_digit: float):
    assert TEST.forward(pascals, Context()) == pytest.approx(depth_mm, abs=half_digit)


def test_the_cone_that_was_used_is_the_cone_expected():
    heavy = {"cone_mass_g": 0.08, "cone_angle": "30"}
    assert TEST.forward(1570, Context(instrument=heavy)) == pytest.approx(20, abs=0.05)
    wide = {"cone_mass_g": 0.06, "cone_angle": "60"}
    assert TEST.forward(397.3, Context(instrument=wide)) == pytest.approx(20, abs=0.05)


def test_half_a_millimetre_is_six_to_seven_percent_at_16_mm():
    assert evidence(cone_depth_mm="16").scatter == pytest.approx(0.065, abs=0.005)


def test_a_reading_knows_pascals_to_about_40_percent():
    span = evidence(cone_depth_mm="16").range80()
    assert span.high / span.mid - 1 == pytest.approx(0.64, abs=0.05)
    assert 1 - span.low / span.mid == pytest.approx(0.39, abs=0.03)


def test_most_of_the_factor_is_shared_by_all_cones_and_a_little_by_one_angle():
    sharp, again = evidence(cone_depth_mm="16"), evidence(cone_depth_mm="9", cone_mass_g="80")
    wide = evidence(cone_depth_mm="16", cone_mass_g="60", cone_angle="60 deg")
    assert sharp.shared == again.shared
    assert math.hypot(*sharp.shared.values()) == pytest.approx(0.38, abs=0.005)
    assert set(sharp.shared) == {"cone_factor", "cone_factor_30"} and set(wide.shared) == {
        "cone_factor",
        "cone_factor_60",
    }
    assert wide.shared["cone_factor"] == pytest.approx(sharp.shared["cone_factor"], rel=0.02)
    assert sharp.shared["cone_factor"] > 2 * sharp.shared["cone_factor_30"]
    assert "guess" in wide.note


@pytest.mark.parametrize(
    ("depth", "said"), [("5", "heavier"), ("6.9", "heavier"), ("7", ""), ("20", ""), ("20.1", "lighter")]
)
def test_outside_7_to_20_mm_it_says_so(depth: str, said: str):
    note = evidence(cone_depth_mm=depth).note
    assert said in note and bool(note) == bool(said)


@pytest.mark.parametrize("depth", ["0", "1", "1.4", "41"])
def test_a_cone_that_hardly_marks_or_is_swallowed_is_refused(depth: str):
    with pytest.raises(OutsideRange, match="heavier cone"):
        evidence(cone_depth_mm=depth)
