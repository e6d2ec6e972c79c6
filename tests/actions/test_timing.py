"""Timed steps of a batch: done, late, undone; what is next. The plan is common practice, no source."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import DatabaseError

from slake.actions.mixing import start_clock
from slake.actions.reading import log_reading, strike
from slake.actions.timing import say_step, timeline
from slake.ground.problems import Problem
from slake.records.models import Batch, StepDone
from tests.pages.begun import begin


@pytest.fixture
def batch(databases) -> Batch:
    return begin()


def row(batch: Batch, key: str):
    batch.refresh_from_db()
    return next(timed for timed in timeline(batch) if timed.step.key == key)


def coming(batch: Batch) -> str:
    batch.refresh_from_db()
    return next(timed.step.key for timed in timeline(batch) if timed.next)


def test_before_water_the_premix_is_next_and_nothing_has_a_time(batch, entry):
    assert coming(batch) == "premix" and all(timed.due is None for timed in timeline(batch))
    say_step(entry(), batch.pk, "premix")
    assert coming(batch) == "first_water"
    with pytest.raises(Problem, match=r"the clock .* does not run yet"):
        say_step(entry(), batch.pk, "knead")


def test_the_clock_is_the_first_step_and_gives_the_others_their_times(batch, entry):
    water = start_clock(entry(), batch.pk).first_water_at
    assert coming(batch) == "knead"
    assert row(batch, "cone").due == water + timedelta(minutes=60)
    with pytest.raises(Problem, match="no step called"):
        say_step(entry(), batch.pk, "first_water")


def test_late_said_moves_what_follows(batch, entry):
    water = start_clock(entry(), batch.pk).first_water_at
    say_step(entry(25), batch.pk, "knead")
    assert row(batch, "first_reading").due == water + timedelta(minutes=40)
    say_step(entry(20), batch.pk, "knead")
    assert row(batch, "first_reading").due == water + timedelta(minutes=35)
    assert StepDone.objects.count() == 2
    with pytest.raises(DatabaseError):
        StepDone.objects.update(undone=True)


def test_undone_is_not_done_and_can_be_done_again(batch, entry):
    start_clock(entry(), batch.pk)
    say_step(entry(14), batch.pk, "knead")
    assert row(batch, "knead").by_hand and coming(batch) == "first_reading"
    say_step(entry(15), batch.pk, "knead", undone=True)
    assert row(batch, "knead").done is None and coming(batch) == "knead"
    say_step(entry(16), batch.pk, "knead")
    assert coming(batch) == "first_reading"


def test_nothing_is_done_before_water_met_the_powder(batch, entry):
    start_clock(entry(30), batch.pk)
    with pytest.raises(Problem, match="before water met the powder"):
        say_step(entry(10), batch.pk, "knead")


def test_a_cone_read_is_a_step_done_and_struck_it_is_not(batch, entry):
    start_clock(entry(), batch.pk)
    early = log_reading(entry(31), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "22"})
    assert row(batch, "first_reading").done == early.at and coming(batch) == "cone"
    late = log_reading(entry(58), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "18"})
    assert row(batch, "cone").done == late.at and coming(batch) == "load"
    assert not row(batch, "cone").by_hand
    strike(entry(59), "reading", late.pk, "wrong cup")
    assert coming(batch) == "cone"
