"""Side by side: every reading that stands counts for how near a batch came, and figures are what a reading bears."""

from __future__ import annotations

import pytest

from slake.actions.reading import log_reading, strike
from slake.actions.side_by_side import near_to_brief, side_by_side
from slake.actions.striking import strike_batch
from slake.records.models import Batch
from tests.pages.begun import begin


@pytest.fixture
def pair(databases, entry):
    first = begin()
    second = Batch.objects.create(number=first.number + 1, recipe=first.recipe, since=first.since, water_g=100)
    return first, second


def cone(batch, entry, minutes: float, depth: str):
    return log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})


def test_every_reading_that_stands_counts_for_nearness(pair, entry):
    batch, _ = pair
    assert near_to_brief(batch) is None
    out = cone(batch, entry, 60, "11,25")
    cone(batch, entry, 70, "20")
    # the brief asks 15 to 25 mm: 11.25 is half way down to 7.5 mm, where nothing is left of the line; 20 is inside
    assert near_to_brief(batch) == pytest.approx((0.5 + 1.0) / 2)
    strike(entry(80), "reading", out.pk, "the cone was not level")
    assert near_to_brief(batch) == 1.0


def test_a_reading_is_told_with_the_figures_it_bears(pair, entry):
    first, second = pair
    cone(first, entry, 60, "15,25")
    log_reading(entry(70), "crack_grade", ("batch", first.pk), {"crack_grade": "2"})
    told = {fact.what: fact.first for fact in side_by_side(first, second).facts}
    assert told["read: fall cone"].startswith("15.2 mm") and "15.25" not in told["read: fall cone"]
    assert any(words.startswith("grade 2") for words in told.values())
    assert not any("2 grade" in words for words in told.values())


def test_nothing_is_worked_out_from_a_struck_batch(pair, entry):
    first, second = pair
    strike_batch(entry(), second.pk, "spilt")
    found = side_by_side(first, second)
    assert f"batch {second.number} is struck" in found.trouble and found.differences == ()
