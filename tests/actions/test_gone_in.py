"""What went in after a reading, also where a paper sheet was typed all at once."""

from __future__ import annotations

import pytest

from slake.actions.advising import advice
from slake.actions.bowl import knead_in
from slake.actions.gone_in import gone_in_since, gone_in_words
from slake.actions.held_back import knead_held_back
from slake.actions.mixing import start_clock, weigh
from slake.actions.reading import log_reading, strike
from slake.records.models import Batch
from tests.pages.begun import begin

NOW = 95.0
"""Minutes after nine at which everything is typed."""


@pytest.fixture
def batch(databases, entry) -> Batch:
    return start_clock(entry(), begin().pk)


def pour(batch: Batch, entry, minutes: float) -> None:
    for row in batch.amounts.filter(held_back=False):
        weigh(entry(minutes), batch.pk, row.order, f"{row.target_g:.1f}")


def cone(batch: Batch, entry, minutes: float):
    return log_reading(entry(minutes), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "9"})


def test_a_sheet_typed_afterwards_pours_nothing_into_a_reading_of_earlier(batch, entry):
    """The page once said "342.4 g of mussel shell in at 18:02: read again" of a card typed late."""
    pour(batch, entry, NOW)
    read = cone(batch, entry, 60)
    assert gone_in_since(batch, read) == []
    assert advice(batch, read).words.startswith("Too stiff: knead in")


def test_a_pour_of_the_card_typed_after_the_reading_is_another_paste(batch, entry):
    read = cone(batch, entry, 60)
    pour(batch, entry, 70)
    assert len(gone_in_since(batch, read)) == batch.amounts.filter(held_back=False).count()
    assert "read again at" in advice(batch, read).words


@pytest.mark.parametrize("knead", [knead_in, knead_held_back])
def test_what_was_kneaded_in_counts_by_its_time_whenever_it_was_typed(batch, entry, knead):
    pour(batch, entry, 5)
    row = knead(entry(65), batch.pk, "5")
    assert gone_in_since(batch, cone(batch, entry, 80)) == []
    before = cone(batch, entry, 60)
    assert gone_in_since(batch, before) == [row]
    assert "5.0 g of water in at" in advice(batch, before).words
    strike(entry(90), "weighing", row.pk, "was not so")
    assert gone_in_since(batch, before) == []


def test_held_back_and_other_water_are_said_as_one_amount(batch, entry):
    """The page once said "16.4 g of water and 2.8 g of water in"."""
    pour(batch, entry, 5)
    read = cone(batch, entry, 60)
    held = batch.amounts.get(held_back=True).target_g
    knead_held_back(entry(65), batch.pk, f"{held + 3:.1f}")
    assert gone_in_words(gone_in_since(batch, read)) == f"{held + 3:.1f} g of water"
    shell = batch.amounts.exclude(lot=None).first().lot
    knead_in(entry(70), batch.pk, "4", shell.pk)
    assert gone_in_words(gone_in_since(batch, read)) == f"{held + 3:.1f} g of water and 4.0 g of {shell.name}"
