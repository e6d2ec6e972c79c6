"""Whether the ranges kept their word, as a page: without the batch itself, and as given before it was mixed."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client

from slake import demo
from slake.actions.campaign import tell
from slake.actions.entry import Entry
from slake.actions.kept_word import as_given, look_back, plain_of, remembered
from slake.actions.mixing import begin_batch, start_clock, weigh
from slake.actions.notebook import take_in
from slake.actions.proposing import propose_next
from slake.actions.reading import log_reading
from slake.ground.evidence import Range
from slake.jobs.doing import work
from slake.pages.known_so_far.map_drawing import PANEL
from slake.pages.known_so_far.word_drawing import Bar, Bars, draw_bars
from slake.records.models import Batch, Job, ProposalGiven, Reading
from slake.records.which import SAMPLE, using

LAST_DAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch):
    monkeypatch.setattr("slake.actions.kept_word._kept", {})


@pytest.fixture
def sample(client) -> Client:
    with using(SAMPLE):
        demo.load(LAST_DAY)
    return client


def shown(client: Client, door: str = "/sample") -> str:
    return client.get(f"{door}/kept-word/").content.decode()


@pytest.fixture
def of_many(monkeypatch):
    """As if there were more batches than are looked back at while a page waits."""
    monkeypatch.setattr("slake.pages.known_so_far.word_views.AT_ONCE", 3)
    monkeypatch.setattr("slake.pages.known_so_far.word_views.WHILE_WAITING", 3)


def test_more_batches_are_looked_back_at_behind_a_waiting_page(sample, monkeypatch):
    monkeypatch.setattr("slake.pages.known_so_far.word_views.AT_ONCE", 3)
    assert "Work it out" in shown(sample)
    assert sample.post("/sample/kept-word/", {"entry": "look"})["Location"] == "/sample/kept-word/"
    assert "readings lay where eight in ten should" in shown(sample)


def test_the_sample_says_in_one_sentence_whether_the_ranges_kept_their_word(sample):
    page = shown(sample)
    assert re.search(r"(kept their word|too narrow|too wide|Too few readings to say): \d+ % of \d+ readings", page)
    assert re.search(r"90 % interval of that share: \d+ % to \d+ %", page)


def test_every_line_has_its_readings_its_share_and_its_score(sample):
    page = shown(sample)
    table = page[page.index("Line by line") : page.index("Interval score:")]
    assert len(re.findall(r'data-label="inside \(90 % interval\)">\d+ % \(\d+ % to \d+ %\)', table)) == 4
    assert len(re.findall(r'data-label="mean interval score">[\d.]+', table)) == 4
    with using(SAMPLE):
        read = {(r.batch_id, r.test) for r in Reading.objects.filter(test="crack_grade", strike__isnull=True)}
    assert f'data-label="readings">{len(read)}<' in table


def test_every_drawing_is_there(sample):
    page = shown(sample)
    addresses = re.findall(r'src="(/sample/kept-word/panel\.svg\?[^"]+)"', page)
    assert len(addresses) == 4
    for address in addresses:
        assert b"foretold:" in sample.get(address.replace("&amp;", "&")).content


def test_a_changed_reading_of_a_batch_leaves_what_was_foretold_of_it(bench, entry):
    """Through the rows of a bench: the cone, and how well it is repeated."""
    foretold = []
    for value in ("13", "13.4", "30"):
        read_cone(entry(60), bench.cracked, value)
        told = tell()
        foretold.append([one for one in look_back(told) if told.batches[one.batch] == bench.cracked])
    around = [[one.around for one in found] for found in foretold]
    assert len(around[0]) == 1 and around[0] == around[1] == around[2]
    assert foretold[0] != foretold[2]


def read_cone(entry: Entry, batch: Batch, value: str) -> Reading:
    fields = {"cone_mass_g": "30", "cone_angle": "30", "cone_depth_mm": value}
    return log_reading(entry, "fall_cone", ("batch", batch.pk), fields)


def test_few_readings_are_too_few_to_say(bench, client):
    page = shown(client, "")
    assert "Too few readings to say" in page and "No batch with a reading was mixed from a proposal" in page


def test_an_empty_bench_has_nothing_to_compare(client):
    assert "There is nothing to compare yet" in client.get("/kept-word/").content.decode()
    assert client.get("/kept-word/panel.svg").status_code == 404


def begun(entry) -> Batch:
    """A batch of the proposal that stands, with its clock running; nothing is weighed otherwise than proposed."""
    batch = begin_batch(entry(200), propose_next(entry(190)).pk, {"dry_g": "300"})
    start_clock(entry(200), batch.pk)
    return batch


def test_what_a_proposal_foretold_is_compared_as_it_was_given(bench, entry, client):
    batch = begun(entry)
    read_cone(entry(260), batch, "13")
    (one,) = as_given(tell())
    low, mid, high = ProposalGiven.objects.get().answer["predictions"]["cone_depth_mm"]
    assert (one.number, one.as_proposed, one.one.low) == (batch.number, True, 13.0)
    assert one.one.around == Range(low=low, mid=mid, high=high)
    page = shown(client, "")
    given = page[page.index("As given before the batch was mixed") :]
    assert "as proposed" in given and "13.0 mm" in given


def test_a_batch_weighed_otherwise_is_listed_and_not_counted(bench, entry, client):
    batch = begun(entry)
    for amount in batch.amounts.all():
        weigh(entry(205), batch.pk, amount.order, f"{amount.target_g * (1.3 if amount.lot is None else 1.0):.1f}")
    read_cone(entry(260), batch, "25")
    (one,) = as_given(tell())
    assert not one.as_proposed
    given = shown(client, "").split("As given before the batch was mixed")[1]
    assert "otherwise: not counted" in given and "No reading of a line of the brief to compare yet." in given


def test_a_stiffness_read_hours_later_is_not_what_was_foretold_for_an_hour(bench, entry):
    batch = begun(entry)
    read_cone(entry(200 + 300), batch, "9")
    assert as_given(tell()) == []


def plain(foretold: list) -> list:
    return [(one.batch, one.name, one.around, one.low, one.high) for one in foretold]


def test_work_for_many_batches_is_kept_and_found_again(sample, of_many, monkeypatch):
    answer = sample.post("/sample/kept-word/", {"entry": "many"})
    assert re.fullmatch(r"/sample/jobs/\d+/", answer["Location"])
    with using(SAMPLE):
        assert remembered(tell()) is None
        work(lambda: LAST_DAY)
        job = Job.objects.last()
        assert job.state == "done" and 0 < job.done <= job.total == 14
        monkeypatch.setattr("slake.actions.kept_word._kept", {})
        kept = remembered(tell())
        assert plain(kept) == plain(look_back(tell()))
    assert "Did the ranges keep their word?" in sample.get(answer["Location"]).content.decode()
    assert "readings lay where eight in ten should" in sample.get("/sample/kept-word/").content.decode()


def test_work_asked_for_before_something_new_was_read_is_refused(sample, of_many):
    sample.post("/sample/kept-word/", {"entry": "late"})
    with using(SAMPLE):
        take_in(
            Entry(id="more", at=LAST_DAY), "shell B 300, guar B 3, alginate B 4, water 200 - good; cone 14 mm at 60 min"
        )
        work(lambda: LAST_DAY + timedelta(minutes=1))
        assert Job.objects.last().state == "refused" and "something new was read" in Job.objects.last().words


def test_bars_of_every_kind_can_be_drawn_and_the_same_give_the_same_bytes():
    bars = Bars(
        bars=tuple(
            Bar(label=str(i), low=1.0 + i, mid=2.0 + i, high=4.0 + i, read=2.5, inside=i < 2, open_side=i - 1)
            for i in range(3)
        ),
        words="cone, mm",
    )
    first = draw_bars(bars, PANEL)
    draw_bars.cache_clear()
    assert draw_bars(bars, PANEL) == first and b"</svg>" in draw_bars(Bars(bars=(), words="x"), PANEL)


def test_plain_data_holds_open_ends(sample):
    with using(SAMPLE):
        rows = plain_of(look_back(tell()))
    assert any(row["high"] is None for row in rows)  # walls that all stood
    assert all(math.isfinite(end) for row in rows for end in (row["low"], row["high"]) if end is not None)
