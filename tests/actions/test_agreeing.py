"""Readings of one batch put together: agreement gives one range, a planted cause is named, other paste left out."""

from __future__ import annotations

import pytest

from slake.actions.agreeing import agreeing
from slake.actions.mixing import begin_batch, start_clock, weigh
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading, strike
from slake.bench.causes import Cause


@pytest.fixture
def batch(first_day, entry):
    return start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)


def cone(entry, batch, minutes, depth, **more):
    return log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth, **more})


def test_two_readings_that_agree_raise_nothing_and_narrow_the_range(batch, entry):
    cone(entry, batch, 60, "14")
    alone = agreeing(batch)
    cone(entry, batch, 62, "14,3")
    found = agreeing(batch)
    assert alone.joint == () and alone.disagreements == ()
    assert found.disagreements == ()
    assert [(joint.readings, joint.at_min) for joint in found.joint] == [(2, 61)]
    assert found.joint[0].words.startswith("yield stress ") and "(80 %: " in found.joint[0].words


def test_a_slip_by_ten_is_named_and_a_struck_line_is_forgotten(batch, entry):
    cone(entry, batch, 60, "14")
    slip = cone(entry, batch, 61, "14,2", cone_mass_g="300")
    found = agreeing(batch).disagreements
    assert [one.cause for one in found] == [Cause.SLIP_BY_TEN]
    assert "30 g and not 300" in found[0].words
    strike(entry(70), "reading", slip.pk, "typed wrong")
    assert agreeing(batch).disagreements == ()


def test_age_is_named(batch, entry):
    cone(entry, batch, 10, "17")
    cone(entry, batch, 120, "12")
    found = agreeing(batch)
    assert [one.cause for one in found.disagreements] == [Cause.AGE]
    assert found.joint == ()


def test_what_was_read_before_more_went_in_is_of_another_paste(batch, entry):
    cone(entry, batch, 30, "9")
    order = batch.amounts.first().order
    weigh(entry(40), batch.pk, order, "20")
    cone(entry, batch, 60, "15")
    assert agreeing(batch).disagreements == ()
