"""A trend tells of the paste a batch became: what was read before the last pour was another one."""

from __future__ import annotations

from datetime import timedelta

import pytest

from slake.actions.bowl import knead_in
from slake.actions.mixing import start_clock
from slake.actions.notebook import take_in
from slake.actions.reading import log_reading, strike
from slake.actions.trends import followed, trend
from slake.records.models import Batch, Recipe
from tests.actions.conftest import MORNING
from tests.actions.test_bowl import weigh_all
from tests.pages.begun import begin


@pytest.fixture
def batch(databases, entry):
    begun = start_clock(entry(), begin().pk)
    weigh_all(begun, entry)
    return begun


def cone(batch, entry, minutes: float, depth: str) -> None:
    log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})


def drawn():
    (point,) = trend(followed("yield_stress_pa"))
    return point


def test_a_correction_moves_the_point_to_the_reading_after_it(batch, entry):
    cone(batch, entry, 60, "8")
    before = drawn().around.mid
    poured = knead_in(entry(65), batch.pk, "10")
    assert drawn().around.mid == before, "nothing was read since: what there is still counts"
    cone(batch, entry, 90, "16")
    assert drawn().around.mid == pytest.approx(before / 4, rel=0.01)
    strike(entry(95), "weighing", poured.pk, "it was not kneaded in")
    assert drawn().around.mid == pytest.approx(before, rel=0.01)


def test_a_trend_goes_by_the_day_and_those_without_one_come_first(databases, entry):
    begin()
    recipe = Recipe.objects.create(name="r", since=MORNING, parts={"mussel shell": 1.0}, water_per_dry=0.5)
    given = {41: (MORNING - timedelta(days=1), True), 42: (MORNING - timedelta(days=60), True), 43: (MORNING, False)}
    for number, (since, told) in given.items():
        made = Batch.objects.create(number=number, recipe=recipe, since=since, since_told=told, water_g=100)
        cone(made, entry, 5, "15")
    assert [point.batch.number for point in trend(followed("yield_stress_pa"))] == [43, 42, 41]


def test_lines_of_a_notebook_have_no_day_told(databases, entry):
    begin()
    (kept,) = take_in(entry(), "mussel shell 300, guar gum 3, water 200 - good, cone 15 mm").batches
    assert not kept.since_told
