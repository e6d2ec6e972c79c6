"""One to three batches for today: asked, worked out once, shown with window and pending ones, begun once."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.test import Client

from slake import demo
from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.mixing import start_clock
from slake.actions.notebook import take_in
from slake.actions.reading import say_outcome
from slake.records.models import Batch, ProposalGiven
from slake.records.which import SAMPLE, using

LAST_DAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
ASKED = {"count": "2", "paste_g": "400", "days": "2"}


@pytest.fixture
def sample(client) -> Client:
    with using(SAMPLE):
        demo.load(LAST_DAY)
    return client


@pytest.fixture
def worked(sample) -> Client:
    assert sample.post("/sample/next/today/work/", ASKED).status_code == 302
    return sample


def page(client: Client, **more: str) -> str:
    return client.get("/sample/next/today/", {**ASKED, **more}).content.decode()


def test_asking_changes_nothing_and_waits_on_a_page_that_says_so(sample):
    assert "Choose the batches" in sample.get("/sample/next/today/").content.decode()
    said = page(sample)
    assert 'action="/sample/next/today/work/"' in said and "data-go-at-once" in said and "<progress" in said
    with using(SAMPLE):
        assert not ProposalGiven.objects.exists()
    answer = sample.post("/sample/next/today/work/", ASKED)
    assert answer["Location"] == "/sample/next/today/?count=2&paste_g=400&days=2"


def test_two_recipes_in_grams_with_range_binding_line_and_what_they_settle(worked):
    said = page(worked)
    assert said.count("Mix recipe") == 2 and "Two batches to mix now" in said
    with using(SAMPLE):
        rows = list(ProposalGiven.objects.order_by("id"))
    for row in rows:
        low, mid, high = row.answer["chance"]
        assert f"Chance that all lines hold: {100 * mid:.0f} % (80 %: {100 * low:.0f} to {100 * high:.0f} %)" in said
    assert said.count("The line that binds:") == 2 and said.count(">What it would settle<") == 2
    assert f"at least one of them holds every line: {100 * rows[0].answer['any_holds']:.0f} %" in said
    tables = re.findall(r'<table class="stack amounts">.*?</table>', said, re.S)
    for table in tables:
        grams = [float(g) for g in re.findall(r'data-label="grams">([\d.]+) g', table)]
        assert sum(grams) == pytest.approx(400, abs=0.8)
    assert "runs out first" in said


def test_the_recipes_stand_side_by_side_before_each_in_full(worked):
    said = page(worked)
    beside = re.search(r'<table class="dense beside">.*?</table>', said, re.S).group(0)
    with using(SAMPLE):
        rows = list(ProposalGiven.objects.order_by("id"))
    for name in ("water", "shell B"):
        found = re.search(rf">{name}</th>(.*?)</tr>", beside, re.S).group(1)
        grams = [float(g) for g in re.findall(r">([\d.]+)</td>", found)]
        assert grams == pytest.approx([400 * row.answer["fractions"].get(name, 0.0) for row in rows], abs=0.051)
    for number in (1, 2):
        assert f'href="#recipe{number}"' in beside and f'id="recipe{number}"' in said
    assert "side by side" not in page(worked, count="1").casefold()


def test_in_two_days_nothing_dries_and_the_page_says_what_wet_readings_settle(worked):
    assert "only wet readings can settle anything by then" in page(worked)


def test_the_sample_may_stop_and_shows_the_window_in_grams_of_this_size(worked):
    said = page(worked)
    assert "Good enough: you may stop here" in said and "The window you may weigh within" in said
    with using(SAMPLE):
        enough = ProposalGiven.objects.first().answer["stands"]["enough"]
    shell = enough["fractions"]["shell B"] * 400
    low, high = (shell * (1 + off) for off in enough["window"]["together"]["shell B"])
    assert f"{low:.1f} g" in said and f"{high:.1f} g" in said and low < shell < high
    assert f"/sample/recipes/{enough['recipe']}/" in said
    assert "batch 8, batch 12" in said and "2 times" in said


def test_a_batch_begun_and_not_read_is_counted_on(sample):
    with using(SAMPLE):
        last = Batch.objects.last()
        before = Batch.objects.count()
    sample.post("/sample/next/today/work/", ASKED)
    with using(SAMPLE):
        given = ProposalGiven.objects.first()
    assert sample.post(f"/sample/next/today/{given.pk}/mix/", ASKED).status_code == 302
    with using(SAMPLE):
        assert Batch.objects.count() == before + 1
        made = Batch.objects.last()
        start_clock(Entry(id="water", at=LAST_DAY), made.pk)
        say_outcome(Entry(id="said", at=LAST_DAY), made.pk, "good")
    sample.post("/sample/next/today/work/", ASKED)
    assert f"/sample/batches/{made.number}/" in page(sample) and "Still drying and counted on" in page(sample)
    assert last.number < made.number


def test_mixing_one_begins_it_once_and_an_older_page_begins_nothing(worked):
    with using(SAMPLE):
        first, second = ProposalGiven.objects.order_by("id")
        before = Batch.objects.count()
    sent = {**ASKED, "entry": "same"}
    found = {worked.post(f"/sample/next/today/{second.pk}/mix/", sent)["Location"] for _ in range(2)}
    assert found == {f"/sample/batches/{before + 1}/bench/"}
    with using(SAMPLE):
        assert Batch.objects.count() == before + 1 and Batch.objects.last().proposal == second
        say_outcome(Entry(id="new", at=LAST_DAY), Batch.objects.get(number=12).pk, "stalled")
    late = worked.post(f"/sample/next/today/{first.pk}/mix/", ASKED)
    assert late.status_code == 422 and "look again" in late.content.decode()


@pytest.mark.parametrize(
    "typed", [{"count": "9"}, {"count": "two"}, {"paste_g": "-1"}, {"paste_g": "1e9"}, {"days": "nan"}, {"days": "<b>"}]
)
def test_what_cannot_be_asked_is_one_sentence_on_the_page(client, bench, form_in, typed):
    for answer in (
        client.get("/next/today/", {**ASKED, **typed}),
        client.post("/next/today/work/", {**ASKED, **typed}),
    ):
        assert answer.status_code == 422 and form_in(answer).alerts == 1
    assert not ProposalGiven.objects.exists()


def test_more_than_the_stock_names_the_lot_on_the_page(client, bench):
    answer = client.post("/next/today/work/", {**ASKED, "paste_g": "90000"})
    assert answer.status_code == 422
    assert re.search(r"there are [\d.]+ g of [^<]+ left: mix \d+ g or less", answer.content.decode())


def test_the_one_batch_page_says_where_it_stands_and_leads_to_several(sample):
    sample.post("/sample/next/work/")
    said = sample.get("/sample/next/").content.decode()
    assert "Good enough: you may stop here" in said and 'href="/sample/next/today/"' in said


def test_an_empty_bench_is_told_what_to_do_first(client):
    assert "first say what waste and gums you have" in client.get("/next/today/", ASKED).content.decode()


def test_a_lucky_batch_two_equal_ones_and_an_unread_line_stand_on_the_page(client, bench, fill):
    fill("/notebook/", lines="shell 300, guar 3, alginate 7, water 150 - good; cone 14 mm at 60 min", save="yes")
    fill("/notebook/", lines="shell 300, guar 3, alginate 7, water 150 - stalled; cone 7 mm at 60 min", save="yes")
    client.post("/next/work/")
    said = client.get("/next/").content.decode()
    assert "are one recipe and ended differently" in said and "Look at twice" in said
    assert "scatter alone may have done that" in said and "/recipes/" in said


def test_bounds_that_leave_no_recipe_are_one_sentence_on_the_page(client, entry):
    """Two wastes, both only ever mixed as a trace: twice the most of each leaves no recipe with usual water."""
    take_lots(entry(), [{"ingredient": name} for name in ("mussel shell", "spent grain", "guar")])
    take_in(entry(), "shell 6, spent grain 6, guar 40, water 900 - too runny")
    for address in ("/next/", "/next/today/?count=1"):
        said = client.get(address)
        assert said.status_code == 422
        assert "the bounds leave no recipe" in said.content.decode()
