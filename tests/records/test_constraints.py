"""What the file itself refuses, whatever program writes into it."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import DataError, OperationalError

from slake.records.models import Batch, Lot, Machine, Reading, Recipe, StockMove, Strike, Weighing, Window

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
REFUSED = (IntegrityError, DataError, OperationalError, ValueError)


@pytest.fixture
def lot(databases) -> Lot:
    return Lot.objects.create(name="shell", ingredient="mussel_shell", role="filler", since=NOW)


@pytest.fixture
def batch(databases) -> Batch:
    recipe = Recipe.objects.create(name="r", since=NOW, parts={"shell": 1}, water_per_dry=0.5)
    return Batch.objects.create(number=1, recipe=recipe, since=NOW, water_g=100)


@pytest.mark.parametrize("value", [math.inf, -math.inf, -1.0, 1e9])
def test_absurd_and_infinite_numbers_never_get_in(lot, value):
    for write in (
        lambda: Lot.objects.create(name="x", ingredient="x", role="filler", since=NOW, sieve_um=value),
        lambda: Machine.objects.create(name="x", since=NOW, nozzle_mm=value, barrel_mm=60),
    ):
        with pytest.raises(REFUSED), transaction.atomic():
            write()


def test_nan_never_becomes_a_number(lot, batch):
    with pytest.raises(REFUSED), transaction.atomic():
        StockMove.objects.create(lot=lot, grams=math.nan, why="came in", at=NOW, entry="1")
    with pytest.raises(REFUSED), transaction.atomic():
        Weighing.objects.create(batch=batch, grams=math.nan, typed="nan", at=NOW, entry="2")


def test_words_are_of_the_list(lot):
    with pytest.raises(REFUSED), transaction.atomic():
        Lot.objects.create(name="y", ingredient="y", role="magic", since=NOW)
    with pytest.raises(REFUSED), transaction.atomic():
        StockMove.objects.create(lot=lot, grams=1, why="because", at=NOW, entry="1")


def test_a_window_rises(databases):
    with connection.cursor() as cursor:
        cursor.execute("INSERT INTO records_brief (since, words, typical) VALUES ('2026-11-02', '', 0)")
    with pytest.raises(REFUSED), transaction.atomic():
        Window.objects.create(brief_id=1, reading="cone_depth_mm", low=20, high=14)


def test_a_reading_is_of_one_thing_and_an_entry_is_used_once(lot, batch):
    row = {
        "test": "fall_cone",
        "test_version": 1,
        "typed": {},
        "at": NOW,
        "headline_name": "cone_depth_mm",
        "headline_value": 15,
    }
    for wrong in ({"batch": batch, "lot": lot}, {}):
        with pytest.raises(REFUSED), transaction.atomic():
            Reading.objects.create(**row, **wrong, entry="a")
    Reading.objects.create(**row, batch=batch, entry="a")
    with pytest.raises(REFUSED), transaction.atomic():
        Reading.objects.create(**row, batch=batch, entry="a")


def test_a_strike_has_one_thing_and_a_reason(lot, batch):
    weighing = Weighing.objects.create(batch=batch, grams=1, typed="1", at=NOW, entry="w")
    with pytest.raises(REFUSED), transaction.atomic():
        Strike.objects.create(weighing=weighing, reason="", at=NOW, entry="s")
    with pytest.raises(REFUSED), transaction.atomic():
        Strike.objects.create(reason="nothing", at=NOW, entry="s")
    Strike.objects.create(weighing=weighing, reason="spilt", at=NOW, entry="s")


@pytest.mark.parametrize(
    "table", ["reading", "weighing", "outcome", "strike", "batchstrike", "stockmove", "action", "detail"]
)
def test_rows_that_were_written_stay_written(databases, table):
    with connection.cursor() as cursor:
        cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [f"records_{table}"])
        kept = " ".join(row[0] for row in cursor.fetchall())
    assert "BEFORE DELETE" in kept and "BEFORE UPDATE" in kept


def test_the_headline_of_a_reading_may_be_rebuilt_and_its_raw_text_may_not(batch):
    row = Reading.objects.create(
        test="fall_cone", test_version=1, typed={"fields": {}}, at=NOW, batch=batch, entry="a",
        headline_name="cone_depth_mm", headline_value=15,
    )  # fmt: skip
    row.headline_value = 16
    row.save(update_fields=["headline_value"])
    row.typed = {"fields": {"cone_depth_mm": "16"}}
    with pytest.raises(REFUSED), transaction.atomic():
        row.save(update_fields=["typed"])
    assert Reading.objects.get(pk=row.pk).typed == {"fields": {}}
