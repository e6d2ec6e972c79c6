"""What was read of a lot or a batch outranks what was stated or is usual."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.reading import log_reading, strike
from slake.paste.ingredients import HowKnown
from slake.records.models import Lot, Reading
from slake.records.values import context_of, grains_of, standing_readings, water_demand_of

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def lot(databases):
    row = {"ingredient": "mussel shell", "sieve_um": "500", "water_demand": "0,5", "moisture_percent": "10"}
    return take_lots(Entry(id="lots", at=NOW), [row])[0]


def read(lot, test, fields, rows=(), entry="r"):
    return log_reading(Entry(id=entry, at=NOW), test, ("lot", lot.pk), fields, rows)


def test_a_water_demand_that_was_read_outranks_the_stated_one_and_counts_the_lots_water(lot):
    assert water_demand_of(lot).value.mid == 0.5
    kept = read(lot, "water_demand", {"powder_g": "10", "water_g": "3,5", "stopped_at": "ball"})
    found = water_demand_of(lot)
    assert found.how is HowKnown.MEASURED and found.value.mid == pytest.approx((0.35 + 0.1) / 0.9)
    assert found.value.low < found.value.mid < found.value.high
    strike(Entry(id="s", at=NOW), "reading", kept.pk, "dripped past it")
    assert water_demand_of(lot).value.mid == 0.5


def test_one_that_only_crumbled_leaves_what_was_stated(lot):
    read(lot, "water_demand", {"powder_g": "10", "water_g": "3,5", "stopped_at": "crumbs"})
    assert water_demand_of(lot).value.mid == 0.5


def test_a_sieve_split_outranks_the_sieve_it_is_said_to_have_passed(lot):
    assert (grains_of(lot).largest_m, grains_of(lot).read) == (pytest.approx(500e-6), False)
    rows = [{"opening_um": "250", "kept_g": "0"}, {"opening_um": "125", "kept_g": "12"}]
    read(lot, "sieve_split", {"put_in_g": "20", "pan_g": "8", "longest_fibre_mm": "2"}, rows)
    found = grains_of(lot)
    assert (found.largest_m, found.fibre_m, found.read) == (pytest.approx(250e-6), pytest.approx(2e-3), True)


def test_a_context_carries_the_lots_moisture(lot):
    read(lot, "water_demand", {"powder_g": "10", "water_g": "3,5"})
    context = context_of(Reading.objects.get())
    assert context.moisture_wet_basis == pytest.approx(0.1) and context.moisture_sd > 0


def test_readings_fetched_with_their_lot_are_gone_through_without_a_question(lot, django_assert_num_queries):
    """On a bench of many readings, one question a reading is a second of waiting on every page."""
    for n in range(5):
        read(lot, "water_demand", {"powder_g": "10", "water_g": f"3,{n}", "stopped_at": "ball"}, entry=f"r{n}")
    (fetched,) = Lot.objects.filter(pk=lot.pk).prefetch_related("readings__strike")
    with django_assert_num_queries(0):
        assert len(standing_readings(fetched)) == 5
