"""A lab's own reading is declared once, read of a batch like any other, and known to the notebook."""

from __future__ import annotations

import pytest
from django.db import transaction
from django.db.utils import DatabaseError

from slake.actions.mixing import begin_batch, start_clock
from slake.actions.own_readings import declare_reading, key_of, strike_declaration
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading, strike
from slake.actions.setting_up import set_brief
from slake.bench import shelf
from slake.campaign.past.headings import guess_all
from slake.campaign.reading_tables import read_lines
from slake.campaign.reading_words import find_test
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.records.models import OwnTest
from slake.records.own_tests import declared_here
from slake.records.values import evidence_of

FLOW = {"title": "Flow", "unit": "cm", "floor": "20"}


@pytest.fixture(autouse=True)
def lent():
    shelf.lend(declared_here)
    yield
    shelf.lend(None)


def test_declared_once_and_read_of_a_batch(first_day, entry):
    row = declare_reading(entry(), FLOW)
    assert row.key == "flow_cm" and "flow_cm" in shelf.all_tests()
    batch = start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)
    kept = log_reading(entry(30), "flow_cm", ("batch", batch.pk), {"flow_cm": "20"})
    assert evidence_of(kept).kind is Kind.BELOW
    with pytest.raises(OutsideRange):
        log_reading(entry(31), "flow_cm", ("batch", batch.pk), {"flow_cm": "12"})
    assert propose_next(entry()).answer["parts"]


def test_the_same_entry_twice_declares_once(databases, entry):
    first = declare_reading(entry(id="same"), FLOW)
    assert declare_reading(entry(id="same"), FLOW) == first and OwnTest.objects.count() == 1


def test_a_name_is_taken_once(databases, entry):
    declare_reading(entry(), FLOW)
    for typed in (FLOW, {"title": "cone depth", "unit": "mm"}, {"title": "Slump"}):
        with pytest.raises(DoesNotFit, match="already"):
            declare_reading(entry(), typed)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"title": ""}, "empty"),
        ({"title": "Flow", "unit": "x" * 30}, "20"),
        ({"title": "Flow", "floor": "nan"}, "starts"),
        ({"title": "Flow", "floor": "9", "ceiling": "3"}, "above its start"),
        ({"title": "Flow", "about": "moon"}, "moon"),
        ({"title": "Flow", "unit": "cm", "informs": "yield_stress_pa"}, "plain number"),
    ],
)
def test_refused_in_one_sentence_and_nothing_is_written(databases, entry, typed, says):
    with pytest.raises(Problem, match=says):
        declare_reading(entry(), typed)
    assert not OwnTest.objects.exists()


def test_a_key_is_plain_letters():
    assert key_of("Flow", "cm") == "flow_cm"
    assert key_of("Moisture at 60 °C", "%") == "moisture_at_60_c_percent"
    assert key_of("2nd look", "") == "own_2nd_look"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"title": "fall cone", "unit": "mm"}, "slake's own test"),
        ({"title": "Cone", "unit": "cm"}, "slake's own test"),
        ({"title": "shrinkage", "unit": "%"}, "slake's own test"),
        ({"title": "Water", "unit": "g"}, "means water"),
        ({"title": "guar", "unit": "g"}, "ingredient guar gum"),
        ({"title": "stalled"}, "how a batch ended"),
    ],
)
def test_a_word_that_means_something_already_is_refused(databases, entry, typed, says):
    with pytest.raises(DoesNotFit, match=says):
        declare_reading(entry(), typed)
    assert not OwnTest.objects.exists()


def test_a_word_declared_before_such_words_were_refused_takes_nothing_from_slakes_own(databases, entry):
    """A lab may have called a reading “fall cone” already: a cone line and a cone column still mean the cone."""
    own = {"about": "batch", "since": entry().at}
    OwnTest.objects.create(key="fall_cone_mm", title="fall cone", unit="mm", **own)
    (line,) = read_lines("shell 300, water 140 - good, cone 14,5 mm at 60 min").lines
    assert line.readings == {"cone_depth_mm": (14.5, 60)}
    assert find_test("fall cone").id == find_test("cone").id == "fall_cone"
    assert guess_all(["shell (g)", "water (g)", "cone (mm)"])[2].test == "fall_cone"


def test_a_declaration_is_struck_and_nothing_is_read_by_it(databases, entry):
    own = declare_reading(entry(), FLOW)
    assert "flow_cm" in shelf.all_tests() and find_test("flow") is not None
    with pytest.raises(Problem, match="reason is empty"):
        strike_declaration(entry(), own.pk, "")
    line = strike_declaration(entry(id="once"), own.pk, "a slip")
    assert strike_declaration(entry(id="once"), own.pk, "a slip") == line
    assert "flow_cm" not in shelf.all_tests() and find_test("flow") is None
    assert OwnTest.objects.count() == 1
    with pytest.raises(Problem, match="struck through already"):
        strike_declaration(entry(), own.pk, "again")
    with pytest.raises(DoesNotFit, match="give this one another"):
        declare_reading(entry(), FLOW)
    with pytest.raises(DatabaseError), transaction.atomic():
        line.delete()


def test_a_declaration_in_use_is_not_struck(first_day, entry):
    own = declare_reading(entry(), FLOW)
    batch = start_clock(entry(), begin_batch(entry(), propose_next(entry()).pk, {"dry_g": "300"}).pk)
    kept = log_reading(entry(30), "flow_cm", ("batch", batch.pk), {"flow_cm": "24"})
    with pytest.raises(DoesNotFit, match="1 reading of “Flow” still count"):
        strike_declaration(entry(), own.pk, "a slip")
    strike(entry(), "reading", kept.pk, "wrong test")
    set_brief(entry(), {"flow_cm": ("21", "30")})
    with pytest.raises(DoesNotFit, match="the brief asks"):
        strike_declaration(entry(), own.pk, "a slip")
    set_brief(entry(), {"cone_depth_mm": ("12", "18")})
    strike_declaration(entry(), own.pk, "a slip")
    assert propose_next(entry()).answer["parts"]
