"""A reading taken over days: begun, named on the first page, gone on with, and never overwritten."""

import pytest

from slake.actions.continuing import CONTINUED, begun
from slake.actions.reading import strike
from slake.records.models import Reading, Strike
from slake.records.values import standing_readings

WET = {"row1__wet_mm": "100", "row2__wet_mm": "101,5"}
BEGUN = {
    "shrinkage_bar": (WET, {"row1__dry_mm": "96", "row2__dry_mm": "97,4"}),
    "drying_curve": (
        {"row1__hours": "0", "row1__mass_g": "60"},
        {"row2__hours": "4", "row2__mass_g": "50", "row3__hours": "8", "row3__mass_g": "44"},
    ),
    "mould_watch": (
        {"row1__day": "1", "row1__mould_grade": "0"},
        {"row2__day": "2", "row2__mould_grade": "0"},
    ),
}


@pytest.fixture
def begin(fill, bench):
    def it(test: str) -> Reading:
        assert fill(f"/read/{test}/batch/{bench.runny.pk}/", **BEGUN[test][0]).status_code == 302
        return Reading.objects.get(test=test)

    return it


@pytest.mark.parametrize("test", sorted(BEGUN))
def test_a_begun_reading_is_due_comes_back_filled_in_and_the_later_one_counts(
    client, bench, fill, form_in, begin, test
):
    first = begin(test)
    page = client.get(f"/readings/{first.pk}/").content.decode()
    assert "Go on with it" in page and "Begun, and kept" in page
    home = client.get("/").content.decode()
    assert f"readings/{first.pk}/go-on/" in home and first.at.astimezone().strftime("%-d %b %Y") in home
    where, typed = f"/readings/{first.pk}/go-on/", dict(first.typed)
    held = form_in(client.get(where)).values
    assert all(held[name.replace("__", "-")] == text for name, text in BEGUN[test][0].items())
    answer = fill(where, **BEGUN[test][1])
    assert answer.status_code == 302
    later = Reading.objects.filter(test=test).last()
    assert len(later.typed["rows"]) == len({name.split("__")[0] for part in BEGUN[test] for name in part})
    first.refresh_from_db()
    assert first.typed == typed and first.strike.reason == CONTINUED
    assert [row.pk for row in standing_readings(bench.runny, test)] == [later.pk]
    assert "the later reading" in client.get(f"/readings/{first.pk}/").content.decode()
    assert "As it was begun" in client.get(answer["Location"]).content.decode()


def test_wet_marks_alone_say_nothing_yet_anywhere(client, bench, begin):
    first = begin("shrinkage_bar")
    assert first.headline_name == "wet_mm" and standing_readings(bench.runny, "shrinkage_bar") == []
    for where in (f"/readings/{first.pk}/", f"/batches/{bench.runny.number}/"):
        page = client.get(where).content.decode()
        assert "measure the dry length when dry" in page and "go on with it" in page.casefold()


def test_a_second_one_begun_by_mistake_is_offered_the_first(client, bench, begin):
    first = begin("mould_watch")
    assert f"/readings/{first.pk}/go-on/" in client.get(f"/read/mould_watch/batch/{bench.runny.pk}/").content.decode()
    assert "go-on" not in client.get(f"/read/mould_watch/batch/{bench.cracked.pk}/").content.decode()


def test_going_on_twice_with_one_form_is_one_reading_and_from_an_old_page_is_refused(client, form_in, begin):
    first = begin("shrinkage_bar")
    where = f"/readings/{first.pk}/go-on/"
    held = form_in(client.get(where)).values | {"row1-dry_mm": "96"}
    assert client.post(where, held)["Location"] == client.post(where, held)["Location"]
    assert Reading.objects.filter(test="shrinkage_bar").count() == 2 and Strike.objects.count() == 1
    refused = client.post(where, held | {"row1-dry_mm": "95"})
    assert refused.status_code == 422 and "open the latest one" in refused.content.decode()
    later = Reading.objects.last()
    assert client.get(where)["Location"] == f"/readings/{later.pk}/"


def test_where_the_later_one_was_struck_the_begun_one_is_gone_on_with_again(client, entry, fill, begin):
    first = begin("shrinkage_bar")
    fill(f"/readings/{first.pk}/go-on/", row1__dry_mm="96")
    strike(entry(), "reading", Reading.objects.last().pk, "the wrong bar")
    assert fill(f"/readings/{first.pk}/go-on/", row1__dry_mm="95,5").status_code == 302
    assert Strike.objects.filter(reading=first).count() == 1 and Reading.objects.count() >= 3


def test_a_wrong_later_row_is_refused_and_nothing_is_struck(fill, begin):
    first = begin("shrinkage_bar")
    answer = fill(f"/readings/{first.pk}/go-on/", row1__dry_mm="140")
    assert answer.status_code == 422 and not Strike.objects.exists()
    assert begun()[0].reading == first


def test_what_is_read_at_once_is_not_gone_on_with(client, bench):
    cone = bench.runny.readings.first()
    assert client.get(f"/readings/{cone.pk}/go-on/").status_code == 404
