"""What only the bench session does: accepting an overshoot, saying the room for the batch in hand."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from slake.actions.at_the_bench import (
    accept_as_it_is,
    accepting,
    factor_words,
    overshoot_to_decide,
    require_same,
    say_room_here,
)
from slake.actions.entry import Entry
from slake.actions.mixing import weigh
from slake.actions.setting_up import say_room
from slake.ground.problems import MovedOn, Problem
from slake.records.models import Action, Batch, Room
from tests.pages.begun import begin


def entry(name: str) -> Entry:
    return Entry(id=name, at=datetime.now(UTC))


@pytest.fixture
def batch(databases) -> Batch:
    return begin()


@pytest.fixture
def gum(batch: Batch):
    return next(row for row in batch.amounts.all() if row.lot and row.lot.role == "thickener")


def test_an_overshoot_within_the_tolerance_is_none_to_decide(batch: Batch, gum):
    weigh(entry("w1"), batch.pk, gum.order, f"{gum.target_g + 0.1:.1f}")
    assert overshoot_to_decide(batch) is None


def test_what_is_still_to_come_is_counted_in_what_accepting_makes(batch: Batch, gum):
    """Water and half the shell are in, 1.5 g of gum too much: the rest of the shell goes in as planned."""
    for number, row in enumerate(batch.amounts.filter(order__lt=gum.order)):
        weigh(entry(f"b{number}"), batch.pk, row.order, f"{row.target_g:.1f}")
    assert any(row.lot and row.lot.role == "filler" for row in batch.amounts.filter(order__lt=gum.order))
    weigh(entry("w1"), batch.pk, gum.order, f"{gum.target_g + 1.5:.1f}")
    then = accepting(batch, overshoot_to_decide(batch))
    assert then.water_then == pytest.approx(then.water_asked, rel=0.01)
    assert then.gum_then == pytest.approx(then.gum_asked * (gum.target_g + 1.5) / gum.target_g, rel=0.01)


def test_accepting_gum_says_stiffer_paste_and_changes_no_amount(batch: Batch, gum):
    """More thickener in the same water stiffens: the cone sinks less. Practice, no source."""
    weigh(entry("w1"), batch.pk, gum.order, f"{gum.target_g + 3:.1f}")
    over = overshoot_to_decide(batch)
    then = accepting(batch, over)
    assert then.gum_then > then.gum_asked and then.cone_then.mid < then.cone_asked.mid
    assert then.cone_then.low < then.cone_then.mid < then.cone_then.high
    before = list(batch.amounts.values_list("target_g", flat=True))
    accept_as_it_is(entry("a1"), batch.pk, factor_words(over))
    assert list(batch.amounts.values_list("target_g", flat=True)) == before
    assert overshoot_to_decide(batch) is None


def test_more_of_it_later_is_asked_again(batch: Batch, gum):
    weigh(entry("w1"), batch.pk, gum.order, f"{gum.target_g + 3:.1f}")
    accept_as_it_is(entry("a1"), batch.pk)
    weigh(entry("w2"), batch.pk, gum.order, "1")
    assert overshoot_to_decide(batch).over_g == pytest.approx(4.0, abs=0.05)


def test_what_is_no_longer_so_is_not_decided_on(batch: Batch, gum):
    with pytest.raises(MovedOn, match="nothing on the pan is over"):
        require_same(batch, "1.2")
    weigh(entry("w1"), batch.pk, gum.order, f"{gum.target_g + 3:.1f}")
    with pytest.raises(MovedOn, match=r"not 1\.001"):
        accept_as_it_is(entry("a1"), batch.pk, "1.001")
    assert not Action.objects.filter(name="accept overshoot").exists()


def test_the_room_goes_to_the_batch_and_the_water_stays_said(batch: Batch):
    say_room(entry("r0"), {"water_hardness_mg_l": "210"})
    for _ in range(2):
        say_room_here(entry("r1"), batch.pk, {"temperature_c": "19,5", "humidity_percent": "60"})
    batch.refresh_from_db()
    assert (batch.temperature_c, batch.humidity_percent) == (19.5, 60)
    assert Room.objects.count() == 2 and Room.objects.last().water_hardness_mg_l == 210


@pytest.mark.parametrize("typed", [{}, {"temperature_c": "nan"}, {"temperature_c": "400"}, {"humidity_percent": "-1"}])
def test_a_bad_room_leaves_nothing_behind(batch: Batch, typed: dict[str, str]):
    with pytest.raises(Problem):
        say_room_here(entry("r1"), batch.pk, typed)
    assert not Room.objects.exists() and not Action.objects.filter(entry__startswith="r1").exists()
