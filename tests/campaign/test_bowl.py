"""What a reading says to do at the bowl."""

from __future__ import annotations

import math

import pytest

from slake.campaign.bowl import SLOPE, step_to_window
from slake.ground.evidence import Range


def about(mid: float) -> Range:
    return Range(low=mid * 0.95, mid=mid, high=mid * 1.05)


def test_too_soft_and_young_is_told_to_wait_until_an_hour():
    assert step_to_window(about(0.5), 0.35, 20 * 60).wait_s == pytest.approx(40 * 60)
    assert step_to_window(about(0.5), 0.35, 60 * 60).wait_s is None
    assert step_to_window(about(2.0), 0.35, 5 * 60).wait_s is None


def test_stiff_wants_water_and_soft_wants_filler():
    stiff, soft = (step_to_window(about(r), 0.35, 3600).water_per_dry_change for r in (2.0, 0.5))
    assert stiff.low > 0 and soft.high < 0
    assert stiff.mid == pytest.approx(-soft.mid)


def test_thirsty_solids_want_more_water_for_the_same_step():
    """Common practice, no source: 0.01 g/g moves shell by 13 % and cellulose by 2.5 %."""
    shell, leaf = (step_to_window(about(1.13), demand, 3600).water_per_dry_change for demand in (0.35, 2.5))
    assert leaf.mid == pytest.approx(shell.mid * 2.5 / 0.35)
    assert shell.low < 0.01 < shell.high


def test_the_middle_slope_lies_between_what_practice_says_of_shell_and_of_cellulose():
    """Common practice, no source: -13 % per 0.01 g/g at a demand of 0.35, -2.5 % at 2.5 g/g."""
    said = (-math.log(1 - 0.13) / 0.01 * 0.35, -math.log(1 - 0.025) / 0.01 * 2.5)
    assert min(said) <= SLOPE.mid <= max(said)
    assert SLOPE.low < min(said) and max(said) < SLOPE.high


def test_a_wider_reading_gives_a_wider_answer():
    narrow = step_to_window(about(2.0), 0.35, 3600).water_per_dry_change
    wide = step_to_window(Range(low=1.2, mid=2.0, high=3.0), 0.35, 3600).water_per_dry_change
    assert wide.low < narrow.low < narrow.high < wide.high
