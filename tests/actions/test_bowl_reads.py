"""At the bowl with readings taken while water goes in: the water so far teaches what more of it does."""

from __future__ import annotations

import pytest

from slake.actions.advising import advice
from slake.actions.bowl import knead_in, take_paste
from slake.actions.mixing import start_clock, weigh
from slake.actions.reading import log_reading, strike
from slake.records.models import Batch, Lot
from tests.pages.begun import begin


@pytest.fixture
def batch(databases, entry) -> Batch:
    found = begin()
    for row in found.amounts.filter(held_back=False):
        weigh(entry(), found.pk, row.order, f"{row.target_g:.1f}")
    return start_clock(entry(), found.pk)


def cone(batch: Batch, entry, depth: str, minutes: float):
    return log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})


def poured(batch: Batch, entry, *depths: str, grams: str = "6"):
    """A reading, water, a reading, water, a reading: what is advised after the last one."""
    minutes = 60.0
    for place, depth in enumerate(depths):
        if place:
            knead_in(entry(minutes + 2), batch.pk, grams)
            minutes += 10
        last = cone(batch, entry, depth, minutes)
    return advice(batch, last)


def test_two_and_three_readings_while_water_goes_in_are_reckoned_together(batch, entry):
    said = poured(batch, entry, "6", "7,5", "9")
    assert "Reckoned from 3 readings of this bowl while water went in." in said.words
    assert said.add_water_g.low < said.add_water_g.mid < said.add_water_g.high


def with_and_without_the_first(batch: Batch, entry, depth: str, grams: str):
    """What is advised at 9 mm after a drier reading and these grams, and what with the drier reading struck."""
    first = cone(batch, entry, depth, 60)
    knead_in(entry(62), batch.pk, grams)
    last = cone(batch, entry, "9", 70)
    both = advice(batch, last)
    strike(entry(), "reading", first.pk, "not of this bowl")
    return both.add_water_g, advice(batch, last).add_water_g


def test_water_that_did_much_asks_for_less_more_of_it(batch, entry):
    quick, alone = with_and_without_the_first(batch, entry, "5", "6")
    assert quick.mid < 0.8 * alone.mid and quick.high - quick.low < alone.high - alone.low


def test_water_that_did_little_asks_for_more_of_it(batch, entry):
    slow, alone = with_and_without_the_first(batch, entry, "8,4", "14")
    assert slow.mid > 1.1 * alone.mid


def test_a_paste_that_got_stiffer_with_water_is_read_again_first(batch, entry):
    said = poured(batch, entry, "12", "5", grams="15")
    assert said.start_g is None and said.words.startswith("Read again first") and said.doubt


def test_a_paste_that_was_thickened_in_between_is_a_new_one(batch, entry):
    cone(batch, entry, "7", 60)
    filler = Lot.objects.filter(role="filler").first()
    knead_in(entry(62), batch.pk, "5", filler.pk)
    last = cone(batch, entry, "7", 72)
    assert "Reckoned" not in advice(batch, last).words


def test_paste_taken_out_in_between_counts(batch, entry):
    """The same water in half the paste is twice as much of it per dry."""
    take_paste(entry(58), batch.pk, "150", "spilled")
    half = poured(batch, entry, "6", "9", grams="6")
    assert "2 readings" in half.words and half.left_g is not None and half.add_water_g.mid > 0
