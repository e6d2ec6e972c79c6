"""Instruments: facts read as their tests read them, dated revisions, checks said, and what they fill into a reading."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.db import DatabaseError

from slake.actions.checks_said import checks_said, step_in
from slake.actions.entry import Entry
from slake.actions.instruments import (
    OWN,
    check_instrument,
    describe_instrument,
    facts_of,
    instruments,
    kinds_of,
    last_used,
    unchecked_scales,
)
from slake.actions.reading import log_reading
from slake.bench.shelf import all_tests
from slake.ground.problems import OutsideRange, Problem
from slake.records.models import Batch, Instrument, InstrumentCheck, Reading
from slake.records.values import context_of, evidence_of
from tests.pages.begun import begin

CONE = {"name": "brass cone", "kind": "cone", "cone_mass_g": "80", "cone_angle": "30"}
SCALE = {"name": "kitchen scale", "kind": "scale", "scale_step_g": "0,1"}
NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


@pytest.fixture
def batch(databases) -> Batch:
    return begin()


def test_facts_are_those_the_tests_declare():
    assert set(facts_of("cone")) == {"cone_mass_g", "cone_angle"}
    assert facts_of("cone")["cone_mass_g"] in all_tests()["fall_cone"].inputs
    assert kinds_of(all_tests()["fall_cone"]) == ["cone"] and kinds_of(all_tests()["crack_grade"]) == []
    assert {"tare_g", "scale_step_g"} <= {item.name for item in OWN}


def test_a_change_is_a_dated_revision_and_the_last_one_stands(databases, entry):
    first = describe_instrument(entry(), CONE)
    again = describe_instrument(entry(60), {**CONE, "cone_mass_g": "81,5"})
    assert Instrument.objects.count() == 2 and again.since - first.since == timedelta(minutes=60)
    assert [row.facts["cone_mass_g"] for row in instruments("cone")] == ["81,5"]
    with pytest.raises(DatabaseError):
        Instrument.objects.filter(pk=first.pk).update(facts={})


def test_the_same_entry_describes_and_checks_once(databases, entry):
    same = entry(id="once")
    assert describe_instrument(same, SCALE).pk == describe_instrument(same, SCALE).pk
    check = entry(id="check")
    row = instruments("scale")[0]
    for _ in range(2):
        check_instrument(check, row.pk, "50", "50,0")
    assert InstrumentCheck.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({**CONE, "cone_mass_g": "4"}, "mass of the cone"),
        ({**CONE, "cone_mass_g": "heavy"}, "mass of the cone"),
        ({**CONE, "cone_angle": "45"}, "choose one of 30 deg, 60 deg"),
        ({**CONE, "kind": "spoon"}, "choose one of cone, syringe"),
        ({**CONE, "name": " "}, "the name of the instrument is empty"),
        ({"name": "pan", "kind": "bowl", "tare_g": "-3"}, "empty"),
        ({"name": "vernier", "kind": "calipers", "step_mm": "nan"}, "smallest step"),
    ],
)
def test_a_wrong_fact_is_one_sentence_and_nothing_is_kept(databases, entry, typed, says):
    with pytest.raises(Problem, match=says):
        describe_instrument(entry(), typed)
    assert not Instrument.objects.exists()


def test_a_name_keeps_its_kind_and_a_revision_changes_something(databases, entry):
    describe_instrument(entry(), CONE)
    with pytest.raises(Problem, match="already a cone"):
        describe_instrument(entry(), {"name": "brass cone", "kind": "bowl"})
    with pytest.raises(Problem, match="nothing of"):
        describe_instrument(entry(), CONE)


def test_what_is_not_known_stays_open(databases, entry):
    assert describe_instrument(entry(), {"name": "tin", "kind": "bowl", "tare_g": "don't know"}).facts == {}


def test_a_check_within_a_step_is_right_and_beyond_it_says_by_how_much(databases, entry):
    scale = describe_instrument(entry(), SCALE)
    check_instrument(entry(1), scale.pk, "7,5", "7,6")
    check_instrument(entry(2), scale.pk, "7.5", "7.9")
    off, right = checks_said(scale)
    assert right.fine and right.words == "right to within a step of 0.1 g"
    assert not off.fine and "shows 0.4 g too much" in off.words


def test_a_scale_that_moves_against_its_own_checks_is_drifting(databases, entry):
    scale = describe_instrument(entry(), SCALE)
    for minute, shown in enumerate(("200,0", "200,1", "200,0", "200,1")):
        check_instrument(entry(minute), scale.pk, "200", shown)
    assert not any(said.drifting for said in checks_said(scale))
    check_instrument(entry(9), scale.pk, "200", "199,6")
    assert checks_said(scale)[0].drifting and "drifting: it moved by 0.45 g" in checks_said(scale)[0].words


def test_a_constant_error_is_off_and_no_drift(databases, entry):
    scale = describe_instrument(entry(), SCALE)
    for minute in range(4):
        check_instrument(entry(minute), scale.pk, "200", "201")
    assert all(not said.fine and not said.drifting for said in checks_said(scale))


def test_checks_go_on_over_revisions_with_the_step_of_the_day(databases, entry):
    old = describe_instrument(entry(), {**SCALE, "scale_step_g": "1"})
    check_instrument(entry(1), old.pk, "50", "50.6")
    new = describe_instrument(entry(2), SCALE)
    check_instrument(entry(3), new.pk, "50", "50.6")
    newest, oldest = checks_said(new)
    assert oldest.fine and not newest.fine
    assert (step_in(old, "g"), step_in(new, "g"), step_in(new, "kg")) == (1, 0.1, pytest.approx(1e-4))


@pytest.mark.parametrize(
    ("known", "shown", "unit"), [("", "1", "g"), ("1", "inf", "g"), ("1", "1", "stone"), ("1e9", "1", "g")]
)
def test_a_check_that_says_nothing_is_refused(databases, entry, known, shown, unit):
    scale = describe_instrument(entry(), SCALE)
    with pytest.raises(Problem):
        check_instrument(entry(), scale.pk, known, shown, unit)
    assert not InstrumentCheck.objects.exists()


def test_a_scale_is_asked_for_until_it_was_checked_that_day(databases):
    scale = describe_instrument(Entry(id="d", at=NOON), SCALE)
    assert unchecked_scales(NOON) == [scale]
    check_instrument(Entry(id="c", at=NOON), scale.pk, "7,5", "7,5")
    assert unchecked_scales(NOON) == []
    assert unchecked_scales(NOON + timedelta(days=1)) == [scale]


def test_the_instrument_fills_what_was_left_open_and_nothing_else(batch, entry):
    cone = describe_instrument(entry(), CONE)
    row = log_reading(entry(), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "12", "instrument": str(cone.pk)})
    assert row.instrument == cone
    assert row.typed["fields"] == {"cone_depth_mm": "12", "cone_mass_g": "80", "cone_angle": "30"}
    own = {"cone_depth_mm": "12", "cone_mass_g": "82", "instrument": str(cone.pk)}
    assert log_reading(entry(), "fall_cone", ("batch", batch.pk), own).typed["fields"]["cone_mass_g"] == "82"


def test_a_heavier_cone_at_the_same_depth_means_a_stiffer_paste(batch, entry):
    """tau = K m g / d^2: 80 g for 30 g is 80/30 times the stress."""
    cone = describe_instrument(entry(), CONE)
    depth = {"cone_depth_mm": "12"}
    plain = log_reading(entry(), "fall_cone", ("batch", batch.pk), depth)
    heavy = log_reading(entry(), "fall_cone", ("batch", batch.pk), {**depth, "instrument": str(cone.pk)})
    assert evidence_of(heavy).low / evidence_of(plain).low == pytest.approx(80 / 30)
    assert context_of(heavy).with_which == "brass cone" and context_of(plain).with_which == ""


def test_a_reading_keeps_what_its_instrument_was_then(batch, entry):
    cone = describe_instrument(entry(), CONE)
    row = log_reading(entry(), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "12", "instrument": str(cone.pk)})
    before = evidence_of(row).low
    describe_instrument(entry(), {**CONE, "cone_mass_g": "95"})
    assert evidence_of(Reading.objects.get(pk=row.pk)).low == before
    assert last_used(all_tests()["fall_cone"]) == "brass cone" and last_used(all_tests()["slump"]) == ""


@pytest.mark.parametrize("number", ["x", "99999", "1e3", "-1", "12345678901"])
def test_an_instrument_that_is_not_one_is_refused(batch, entry, number):
    with pytest.raises(Problem, match="pick another"):
        log_reading(entry(), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "12", "instrument": number})
    assert not Reading.objects.exists()


def test_a_bowl_is_no_cone(batch, entry):
    bowl = describe_instrument(entry(), {"name": "blue bowl", "kind": "bowl", "tare_g": "412"})
    with pytest.raises(Problem, match="pick another"):
        log_reading(entry(), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "12", "instrument": str(bowl.pk)})
    with pytest.raises(OutsideRange):
        describe_instrument(entry(), {"name": "vat", "kind": "bowl", "tare_g": "90000"})
