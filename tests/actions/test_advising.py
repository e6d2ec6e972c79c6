"""What to do at the bowl: from all readings of this paste together, none while they disagree or until read again."""

from __future__ import annotations

import re

import pytest

from slake.actions.advising import advice
from slake.actions.bowl import knead_in, take_paste
from slake.actions.held_back import knead_held_back
from slake.actions.mixing import start_clock, weigh
from slake.actions.reading import log_reading, strike
from slake.actions.sizes import held_left_g, left_in_bowl_g, mixed_recipe, received_g
from slake.ground.problems import Problem
from slake.records.models import Batch, Weighing
from tests.pages.begun import begin


@pytest.fixture
def batch(databases, entry) -> Batch:
    found = begin()
    for row in found.amounts.filter(held_back=False):
        weigh(entry(), found.pk, row.order, f"{row.target_g:.1f}")
    return start_clock(entry(), found.pk)


def cone(batch: Batch, entry, depth: str, minutes: float = 60.0):
    return log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})


def grams(words: str) -> tuple[float, float]:
    start, most = re.search(r"knead in ([\d.]+) g .* up to ([\d.]+)\)", words).groups()
    return float(start), float(most)


def test_a_slip_of_ten_is_named_and_read_again_before_any_water(batch, entry):
    """13.5, then 18, then 1.8 mm once gave "too stiff: knead in 71.9 g of water"."""
    for depth in ("13,5", "18"):
        cone(batch, entry, depth)
    last = cone(batch, entry, "1,8")
    said = advice(batch, last)
    assert said.start_g is None and said.add_water_g is None and "read again first" in said.words.lower()
    assert "may be 18 mm and not 1.8, a slip by ten" in said.words and "1e+" not in said.words


def test_once_the_slip_is_struck_the_advice_comes_back(batch, entry):
    cone(batch, entry, "18")
    slip = cone(batch, entry, "1,8")
    assert advice(batch, slip).start_g is None
    strike(entry(), "reading", slip.pk, "typed wrong")
    last = cone(batch, entry, "18,1")
    assert advice(batch, last).words.startswith("Inside the window")


def test_repeats_are_taken_together_and_narrow_the_grams(batch, entry):
    alone = grams(advice(batch, cone(batch, entry, "9")).words)
    for depth in ("9,1", "8,9"):
        last = cone(batch, entry, depth)
    joined = grams(advice(batch, last).words)
    assert joined[1] - joined[0] < alone[1] - alone[0]
    assert joined[1] < alone[1] and joined[0] >= alone[0]


def test_at_the_edge_three_readings_end_the_asking(batch, entry):
    first = cone(batch, entry, "15")
    assert "read twice more" in advice(batch, first).words
    cone(batch, entry, "15,1")
    assert "3 readings together" in advice(batch, cone(batch, entry, "14,9")).words


def test_a_reading_of_a_young_paste_is_no_repeat_of_an_old_one(batch, entry):
    cone(batch, entry, "24", 10)
    said = advice(batch, cone(batch, entry, "9", 60))
    assert "Too stiff" in said.words and not said.doubt


def test_after_kneading_in_nothing_more_is_asked_for_until_it_is_read_again(batch, entry):
    """The same order once came again at once: "knead in 14.6 g", with 12 g just gone in."""
    first = cone(batch, entry, "9")
    knead_in(entry(62), batch.pk, "12")
    said = advice(batch, first)
    assert said.start_g is None and re.match(r"12\.0 g of water in at \d\d:\d\d: read again at", said.words)
    assert "Too stiff" in advice(batch, cone(batch, entry, "10", 75)).words


def test_water_held_back_is_kneaded_in_as_the_batchs_own_and_no_longer_asked_for(batch, entry):
    held = held_left_g(batch)
    assert held > 5
    knead_held_back(entry(70), batch.pk, "5")
    assert held_left_g(batch) == pytest.approx(held - 5)
    row = Weighing.objects.last()
    assert row.amount.held_back and row.grams == 5
    knead_held_back(entry(80), batch.pk, f"{held:.1f}")
    assert held_left_g(batch) == 0
    more = Weighing.objects.last()
    assert more.amount is None and more.grams == pytest.approx(5, abs=0.1), (
        "what was left is gone: the rest is other water"
    )
    with pytest.raises(Problem, match="no water is held back"):
        knead_held_back(entry(90), batch.pk, "1")


def test_the_same_entry_kneads_once(batch, entry):
    once = entry(70)
    first, again = (knead_held_back(once, batch.pk, "5") for _ in range(2))
    assert first == again and Weighing.objects.filter(amount__held_back=True).count() == 1


@pytest.mark.parametrize("typed", ["", "-1", "nan", "a cup", "1e9"])
def test_no_bad_number_of_it_is_kneaded_in(batch, entry, typed):
    before = Weighing.objects.count()
    with pytest.raises(Problem):
        knead_held_back(entry(70), batch.pk, typed)
    assert Weighing.objects.count() == before


def test_held_back_water_in_a_half_empty_bowl_counts_as_much_more(batch, entry):
    """By hand: half the paste out, then w grams: the shares are as if 2 w had gone into all of it."""
    full, water = left_in_bowl_g(batch), received_g(batch)["water"]
    take_paste(entry(65), batch.pk, f"{full / 2:.1f}", "spilled")
    knead_held_back(entry(70), batch.pk, "6")
    assert received_g(batch)["water"] == pytest.approx(water + 12, abs=0.05)
    assert left_in_bowl_g(batch) == pytest.approx(full / 2 + 6, abs=0.1)
    assert mixed_recipe(batch).water_per_dry > 0.4
