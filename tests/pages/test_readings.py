"""Any declared test as a page: made from its declaration, refused in one sentence, kept raw."""

import pytest

from slake.bench.declaration import About, Choice
from slake.bench.shelf import all_tests
from slake.records.models import Reading, Strike
from tests.bench.good_readings import GOOD

OVEN = {
    "in_tare_g": "10",
    "in_wet_mass_g": "20",
    "row1__hours": "20",
    "row1__mass_g": "19,5",
    "row2__hours": "21",
    "row2__mass_g": "19,5",
}


def address(test, bench) -> str:
    return (
        f"/read/{test.id}/lot/{bench.shell.pk}/"
        if test.about is About.LOT
        else f"/read/{test.id}/batch/{bench.runny.pk}/"
    )


@pytest.mark.parametrize("test_id", sorted(all_tests()))
def test_the_form_asks_everything_that_is_declared(client, bench, form_in, test_id: str):
    test = all_tests()[test_id]
    answer = client.get(address(test, bench))
    form = form_in(answer)
    page = answer.content.decode()
    assert {f"in_{item.name}" for item in test.inputs} <= set(form.asked.values())
    assert all(column.name in str(form.asked.values()) for column in (test.rows.columns if test.rows else ()))
    assert all(step.split(".")[0][:20] in page.replace("&#x27;", "'") for step in test.procedure)
    words = [word for item in test.inputs if isinstance(item, Choice) for word in item.words.values()]
    assert all(word.split(",")[0] in page for word in words)


def test_an_oven_moisture_is_kept_as_typed_and_changes_what_is_known(client, bench, fill):
    answer = fill(f"/read/oven_moisture/lot/{bench.shell.pk}/", **OVEN)
    reading = Reading.objects.filter(lot=bench.shell).get()
    assert answer["Location"] == f"/readings/{reading.pk}/"
    assert reading.headline_value == pytest.approx(5.0)  # (20 - 19.5) / (20 - 10)
    assert reading.typed["rows"][0]["mass_g"] == "19,5"
    page = client.get(f"/readings/{reading.pk}/").content.decode()
    assert "oisture, wet basis 5 %" in page and "19,5" in page and "measured or stated here" in page


def test_a_cone_reading_says_pascals_window_and_what_to_do(client, bench, fill):
    """30 g, 30 deg, K 0.8, 26 mm: 0.8 x 0.030 x 9.81 / 0.026^2 = 348 Pa (own arithmetic, checks the coding)."""
    fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="26")
    page = client.get(f"/readings/{Reading.objects.last().pk}/").content.decode()
    assert "348 Pa" in page and "80 %:" in page and "11 to 17 mm" in page and "outside" in page
    assert "left in the bowl" in page or "wait" in page


@pytest.mark.parametrize("typed", ["nan", "inf", "", "-4", "400", "14 kg", "1.000.0", "9" * 10**6])
def test_a_reading_the_test_cannot_make_is_refused(fill, form_in, bench, typed: str):
    before = Reading.objects.count()
    answer = fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm=typed, in_cone_mass_g="33")
    assert answer.status_code == 422 and form_in(answer).alerts == 1
    assert form_in(answer).values["in_cone_depth_mm"] == typed and form_in(answer).values["in_cone_mass_g"] == "33"
    assert Reading.objects.count() == before


def test_a_word_that_is_not_offered_is_refused(fill, bench):
    answer = fill(f"/read/crack_grade/batch/{bench.runny.pk}/", in_crack_grade="splendid")
    assert answer.status_code == 422 and "choose one of" in answer.content.decode()


def test_the_same_reading_twice_is_one(client, bench, form_in):
    where = f"/read/fall_cone/batch/{bench.cracked.pk}/"
    before = Reading.objects.count()
    held = form_in(client.get(where)).values | {"in_cone_depth_mm": "14,5"}
    assert client.post(where, held)["Location"] == client.post(where, held)["Location"]
    assert Reading.objects.count() == before + 1


@pytest.mark.parametrize("typed", ["2199-01-01 10:00", "yesterday", "9999-99-99", "x" * 500])
def test_a_time_that_cannot_be_is_refused(fill, bench, typed: str):
    assert fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="15", taken=typed).status_code == 422


def test_a_reading_keeps_its_own_time(fill, bench):
    fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="15", taken="2026-11-03T10:00+00:00")
    assert Reading.objects.get(at="2026-11-03T10:00+00:00").headline_value == 15


@pytest.mark.parametrize("where", ["/read/fall_cone/lot/1/", "/read/oven_moisture/batch/1/", "/read/none/lot/1/"])
def test_a_test_of_something_else_is_not_found(client, bench, where: str):
    assert client.get(where).status_code == 404


def test_a_line_through_a_reading_needs_a_reason_and_erases_nothing(client, bench, fill):
    reading = bench.runny.readings.first()
    where = f"/strike/reading/{reading.pk}/"
    assert fill(where, reason="  ").status_code == 422
    assert fill(where, reason="the cone stood askew").status_code == 302
    assert Strike.objects.get().reading_id == reading.pk and Reading.objects.filter(pk=reading.pk).exists()
    page = client.get(f"/batches/{bench.runny.number}/").content.decode()
    assert "the cone stood askew" in page and 'class="struck"' in page
    assert fill(where, reason="again").status_code == 422
    assert client.get("/strike/lot/1/").status_code == 404


def test_good_readings_of_every_test_go_through_the_page(client, bench, form_in):
    """The readings that tests/bench keeps as good ones, typed into the generated pages."""
    for test_id, (fields, rows) in GOOD.items():
        where = address(all_tests()[test_id], bench)
        typed = {f"in_{name}": text for name, text in fields.items()}
        typed |= {f"row{n}-{name}": text for n, row in enumerate(rows, 1) for name, text in row.items()}
        held = form_in(client.get(where)).values | ({"rows": str(len(rows))} if rows else {})
        answer = client.post(where, held | typed)
        assert answer.status_code == 302, (test_id, answer.content.decode()[:3000])
        assert client.get(answer["Location"]).status_code == 200
