"""The next batch: worked out once, said with chance and reason, weighed out, begun once."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.test import Client

from slake import demo
from slake.actions.entry import Entry
from slake.actions.proposing import propose_next
from slake.actions.reading import say_outcome
from slake.records.models import Batch, ProposalGiven
from slake.records.which import SAMPLE, using

LAST_DAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.fixture
def sample(client) -> Client:
    """The sample workshop with its next batch worked out."""
    with using(SAMPLE):
        demo.load(LAST_DAY)
        propose_next(Entry(id="one", at=LAST_DAY))
    return client


def grams_on(page: str) -> dict[str, float]:
    cells = re.findall(r'<th scope="row">([^<]+)</th>\s*<td class="num grams"[^>]*>([\d.]+) g', page)
    found: dict[str, float] = {}
    for name, grams in cells:  # what is weighed in portions stands there more than once
        found[name] = found.get(name, 0.0) + float(grams)
    return found


def test_looking_at_next_changes_nothing_and_asks_to_work_it_out(client):
    with using(SAMPLE):
        demo.load(LAST_DAY)
    page = client.get("/sample/next/").content.decode()
    with using(SAMPLE):
        assert not ProposalGiven.objects.exists()
    assert 'action="/sample/next/work/"' in page and "data-go-at-once" in page
    assert client.get("/sample/next/work/").status_code == 405
    for _ in range(2):
        assert client.post("/sample/next/work/")["Location"] == "/sample/next/"
    with using(SAMPLE):
        assert ProposalGiven.objects.count() == 1
    assert "Mix this" in client.get("/sample/next/").content.decode()


def test_the_chance_is_said_as_given_with_its_range(sample):
    page = sample.get("/sample/next/").content.decode()
    with using(SAMPLE):
        low, mid, high = ProposalGiven.objects.get().answer["chance"]
    assert f"Chance that all lines hold: {100 * mid:.0f} % (80 %: {100 * low:.0f} to {100 * high:.0f} %)" in page


def test_every_line_has_prediction_window_and_chance(sample):
    page = sample.get("/sample/next/").content.decode()
    table = page[page.index("What slake expects of it") :]
    for words in ("10 to 15", "at least 35", "at most 7", "at most 1", "passes the nozzle", "does not clog"):
        assert words in table
    assert len(re.findall(r'data-label="chance by itself">', table)) == 6


def test_grams_are_as_received_in_order_with_part_of_the_water_last(sample):
    """300 g dry by hand: the parts as given, each over one less its moisture; water is what is left to W."""
    page = sample.get("/sample/next/").content.decode()
    grams = grams_on(page)
    assert next(iter(grams)) == "water, now" and list(grams)[-1] == "water held back"
    with using(SAMPLE):
        answer = ProposalGiven.objects.get().answer
    shell = 300 * answer["parts"]["shell B"] / (1 - 0.025)  # nobody read shell B: the catalogue's 2.5 %
    assert grams["shell B"] == pytest.approx(shell, abs=0.06) or "shell B" not in answer["parts"]
    paste = sum(grams.values())
    assert paste == pytest.approx(300 * (1 + answer["water_per_dry"]), abs=0.5)
    assert grams["water held back"] == pytest.approx(0.1 * (grams["water held back"] + grams["water, now"]), abs=0.1)


def test_the_cone_to_expect_stands_beside_the_card(sample):
    page = sample.get("/sample/next/").content.decode()
    with using(SAMPLE):
        low, mid, high = ProposalGiven.objects.get().answer["predictions"]["cone_depth_mm"]
    assert f"the cone should read {mid:.1f} mm" in page and f"({low:.1f} to {high:.1f} mm, 8 times in 10)" in page
    assert "Read with the 30 g, 30 deg cone" in page


def test_mask_mollusc_and_raw_waste_are_warned_of(sample):
    page = sample.get("/sample/next/").content.decode()
    for words in ("dust mask", "Mollusc", "gluten", "treat as raw", "ram pinches", "not a clearance"):
        assert words in page


def test_another_size_is_shown_without_beginning_anything(sample):
    page = sample.post("/sample/next/", {"look": "yes", "dry_g": "150"}).content.decode()
    whole = grams_on(sample.get("/sample/next/").content.decode())
    half = grams_on(page)
    assert half["water, now"] == pytest.approx(whole["water, now"] / 2, abs=0.3)
    with using(SAMPLE):
        assert Batch.objects.count() == 14


def test_mix_this_begins_the_batch_once_and_opens_its_bench(sample, form_in):
    held = form_in(sample.get("/sample/next/")).values
    for _ in range(2):
        answer = sample.post("/sample/next/", {**held, "dry_g": "300", "mix": "yes"})
        assert answer.status_code == 302 and answer["Location"] == "/sample/batches/15/bench/"
    with using(SAMPLE):
        assert Batch.objects.count() == 15
        assert Batch.objects.last().proposal == ProposalGiven.objects.get()


def test_cartridges_choose_the_size(sample, form_in):
    held = form_in(sample.get("/sample/next/")).values
    answer = sample.post(
        "/sample/next/", {**held, "dry_g": "", "cartridges": "1", "cartridge_ml": "500", "look": "yes"}
    )
    paste = sum(grams_on(answer.content.decode()).values())
    assert 500 < paste < 1500  # half a litre of shell paste is 0.7 to 0.8 kg before purge and losses


@pytest.mark.parametrize("typed", ["nan", "-1", "0", "1e9", "half a bag", "1,000.5", "٣٠٠"])
def test_a_size_that_cannot_be_is_one_sentence_and_begins_nothing(sample, form_in, typed):
    held = form_in(sample.get("/sample/next/")).values
    for button in ("look", "mix"):
        answer = sample.post("/sample/next/", {**held, "dry_g": typed, button: "yes"})
        assert answer.status_code == 422 and form_in(answer).alerts == 1
        assert form_in(answer).values["dry_g"] == typed
    with using(SAMPLE):
        assert Batch.objects.count() == 14


def test_more_than_the_stock_is_refused_in_one_sentence(sample, form_in):
    held = form_in(sample.get("/sample/next/")).values
    answer = sample.post("/sample/next/", {**held, "dry_g": "50000", "mix": "yes"})
    assert answer.status_code == 422 and "its lot has" in answer.content.decode()


def test_a_page_opened_before_something_new_was_read_is_not_mixed_from(sample, form_in):
    held = form_in(sample.get("/sample/next/")).values
    with using(SAMPLE):
        say_outcome(Entry(id="new", at=LAST_DAY), Batch.objects.get(number=12).pk, "stalled")
        propose_next(Entry(id="two", at=LAST_DAY))
    answer = sample.post("/sample/next/", {**held, "mix": "yes"})
    assert answer.status_code == 422 and "something new was read" in answer.content.decode()
    with using(SAMPLE):
        assert Batch.objects.count() == 14


def test_a_bench_without_lots_is_told_what_to_do_first(client):
    page = client.get("/next/")
    assert page.status_code == 200 and "first say what waste and gums you have" in page.content.decode()
    assert client.post("/next/work/").status_code == 422


def test_a_first_batch_needs_no_evidence(client, bench):
    assert client.post("/next/work/").status_code == 302
    page = client.get("/next/").content.decode()
    assert "Mix this" in page and grams_on(page)


def test_where_nothing_like_it_was_tried_the_page_says_so(client, bench):
    client.post("/next/work/")
    given = ProposalGiven.objects.get()
    assert ("Outside what this bench has tried" in client.get("/next/").content.decode()) == bool(
        given.answer["outside"]
    )
