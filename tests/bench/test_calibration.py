"""A named instrument's own calibration error: shared by its readings, the common part by all, the total unchanged."""

from __future__ import annotations

import math

import pytest

from slake.bench.calibration import Calibration
from slake.bench.declaration import Context
from slake.bench.fall_cone import TEST as CONE
from slake.bench.together import Look, covariance, together

MADE = Calibration(common_key="factor", kind="cone", total=0.38, own=0.1)


def look(depth: str, which: str) -> Look:
    raw = CONE.read({"cone_depth_mm": depth})
    return Look(called=f"cone {which}", test=CONE, raw=raw, context=Context(with_which=which))


def test_not_known_is_one_error_known_is_two_of_the_same_total():
    assert MADE.shared("") == {"factor": 0.38}
    named = MADE.shared("the blue cone")
    assert set(named) == {"factor", "cone:the blue cone"}
    assert math.hypot(*named.values()) == pytest.approx(0.38)


def test_an_own_part_is_never_more_than_the_total():
    small = Calibration(common_key="factor", kind="cone", total=0.05, own=0.1).shared("blue")
    assert small == {"factor": 0.0, "cone:blue": 0.05}


def test_naming_the_cone_changes_no_range_of_one_reading():
    unnamed, named = look("16", "").evidence, look("16", "blue").evidence
    assert named.total_sd == pytest.approx(unnamed.total_sd)
    assert named.range80().low == pytest.approx(unnamed.range80().low)
    assert named.range80().high == pytest.approx(unnamed.range80().high)


def test_one_cone_shares_all_of_it_and_two_cones_only_the_common_part():
    total = math.hypot(*look("16", "").evidence.shared.values())
    same = covariance([look("16", "blue"), look("15", "blue")])[0, 1]
    other = covariance([look("16", "blue"), look("15", "red")])[0, 1]
    assert same == pytest.approx(total**2)
    assert other == pytest.approx(total**2 - 0.1**2)


def test_two_cones_together_know_more_than_one_cone_twice():
    def width(*looks: Look) -> float:
        found = together(looks).range80
        return math.log(found.high / found.low)

    assert width(look("16", "blue"), look("16", "red")) < width(look("16", "blue"), look("16", "blue"))
