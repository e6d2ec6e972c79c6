"""The map of stiffness lies where most batches lie, and gives no number where none was tried."""

from __future__ import annotations

from datetime import timedelta

import pytest

from slake.actions.entry import Entry
from slake.actions.notebook import take_in
from slake.actions.stiffness_map import stiffness_map
from slake.actions.striking import strike_batch
from slake.campaign.seen_near import fence, near_what_was_tried
from slake.demo import telling
from slake.records.models import Batch
from slake.records.which import SAMPLE, using
from tests.actions.conftest import MORNING

NOW = MORNING + timedelta(hours=8)


@pytest.mark.parametrize(
    ("values", "inside", "outside"),
    [
        ([0.6, 0.65, 0.7, 0.7, 0.75, 0.8, 4.7], [0.3, 0.8, 2.0], [4.7, 0.2]),
        ([0.7, 0.7], [0.25, 2.0], [2.2, 0.2]),  # all alike: three times the middle and a third of it
    ],
)
def test_the_fence_holds_most_and_keeps_a_slip_out(values, inside, outside):
    low, high = fence(values, 0.04)
    assert all(low <= x <= high for x in inside) and not any(low <= x <= high for x in outside)


def test_between_two_batches_is_tried_and_beside_them_is_not():
    tried = near_what_was_tried([0.0, 0.5, 1.0], [0.0, 0.5, 1.0], [(0.0, 0.0), (1.0, 1.0)])
    assert [list(row) for row in tried] == [[True, False, False], [False, True, False], [False, False, True]]
    assert near_what_was_tried([0.0, 1.0], [0.0, 1.0], [(0.0, 0.0)]) == ((True, False), (False, False))


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch):
    monkeypatch.setattr("slake.actions.stiffness_map._kept", {})


def test_a_slip_of_ten_in_the_water_does_not_stretch_the_map(databases):
    with using(SAMPLE):
        telling.load(NOW)
        before = stiffness_map()
        take_in(Entry(id="n", at=NOW), "shell B 300, guar A 3, water 1900 - runny, cone 39 mm at 60 min")
        slip = Batch.objects.order_by("number").last()
        found = stiffness_map()
        assert [one.batch.number for one in found.off] == [slip.number]
        assert found.waters[-1] < 2 * before.waters[-1]
        shown = [
            one
            for line, near in zip(found.around, found.tried, strict=True)
            for one, tried in zip(line, near, strict=True)
            if tried and one
        ]
        assert shown and all(1 < one.mid < 1e5 for one in shown)
        strike_batch(Entry(id="s", at=NOW), slip.pk, "water typed ten times too large")
        assert stiffness_map() == before
