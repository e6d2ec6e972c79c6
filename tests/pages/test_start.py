"""My waste: taken in with whatever is known, refused in one sentence, once."""

import pytest

from slake.records.models import Action, Lot
from slake.records.which import SAMPLE, using

THREE = {"row1__ingredient": "mussel shell", "row2__ingredient": "guar", "row3__ingredient": "alginate"}


def test_three_words_are_enough_and_slake_says_what_it_took(client, fill):
    answer = fill("/start/", **THREE)
    assert answer.status_code == 302 and answer["Location"] == "/start/taken/"
    assert [lot.ingredient for lot in Lot.objects.all()] == ["mussel_shell", "guar", "alginate"]
    page = client.get("/start/taken/").content.decode()
    assert "2.5 % (1.0 to 5.0)" in page  # the catalogue's 0.01, 0.025, 0.05 for mussel shell
    assert "common practice, no source" in page and "from memory, unverified" in page
    assert "One weighing before and after the oven would leave about 2.5 % (2.1 to 2.9)" in page
    assert "/read/oven_moisture/lot/" in page
    assert "Allergens: molluscs" in page and "Treat as raw" in page


def test_a_decimal_comma_is_a_decimal(fill):
    fill("/start/", row1__ingredient="mussel shell", row1__moisture_percent="1,5")
    assert Lot.objects.get().moisture_percent == 1.5


@pytest.mark.parametrize("typed", ["nan", "inf", "-3", "1,234.5", "12 lots", "1e400", "１２"])
def test_a_bad_number_is_refused_and_everything_typed_is_kept(fill, form_in, typed: str):
    answer = fill("/start/", row1__ingredient="mussel shell", row1__moisture_percent=typed, row2__ingredient="guar")
    assert answer.status_code == 422
    form = form_in(answer)
    assert form.alerts == 1
    assert form.values["row1-ingredient"] == "mussel shell" and form.values["row2-ingredient"] == "guar"
    assert form.values["row1-moisture_percent"] == typed
    assert not Lot.objects.exists() and not Action.objects.exists()


def test_an_unknown_ingredient_is_asked_what_it_is_for(fill, form_in):
    answer = fill("/start/", row1__ingredient="плавник")
    assert answer.status_code == 422 and "say what it is there for" in answer.content.decode()
    assert "<details open>" in answer.content.decode()
    assert fill("/start/", row1__ingredient="плавник", row1__role="filler").status_code == 302
    assert Lot.objects.get().name == "плавник"


@pytest.mark.parametrize("name", ["row1__ingredient", "row1__moisture_percent", "row1__note", "row1__dried"])
def test_a_million_characters_are_one_sentence(fill, name: str):
    answer = fill("/start/", **{"row1__ingredient": "guar", name: "a" * 10**6})
    assert answer.status_code == 422 and not Lot.objects.exists()


def test_nothing_typed_is_one_sentence(fill):
    answer = fill("/start/")
    assert answer.status_code == 422 and "fill in at least one" in answer.content.decode()


def test_the_same_form_twice_makes_the_lots_once(client, form_in):
    held = form_in(client.get("/start/")).values | {"row1-ingredient": "guar"}
    assert client.post("/start/", held).status_code == client.post("/start/", held).status_code == 302
    assert Lot.objects.count() == 1


def test_gone_back_to_and_changed_it_is_a_second_entry(client, form_in):
    held = form_in(client.get("/start/")).values
    client.post("/start/", held | {"row1-ingredient": "guar"})
    client.post("/start/", held | {"row1-ingredient": "alginate"})
    assert Lot.objects.count() == 2


def test_another_row_keeps_what_was_typed_and_saves_nothing(client, form_in):
    held = form_in(client.get("/start/")).values | {"row1-ingredient": "guar", "more": "1"}
    answer = client.post("/start/", held)
    form = form_in(answer)
    assert answer.status_code == 200 and not Lot.objects.exists()
    assert form.values["row1-ingredient"] == "guar" and form.values["rows"] == "4" and "row4-ingredient" in form.values


@pytest.mark.parametrize("rows", ["-1", "999999999", "x", "", "²"])
def test_a_made_up_number_of_rows_does_no_harm(client, rows: str):
    answer = client.post("/start/", {"rows": rows, "row1-ingredient": "guar", "entry": "a"})
    assert answer.status_code == 302 and Lot.objects.count() == 1


def test_the_sample_and_the_own_bench_are_never_mixed(client, form_in):
    held = form_in(client.get("/sample/start/")).values | {"row1-ingredient": "guar"}
    assert client.post("/sample/start/", held)["Location"] == "/sample/start/taken/"
    assert not Lot.objects.exists()
    with using(SAMPLE):
        assert Lot.objects.count() == 1
