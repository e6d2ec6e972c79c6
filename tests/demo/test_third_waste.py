"""The third waste of the sample workshop: it cracked, slake named the levers, the batch told next is what it gave."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from slake import demo
from slake.actions.campaign import tell
from slake.actions.levers import cracked, levers_of
from slake.actions.proposing import tried
from slake.records.models import Batch
from slake.records.which import SAMPLE, using

LAST_DAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
FIRST, SOLVED = 13, 14
USED = "skeleton+slower_drying"


@pytest.fixture
def told(databases):
    with using(SAMPLE):
        demo.load(LAST_DAY)
        yield


def test_the_first_leaf_print_cracked_and_broke_only_what_drying_does(told):
    assert FIRST in cracked(tell())
    (first,) = [one for one in tried() if one.batch.number == FIRST]
    broke = {line for line, held, _ in first.lines if held is False}
    assert len(broke) == 2 and any("crack" in line for line in broke) and any("shrinkage" in line for line in broke)


def test_slake_names_every_lever_of_a_thirsty_waste_after_it(told):
    then = tell(range(1, FIRST + 1))
    said = levers_of(FIRST, {}, then)
    keys = {way.key for way in said.levers.ways}
    assert {"less_thirsty", "skeleton", "finer_grind", "less_water", "slower_drying"} <= keys
    assert said.levers.as_it_was.chance < 0.1


def test_the_batch_told_next_is_the_way_slake_put_first_then(told):
    """Drift of what slake knows may move the amounts a little; the way and what it does to the leaf must stay."""
    said = levers_of(FIRST, {}, tell(range(1, FIRST + 1)))
    best = sorted((*said.levers.ways, *said.levers.pairs), key=lambda way: -way.chance)
    used = next(way for way in best[:3] if way.key == USED)
    recipe, mixed = said.recipe(used), Batch.objects.get(number=SOLVED).recipe
    assert mixed.water_per_dry == pytest.approx(recipe.water_per_dry, rel=0.15)
    for name in ("shell B", "leaf A"):
        assert mixed.parts[name] == pytest.approx(recipe.parts[name], abs=0.06), name
    for name in ("guar B", "alginate B"):
        assert mixed.parts[name] == pytest.approx(recipe.parts[name], rel=0.3), name
    note = Batch.objects.get(number=SOLVED).note
    for step in used.steps:
        assert step.told.title in note and step.words in note, note


def test_it_is_a_child_of_the_recipe_that_cracked_and_holds_every_line(told):
    solved = Batch.objects.get(number=SOLVED)
    assert solved.recipe.parent_id == Batch.objects.get(number=FIRST).recipe_id
    (one,) = [one for one in tried() if one.batch.number == SOLVED]
    assert all(held for _, held, _ in one.lines), one.lines


def test_what_was_read_then_lies_in_the_ranges_slake_gave(told):
    said = levers_of(FIRST, {}, tell(range(1, FIRST + 1)))
    used = next(way for way in (*said.levers.ways, *said.levers.pairs) if way.key == USED)
    now = tell()
    assert now.batches[-1].number == SOLVED
    read = {seen.gauge.name: seen.value for seen in now.book.batches[-1].mixed.readings}
    inside = [used.predictions[name].low <= read[name] <= used.predictions[name].high for name in used.predictions]
    assert sum(inside) >= len(inside) - 1, (read, used.predictions)
