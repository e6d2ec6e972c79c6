"""A struck batch is kept and shown, and teaches nothing until it is taken in again."""

from __future__ import annotations

from datetime import timedelta

import pytest

from slake.actions.campaign import tell
from slake.actions.entry import Entry
from slake.actions.proposing import tried
from slake.actions.reading import log_reading
from slake.actions.readings_told import lately_repeated
from slake.actions.striking import strike_batch
from slake.actions.trends import followed, trend
from slake.demo import telling
from slake.ground.problems import Problem
from slake.records.models import Batch, BatchStrike, Reading
from slake.records.struck import standing_batches, strike_of
from slake.records.which import SAMPLE, using
from tests.actions.conftest import MORNING

LATER = MORNING + timedelta(hours=8)


@pytest.fixture
def workshop(databases):
    with using(SAMPLE):
        telling.load(LATER)
        yield Batch.objects.get(number=5)


def said(name: str) -> Entry:
    return Entry(id=name, at=LATER)


def seen_in() -> dict[str, set[int]]:
    """Batch numbers wherever a bench learns from them."""
    return {
        "belief": {batch.number for batch in tell().batches},
        "map": {one.batch.number for one in tried()},
        "trend": {point.batch.number for point in trend(followed("yield_stress_pa"))},
    }


def test_a_struck_batch_is_left_out_of_belief_map_and_trend_and_comes_back(workshop):
    before, evidence = seen_in(), tell().seen
    assert all(5 in numbers for numbers in before.values())
    strike_batch(said("s"), workshop.pk, "the water was typed wrong")
    assert {name: numbers - {5} for name, numbers in before.items()} == seen_in()
    assert tell().seen != evidence and tell().left_out == 0
    strike_batch(said("u"), workshop.pk, "the water was right after all", undone=True)
    assert (seen_in(), tell().seen) == (before, evidence)


def test_nothing_of_it_is_erased_and_the_last_line_stands(workshop):
    kept = (Batch.objects.count(), Reading.objects.filter(batch=workshop).count())
    strike_batch(said("s"), workshop.pk, "spilt")
    assert strike_of(workshop).reason == "spilt" and workshop not in standing_batches()
    strike_batch(said("u"), workshop.pk, "it was another one", undone=True)
    assert strike_of(workshop) is None and workshop in standing_batches()
    assert BatchStrike.objects.count() == 2
    assert (Batch.objects.count(), Reading.objects.filter(batch=workshop).count()) == kept


def test_the_same_entry_twice_is_one_line(workshop):
    first, again = (strike_batch(said("s"), workshop.pk, "spilt") for _ in range(2))
    assert first == again and BatchStrike.objects.count() == 1


@pytest.mark.parametrize(
    ("reason", "undone", "says"),
    [("", False, "reason is empty"), ("x" * 2001, False, "2001"), ("why", True, "is not struck")],
)
def test_a_line_that_says_nothing_is_refused(workshop, reason, undone, says):
    with pytest.raises(Problem, match=says):
        strike_batch(said("s"), workshop.pk, reason, undone)
    assert not BatchStrike.objects.exists()


def test_a_struck_batch_is_struck_once(workshop):
    strike_batch(said("s"), workshop.pk, "spilt")
    with pytest.raises(Problem, match="already struck"):
        strike_batch(said("t"), workshop.pk, "spilt again")


def test_repeats_of_a_struck_batch_do_not_count(workshop):
    for number, depth in enumerate(("15", "16")):
        log_reading(said(f"r{number}"), "fall_cone", ("batch", workshop.pk), {"cone_depth_mm": depth})
    assert lately_repeated(["fall_cone"])["cone_depth_mm"].repeats == 1
    strike_batch(said("s"), workshop.pk, "the cone was dropped")
    assert "cone_depth_mm" not in lately_repeated(["fall_cone"])
