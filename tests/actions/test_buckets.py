"""Buckets: looked at, taken or refused once, weighed on the way to powder, made into a lot with a sample kept aside."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import transaction
from django.db.utils import DatabaseError

from slake.actions.bucket_lot import make_lot
from slake.actions.bucket_told import leaves_of, steps_of, told_of
from slake.actions.buckets import look_at_bucket, strike_bucket_weighing, take_bucket, weigh_bucket
from slake.actions.lots import stock_g
from slake.ground.problems import DoesNotFit, MovedOn, Problem
from slake.ground.units import to_si
from slake.paste.bucket import Answer
from slake.paste.end_point import Dry
from slake.records.models import Action, Bucket, BucketWeighing, Lot

GRAIN = {"source": "brewery by the bridge", "ingredient": "spent grain", "wet_g": "18 000", "hours_old": "6"}
PRINT_KG = to_si(150, "g")


@pytest.fixture
def grain(databases, entry) -> Bucket:
    return look_at_bucket(entry(), GRAIN | {"temperature_c": "20"})


@pytest.fixture
def taken(grain, entry) -> Bucket:
    return take_bucket(entry(), grain.pk, "accepted")


def test_a_bucket_is_dry_grams_prints_and_a_time(grain):
    told = told_of(grain, PRINT_KG)
    assert told.worth.answer is Answer.TAKE
    assert told.worth.dry.low < 4.32 < told.worth.dry.high
    assert told.spoils[1] - grain.since == timedelta(days=4) - timedelta(hours=6)
    assert any("gluten" in one for one in told.cautions) and any("fuzz" in one for one in told.cautions)
    assert told.store_below == 0.10


def test_what_is_not_known_widens(databases, entry):
    known = told_of(look_at_bucket(entry(), GRAIN | {"moisture_percent": "78", "temperature_c": "20"}), PRINT_KG)
    open_ = told_of(look_at_bucket(entry(), GRAIN | {"hours_old": "don't know"}), PRINT_KG)
    assert open_.worth.dry.high - open_.worth.dry.low > known.worth.dry.high - known.worth.dry.low
    assert open_.worth.left.high - open_.worth.left.low > known.worth.left.high - known.worth.left.low


def test_a_waste_slake_does_not_know_needs_its_role_and_warns(databases, entry):
    with pytest.raises(Problem, match="not in slake's list"):
        look_at_bucket(entry(), GRAIN | {"ingredient": "kelp of the bay"})
    bucket = look_at_bucket(entry(), GRAIN | {"ingredient": "kelp of the bay", "role": "fibre"})
    assert any("knows no hazards" in one for one in told_of(bucket, PRINT_KG).cautions)


@pytest.mark.parametrize(
    "bad",
    [
        {"wet_g": "0"}, {"wet_g": "-5"}, {"wet_g": ""}, {"wet_g": "nan"}, {"source": " "}, {"ingredient": ""},
        {"hours_old": "-1"}, {"moisture_percent": "100"}, {"temperature_c": "200"},
    ],
)  # fmt: skip
def test_bad_buckets_are_refused_and_nothing_is_written(databases, entry, bad):
    with pytest.raises(Problem):
        look_at_bucket(entry(), GRAIN | bad)
    assert not Bucket.objects.exists() and not Action.objects.exists()


def test_a_refusal_says_why_and_is_final(grain, entry):
    with pytest.raises(Problem, match="reason"):
        take_bucket(entry(), grain.pk, "refused")
    assert take_bucket(entry(), grain.pk, "refused", "sour smell").reason == "sour smell"
    with pytest.raises(Problem, match="already"):
        take_bucket(entry(), grain.pk, "accepted")
    with pytest.raises(Problem, match="not accepted"):
        weigh_bucket(entry(), grain.pk, {"step": "drying", "grams": "500"})
    with pytest.raises(Problem, match="choose accepted"):
        take_bucket(entry(), grain.pk, "maybe")


def test_somebody_who_looked_before_the_change_is_told(grain, entry):
    take_bucket(entry(), grain.pk, "accepted", "", grain.revision)
    with pytest.raises(MovedOn):
        take_bucket(entry(), grain.pk, "refused", "late", grain.revision)


def test_the_same_entry_twice_is_once(taken, entry):
    weighed = entry(id="one")
    first = weigh_bucket(weighed, taken.pk, {"step": "cleaning", "grams": "1000"})
    assert weigh_bucket(weighed, taken.pk, {"step": "cleaning", "grams": "1000"}) == first
    assert BucketWeighing.objects.count() == 1


def test_two_weighings_half_an_hour_apart_end_the_cleaning(taken, entry):
    weigh_bucket(entry(0), taken.pk, {"step": "cleaning", "grams": "1000"})
    (step,) = steps_of(taken)
    assert not step.end.reached and step.next_at == step.rows[0].at + timedelta(minutes=30)
    weigh_bucket(entry(30), taken.pk, {"step": "cleaning", "grams": "990"})
    (step,) = steps_of(taken)
    assert not step.end.reached and step.end.change_share == pytest.approx(0.01)
    weigh_bucket(entry(60), taken.pk, {"step": "cleaning", "grams": "987"})
    (step,) = steps_of(taken)
    assert step.end.reached


def test_steps_are_judged_apart_and_drying_says_the_moisture(taken, entry):
    weigh_bucket(entry(0), taken.pk, {"step": "boiling", "grams": "17000"})
    weigh_bucket(entry(30), taken.pk, {"step": "drying", "grams": "16000"})
    weigh_bucket(entry(90), taken.pk, {"step": "drying", "grams": "9000"})
    boiling, drying = steps_of(taken)
    assert boiling.dry is None and len(boiling.rows) == 1
    assert drying.dry.answer is Dry.NOT_YET and drying.not_before > drying.rows[-1].at
    weigh_bucket(entry(600), taken.pk, {"step": "drying", "grams": "4300"})
    weigh_bucket(entry(630), taken.pk, {"step": "drying", "grams": "4295"})
    drying = steps_of(taken)[1].dry
    assert drying.answer is Dry.STEADY and drying.moisture.high > 0.10
    assert "not known" in drying.answer.value


@pytest.mark.parametrize(
    ("step", "grams", "said"),
    [("drying", "37500", "what came in"), ("baking", "18100", "what came in"), ("boiling", "36500", "2 times")],
)
def test_more_than_there_was_is_refused(taken, entry, step, grams, said):
    with pytest.raises(DoesNotFit, match=said):
        weigh_bucket(entry(), taken.pk, {"step": step, "grams": grams})
    assert not BucketWeighing.objects.exists()


def test_washing_may_soak_it_and_drying_begins_from_there(taken, entry):
    weigh_bucket(entry(0), taken.pk, {"step": "cleaning", "grams": "21000"})
    weigh_bucket(entry(30), taken.pk, {"step": "drying", "grams": "20900"})
    with pytest.raises(DoesNotFit, match="it ever weighed"):
        weigh_bucket(entry(60), taken.pk, {"step": "drying", "grams": "21500"})


def test_a_weighing_is_struck_with_a_reason_and_no_longer_counts(taken, entry):
    weigh_bucket(entry(0), taken.pk, {"step": "drying", "grams": "16000"})
    wrong = weigh_bucket(entry(60), taken.pk, {"step": "drying", "grams": "1600"})
    assert steps_of(taken)[0].dry.answer is not Dry.NOT_YET
    with pytest.raises(Problem, match="reason"):
        strike_bucket_weighing(entry(), wrong.pk, " ")
    line = strike_bucket_weighing(entry(id="once"), wrong.pk, "read 1600 for 16000")
    assert strike_bucket_weighing(entry(id="once"), wrong.pk, "read 1600 for 16000") == line
    (step,) = steps_of(taken)
    assert [row.grams for row in step.rows] == [16000]
    weigh_bucket(entry(60), taken.pk, {"step": "drying", "grams": "15000"})
    with pytest.raises(Problem, match="already"):
        strike_bucket_weighing(entry(), wrong.pk, "again")
    with pytest.raises(DatabaseError), transaction.atomic():
        line.delete()


def test_a_weighing_may_be_written_late_but_not_twice_at_one_time(taken, entry):
    late = weigh_bucket(entry(60), taken.pk, {"step": "drying", "grams": "9 000", "minutes_ago": "30"})
    assert late.at == entry(30).at and late.typed == "9 000"
    with pytest.raises(Problem, match="very time"):
        weigh_bucket(entry(30), taken.pk, {"step": "drying", "grams": "8000"})


@pytest.mark.parametrize(
    "bad", [{"grams": "0"}, {"grams": "-1"}, {"grams": ""}, {"step": "frying"}, {"minutes_ago": "-5"}]
)
def test_bad_weighings_are_refused(taken, entry, bad):
    with pytest.raises(Problem):
        weigh_bucket(entry(), taken.pk, {"step": "drying", "grams": "500"} | bad)
    assert not BucketWeighing.objects.exists()


def test_weighings_are_never_changed(taken, entry):
    row = weigh_bucket(entry(), taken.pk, {"step": "drying", "grams": "500"})
    with pytest.raises(DatabaseError), transaction.atomic():
        BucketWeighing.objects.filter(pk=row.pk).update(grams=1)
    with pytest.raises(DatabaseError), transaction.atomic():
        row.delete()


POWDER = {"name": "grain C", "grams": "3 900", "sieve_um": "0,5 mm", "milled": "blender, 4 x 60 s"}


def test_a_bucket_becomes_a_lot_with_a_sample_kept_aside(taken, entry):
    lot = make_lot(entry(), taken.pk, POWDER | {"sample_g": "40", "sample_where": "jar 7, top shelf"})
    taken.refresh_from_db()
    assert taken.lot == lot and (lot.ingredient, lot.sieve_um, lot.dried) == ("spent_grain", 500, True)
    assert stock_g(lot) == 3860
    kept = lot.moves.get(why="kept as sample")
    assert (kept.grams, kept.note) == (-40, "jar 7, top shelf")
    assert "brewery by the bridge" in lot.note and "blender" in lot.note
    with pytest.raises(Problem, match="already"):
        make_lot(entry(), taken.pk, POWDER)
    with pytest.raises(Problem, match="already"):
        weigh_bucket(entry(), taken.pk, {"step": "drying", "grams": "500"})


def test_the_figure_of_its_drying_goes_with_the_lot(taken, entry):
    weigh_bucket(entry(0), taken.pk, {"step": "drying", "grams": "4300"})
    weigh_bucket(entry(30), taken.pk, {"step": "drying", "grams": "4295"})
    lot = make_lot(entry(60), taken.pk, POWDER)
    assert "Drying said about" in lot.note and "80 %" in lot.note and "steady" in lot.note
    assert lot.moisture_percent is None
    assert lot.note.count("From bucket") == 1


def test_no_sample_is_allowed_but_one_without_a_place_is_not(taken, entry):
    with pytest.raises(Problem, match="where the sample is"):
        make_lot(entry(), taken.pk, POWDER | {"sample_g": "40"})
    with pytest.raises(DoesNotFit):
        make_lot(entry(), taken.pk, POWDER | {"grams": "30", "sample_g": "40", "sample_where": "jar"})
    assert not Lot.objects.exists()
    assert stock_g(make_lot(entry(), taken.pk, POWDER)) == 3900


@pytest.mark.parametrize("bad", [{"grams": "0"}, {"grams": ""}, {"grams": "19000"}, {"sieve_um": "50 mm"}])
def test_bad_powder_is_refused_and_nothing_is_written(taken, entry, bad):
    with pytest.raises(Problem):
        make_lot(entry(), taken.pk, POWDER | bad)
    assert not Lot.objects.exists()


def test_a_bucket_nobody_took_makes_no_lot(grain, entry):
    with pytest.raises(Problem, match="not accepted"):
        make_lot(entry(), grain.pk, POWDER)


def test_a_stated_moisture_outranks_the_usual(databases, entry):
    bucket = look_at_bucket(entry(), GRAIN | {"moisture_percent": "70,5"})
    assert leaves_of(bucket).value.mid == pytest.approx(0.705)
