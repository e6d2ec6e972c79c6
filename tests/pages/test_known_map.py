"""The map: each batch where it lies, how it ended in shape and words, and which line it broke."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from xml.etree import ElementTree

import pytest
from django.test import Client

from slake import demo
from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.notebook import take_in
from slake.actions.proposing import propose_next
from slake.campaign.seen_map import cut
from slake.pages.known_so_far.dots import BROKE, HELD, UNREAD, Dot
from slake.pages.known_so_far.map_drawing import PANEL, Field, draw_field
from slake.pages.next.chart import PHONE, WIDE
from slake.pages.next.marks import CRACKED, FELL, GOOD, NEXT, NO_WORDS, TOO_SOFT, TOO_STIFF, mark_of
from slake.records.models import Batch
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
    table = page[page.index("Each batch against the brief") :]
    rows = re.findall(r"<tr>.*?</tr>", table, re.DOTALL)[1:]
    assert len(rows) == 14
    assert "stalled" in rows[0] and ">broke<" in rows[0] and ">not read<" in rows[0]
    assert "printed well" in rows[7] and rows[7].count(">held<") == 6
    assert "good but cracked" in rows[10] and rows[10].count(">broke<") == 2


def test_the_proposal_is_on_the_map_once_it_stands(sample):
    assert "Work out batch 15" in sample.get("/sample/map/").content.decode()
    with using(SAMPLE):
        propose_next(Entry(id="one", at=LAST_DAY))
    assert "See batch 15 in grams" in sample.get("/sample/map/").content.decode()
    assert "next" in words_of(sample.get("/sample/map/wide.svg"))


def words_of(answer) -> set[str]:
    """Every text of a drawing, and its first word."""
    assert answer["Content-Type"] == "image/svg+xml"
    texts = {"".join(t.itertext()).strip() for t in ElementTree.fromstring(answer.content).iter() if "text" in t.tag}
    return texts | {part for text in texts for part in (text.split(" ")[0], text.split(" ")[-1])}


def test_the_drawing_is_an_svg_with_the_text_of_both_axes_every_number_and_lines_of_chance(sample):
    page = sample.get("/sample/map/").content.decode()
    off = re.findall(r"batch (\d+)", re.search(r"Far from most.*?\.", page, re.DOTALL)[0])
    with using(SAMPLE):
        every = {str(number) for number in Batch.objects.values_list("number", flat=True)}
    for shape in ("wide", "phone"):
        texts = words_of(sample.get(f"/sample/map/{shape}.svg"))
        assert {"water, g per g dry solids", "guar gum, g per 100 g water", "50 %"} <= texts
        assert off == ["13"] and every - set(off) <= texts  # 13 is of the thirsty leaf, at more than twice the water


def test_the_map_of_one_line_marks_batches_by_that_line(sample):
    texts = words_of(sample.get("/sample/map/panel.svg?line=shrinkage_percent"))
    assert {HELD.words, BROKE.words, UNREAD.words} <= texts


def test_a_drawing_of_another_shape_is_no_page(sample):
    assert sample.get("/sample/map/round.svg").status_code == 404


def test_the_page_gives_both_shapes_and_words_for_them_and_no_inline_style(sample):
    page = sample.get("/sample/map/").content.decode()
    assert "/sample/map/wide.svg" in page and "/sample/map/phone.svg" in page
    assert re.search(r'alt="Map over water \(0\.\d\d to \d\.\d\d g per g dry solids\) and guar gum', page)
    assert "style=" not in page and "<style" not in page


def test_every_drawing_of_the_page_has_its_table(sample):
    page = sample.get("/sample/map/").content.decode()
    assert page.count("<img ") - 1 == page.count('class="dense chances"') == 7  # one image is the mark of slake


def test_other_axes_and_another_recipe_to_hold_the_rest_at(sample):
    usual = sample.get("/sample/map/").content.decode()
    other = sample.get("/sample/map/?across=spent+brewery+grain&up=sodium+alginate&at=5").content.decode()
    assert "Map over spent brewery grain" in other and "Map over spent brewery grain" not in usual
    assert re.search(r'<option value="5" selected>batch 5: good', other)
    held = re.search(r"Held at.*?</p>", other, re.DOTALL)[0]
    assert "water 0.74 g per g dry solids" in held  # batch 5 as it was mixed


@pytest.mark.parametrize("query", ["across=soup", "across=water&up=water", "at=%00", "up=" + "x" * 500])
def test_what_cannot_be_looked_along_is_said_and_the_usual_map_stays(sample, query):
    answer = sample.get(f"/sample/map/?{query}")
    page = answer.content.decode()
    assert answer.status_code == 422 and 'class="problem"' in page and "All lines together" in page


def test_an_empty_bench_has_a_map_that_says_so(client):
    assert "Nothing is on the map yet" in client.get("/map/").content.decode()
    assert client.get("/map/wide.svg").status_code == 200


def field(dots, xs=(0.0, 1.0)) -> Field:
    chance = ((0.1, 0.9), (0.3, 0.6))
    tried = ((True, False), (True, True))
    return Field(xs=xs, ys=(0.0, 1.0), chance=chance, tried=tried, held=(0.5, 0.5), across="x", up="y", dots=dots)


def test_the_same_points_give_the_same_bytes():
    one = field((Dot(label="1", x=0.6, y=0.5, mark=GOOD, words="good"),))
    for shape in (WIDE, PHONE, PANEL):
        first = draw_field(one, shape)
        draw_field.cache_clear()
        assert draw_field(one, shape) == first
    assert b"<dc:date>" not in first


def test_a_hollow_mark_differs_without_colour():
    """Its face is white: on paper without colour it is still told from a filled one."""
    filled, hollow = (
        draw_field(field((Dot(label="1", x=0.6, y=0.5, mark=GOOD, hollow=hollow),)), PANEL) for hollow in (False, True)
    )
    assert hollow.count(b"fill: #ffffff") > filled.count(b"fill: #ffffff")


def test_many_points_in_one_place_and_none_at_all_can_be_drawn():
    same = tuple(Dot(label=str(n), x=0.6, y=0.0, mark=FELL, words="x" * 34) for n in range(40))
    assert draw_field(field(same), PHONE).count(b"<use") >= 40
    assert b"</svg>" in draw_field(field(()), WIDE)


def test_a_batch_of_which_nothing_is_known_is_said_and_the_usual_map_stays(sample):
    answer = sample.get("/sample/map/?at=999")
    assert answer.status_code == 200
    assert "there is no batch “999” to look at" in answer.content.decode()


def test_the_page_of_a_batch_and_the_first_page_lead_to_what_is_known(sample):
    batch, home = (sample.get(address).content.decode() for address in ("/sample/batches/8/", "/sample/"))
    assert (
        'name="at" value="8"' in batch and 'action="/sample/map/"' in batch and 'formaction="/sample/curves/"' in batch
    )
    for page in (batch, home):
        assert 'href="/sample/kept-word/"' in page
    assert 'href="/sample/map/"' in home and 'href="/sample/curves/"' in home


@pytest.mark.parametrize("address", ["/sample/map/", "/sample/curves/?across=guar+gum"])
def test_what_takes_long_is_asked_for_on_a_waiting_page_and_then_shown(sample, monkeypatch, address):
    monkeypatch.setattr("slake.actions.looking.AT_ONCE", 3)
    monkeypatch.setattr("slake.actions.looking._kept", {})
    waiting = sample.get(address).content.decode()
    assert "Work it out" in waiting and "<progress" in waiting and "<img class" not in waiting
    answer = sample.post(address)
    assert (answer.status_code, answer["Location"]) == (302, address)
    assert "map of the recipe space" in sample.get(address).content.decode()


def test_other_axes_that_take_long_wait_on_a_page_too_and_each_map_is_worked_out_once(sample, monkeypatch):
    monkeypatch.setattr("slake.actions.looking.AT_ONCE", 3)
    monkeypatch.setattr("slake.actions.looking._cuts", {})
    made = []
    monkeypatch.setattr("slake.actions.looking.cut", lambda *asked: made.append(asked) or cut(*asked))
    for many, address in enumerate(("/sample/map/", "/sample/map/?across=sodium+alginate"), 1):
        assert "data-go-at-once" in sample.get(address).content.decode()
        assert len(made) == many - 1, "a waiting page works nothing out"
        assert sample.post(address)["Location"] == address
        page = sample.get(address).content.decode()
        drawn = re.findall(r'src="(/sample/map/[^"]+)"', page)
        assert "data-go-at-once" not in page and len(drawn) > 3
        assert all(sample.get(one.replace("&amp;", "&")).status_code == 200 for one in drawn)
        assert len(made) == many, "the page and its drawings share one map"


def test_a_paste_of_water_and_one_waste_has_no_map_but_its_table_and_its_curve(client, entry):
    take_lots(entry(), [{"ingredient": "mussel shell", "sieve_um": "125", "dried": "yes", "grams": "2000"}])
    take_in(entry(), "mussel shell 300, water 150 - good; cone 14 mm at 60 min")
    page = client.get("/map/").content.decode()
    assert "there is only water to look along here" in page.lower() and "1 batch with an ending" in page
    assert client.get("/map/wide.svg").status_code == 200
    assert "Water: what its dose does" in client.get("/curves/").content.decode()


def test_in_a_crowd_every_batch_has_its_mark_and_numbers_only_where_there_is_room():
    for across, all_fit in ((7, True), (12, False)):
        places = [((n % across + 0.4) / across, (n // across + 0.4) / (across + 1)) for n in range(across**2)]
        dots = tuple(Dot(label=f"n{n}", x=x, y=y, mark=GOOD) for n, (x, y) in enumerate(places))
        drawn = draw_field(field(dots), PANEL)
        written = drawn.count(b">n")
        assert drawn.count(b"<use") >= len(dots)
        assert written == len(dots) if all_fit else 0 < written < len(dots)
