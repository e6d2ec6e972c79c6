"""A lab's own reading is declared once, read of a batch like any other, and known to the notebook."""

from __future__ import annotations

import pytest

from slake.actions.mixing import begin_batch, start_clock
from slake.actions.own_readings import declare_reading, key_of
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading
from slake.bench import shelf
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
