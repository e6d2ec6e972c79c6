"""The force there is, after pushes: it moves to what was seen, never below what was pushed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slake.campaign.verdict import practice
from slake.campaign.verdict.force import FORCE_READ_SD_LOG, force_seen
from slake.campaign.verdict.spread import known


def test_without_pushes_it_stays():
    assert force_seen(practice.FORCE, [], []) == practice.FORCE


def test_a_push_that_ran_at_more_than_is_usual_lifts_it():
    found = force_seen(practice.FORCE, [420.0], [])
    assert found.mid > 0.95 * 420 and found.range80().high > 420 and not found.guessed
    assert found.sd_log < practice.FORCE.sd_log


def test_a_light_push_says_nothing():
    assert force_seen(practice.FORCE, [20.0], []) == practice.FORCE


def test_a_stall_says_how_much_there_is():
    found = force_seen(practice.FORCE, [], [300.0])
    assert found.mid == pytest.approx(300, rel=0.06) and found.sd_log <= FORCE_READ_SD_LOG
    assert "stalled at 300 N" in found.basis


def test_a_stall_below_what_once_ran_is_not_the_force_there_is():
    assert force_seen(practice.FORCE, [300.0], [100.0]) == force_seen(practice.FORCE, [300.0], [])


def test_a_measured_force_that_was_pushed_past_gives_way():
    found = force_seen(known(151, 0.1, "measured"), [420.0], [])
    assert found.mid > 250 and "measured" in found.basis and "pushed 420 N" in found.basis


@pytest.mark.parametrize("pushed", [100.0, 180.0, 260.0])
def test_the_push_is_counted_as_plain_draws_count_it(pushed):
    """200,000 draws of the force before, kept where a blurred reading of the push is not above it."""
    rng = np.random.default_rng(7)
    log_have = math.log(practice.FORCE.mid) + practice.FORCE.sd_log * rng.standard_normal(200_000)
    kept = log_have[log_have + FORCE_READ_SD_LOG * rng.standard_normal(200_000) >= math.log(pushed)]
    found = force_seen(practice.FORCE, [pushed], [])
    assert math.log(found.mid) == pytest.approx(kept.mean(), abs=0.02)
    assert found.sd_log == pytest.approx(kept.std(), abs=0.02)
