"""A lab declares its flow table in a form, reads it of a batch, and the value at the end of its scale is one-sided."""

from __future__ import annotations

import pytest

from slake.bench import shelf
from slake.records.models import OwnTest, Reading
from slake.records.own_tests import declared_here


@pytest.fixture(autouse=True)
def lent():
    shelf.lend(declared_here)
    yield
    shelf.lend(None)


def test_declared_in_a_form_and_read_like_any_other(client, bench, fill):
    answer = fill("/tests/own/", title="Flow", unit="cm", floor="20")
    assert answer["Location"] == "/tests/own/"
    listed = client.get("/tests/own/").content.decode()
    assert "from 20, no end cm" in listed and "flow_cm" in listed
    assert "Flow" in client.get("/tests/").content.decode()
    assert "nothing about it is known to slake" in client.get("/tests/flow_cm/").content.decode()
    fill(f"/read/flow_cm/batch/{bench.runny.pk}/", in_flow_cm="20,0")
    page = client.get(f"/readings/{Reading.objects.last().pk}/").content.decode()
    assert "lower end of its scale" in page and "below 20 cm" in page


def test_it_becomes_a_line_of_the_brief(client, bench, fill):
    fill("/tests/own/", title="Flow", unit="cm", floor="20")
    assert "Flow" in client.get("/brief/").content.decode()


def test_a_refused_one_keeps_what_was_typed(client, bench, fill, form_in):
    answer = fill("/tests/own/", title="Flow", unit="cm", floor="20", ceiling="10")
    assert answer.status_code == 422 and not OwnTest.objects.exists()
    assert form_in(answer).values["floor"] == "20"


def test_a_word_of_a_built_in_test_is_refused_in_the_form(client, bench, fill):
    answer = fill("/tests/own/", title="fall cone", unit="mm")
    assert answer.status_code == 422 and "own test “Fall cone" in answer.content.decode()
    assert not OwnTest.objects.exists()


def test_a_declaration_is_struck_from_the_page_and_told(client, bench, fill):
    page = fill("/tests/own/", title="Flow", unit="cm", floor="20")
    assert "“Flow” is declared" in client.get(page["Location"]).content.decode()
    own = OwnTest.objects.get()
    assert f"/tests/own/{own.pk}/strike/" in client.get("/tests/own/").content.decode()
    assert fill(f"/tests/own/{own.pk}/strike/", reason="").status_code == 422
    page = fill(f"/tests/own/{own.pk}/strike/", reason="a slip")
    listed = client.get(page["Location"]).content.decode()
    assert "“Flow” is struck through" in listed and "a slip" in listed
    assert client.get("/tests/flow_cm/").status_code == 404
    assert "flow_cm" not in client.get("/tests/").content.decode()
    assert client.get("/tests/own/99/strike/").status_code == 404
