"""The map: each batch where it lies, how it ended in shape and words, and which line it broke."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from xml.etree import ElementTree

import pytest
from django.test import Client

from slake import demo
from slake.actions.entry import Entry
from slake.actions.proposing import propose_next
from slake.pages.next.chart import PHONE, WIDE, Dot, draw
from slake.pages.next.marks import CRACKED, FELL, GOOD, NEXT, NO_WORDS, TOO_SOFT, TOO_STIFF, mark_of
from slake.records.which import SAMPLE, using

LAST_DAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.fixture
def sample(client) -> Client:
    with using(SAMPLE):
        demo.load(LAST_DAY)
    return client


@pytest.mark.parametrize(
    ("words", "mark"),
    [
        ("too runny", TOO_SOFT),
        ("kept oozing, leaned", TOO_SOFT),
        ("stalled", TOO_STIFF),
        ("clogged", TOO_STIFF),
        ("fell at layer 9", FELL),
        ("good but cracked", CRACKED),
        ("good", GOOD),
        ("printed well", GOOD),
        ("", NO_WORDS),
        ("words of tomorrow", NO_WORDS),
    ],
)
def test_every_ending_has_its_mark(words, mark):
    assert mark_of(words) is mark


def test_marks_differ_in_shape_and_words_not_only_in_colour():
    marks = [TOO_SOFT, TOO_STIFF, FELL, CRACKED, GOOD, NO_WORDS, NEXT]
    for part in ("shape", "glyph", "words"):
        assert len({getattr(mark, part) for mark in marks}) == len(marks)


def test_the_page_names_every_batch_with_its_ending_and_lines(sample):
    page = sample.get("/sample/map/").content.decode()
    rows = re.findall(r"<tr>.*?</tr>", page, re.DOTALL)[1:]
    assert len(rows) == 12
    assert "stalled" in rows[0] and ">broke<" in rows[0] and ">not read<" in rows[0]
    assert "printed well" in rows[7] and rows[7].count(">held<") == 5
    assert "good but cracked" in rows[10] and rows[10].count(">broke<") == 2


def test_the_proposal_is_on_the_map_once_it_stands(sample):
    assert "Work out batch 13" in sample.get("/sample/map/").content.decode()
    with using(SAMPLE):
        propose_next(Entry(id="one", at=LAST_DAY))
    page = sample.get("/sample/map/").content.decode()
    assert "See batch 13 in grams" in page and "Proposed next: water 0." in page


def test_the_drawing_is_an_svg_with_the_text_of_both_axes_and_every_number(sample):
    for shape in ("wide", "phone"):
        answer = sample.get(f"/sample/map/{shape}.svg")
        assert answer["Content-Type"] == "image/svg+xml"
        texts = {
            "".join(t.itertext()).strip() for t in ElementTree.fromstring(answer.content).iter() if "text" in t.tag
        }
        assert {"water, g per g dry solids", "gum, g per 100 g water"} <= texts
        assert {str(n) for n in range(1, 13)} <= {text.split(" ")[0] for text in texts}


def test_a_drawing_of_another_shape_is_no_page(sample):
    assert sample.get("/sample/map/round.svg").status_code == 404


def test_the_page_gives_both_shapes_and_words_for_them_and_no_inline_style(sample):
    page = sample.get("/sample/map/").content.decode()
    assert "/sample/map/wide.svg" in page and "/sample/map/phone.svg" in page
    assert re.search(r'alt="Map of 12 batches over water \(0\.\d\d to 1\.\d\d g per g dry solids\)', page)
    assert "style=" not in page and "<style" not in page


def test_an_empty_bench_has_a_map_that_says_so(client):
    assert "Nothing is on the map yet" in client.get("/map/").content.decode()
    assert client.get("/map/wide.svg").status_code == 200


def test_the_same_points_give_the_same_bytes():
    dots = (Dot(label="1", water_per_dry=0.6, thickener_per_100_water=1.2, mark=GOOD, words="good"),)
    for shape in (WIDE, PHONE):
        first = draw(dots, shape)
        draw.cache_clear()
        assert draw(dots, shape) == first
    assert b"<dc:date>" not in first


def test_many_points_in_one_place_and_none_at_all_can_be_drawn():
    same = [
        Dot(label=str(n), water_per_dry=0.6, thickener_per_100_water=0.0, mark=FELL, words="x" * 34) for n in range(40)
    ]
    assert draw(tuple(same), PHONE).count(b"<use") >= 40
    assert b"</svg>" in draw((), WIDE)
