"""Curves: every line over one dose with its band, window and readings; pale where nothing was tried."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from django.test import Client

from slake import demo
from slake.pages.known_so_far.curve_drawing import Band, draw_band
from slake.pages.known_so_far.dots import Dot
from slake.pages.known_so_far.map_drawing import PANEL
from slake.pages.next.marks import FELL, GOOD
from slake.records.which import SAMPLE, using

LAST_DAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.fixture
def sample(client) -> Client:
    with using(SAMPLE):
        demo.load(LAST_DAY)
    return client


def test_every_line_of_the_brief_and_all_together_have_a_drawing_and_a_column(sample):
    page = sample.get("/sample/curves/").content.decode()
    assert len(re.findall(r"/sample/curves/panel\.svg\?[^\"]+", page)) == 5
    heads = re.findall(r'<th scope="col">(.*?)</th>', page)
    assert heads[0] == "water, g per g dry solids" and heads[-2:] == ["all lines hold", "tried"]
    assert "layers stood at least 35" in heads and len(heads) == 7
    for address in re.findall(r'src="(/sample/curves/panel\.svg\?[^"]+)"', page):
        answer = sample.get(address.replace("&amp;", "&"))
        assert answer.status_code == 200 and answer["Content-Type"] == "image/svg+xml"


def column(page: str, name: str) -> list[float]:
    return [float(x) for x in re.findall(rf'data-label="{name}">([\d.]+)', page)]


def test_more_water_sinks_the_cone_deeper_and_stands_fewer_layers(sample):
    page = sample.get("/sample/curves/").content.decode()
    cone, layers = column(page, "how deep the cone sinks from 10 to 15 mm"), column(page, "layers stood at least 35")
    assert cone == sorted(cone) and cone[0] < cone[-1]
    assert layers == sorted(layers, reverse=True) and layers[0] > layers[-1]


@pytest.mark.parametrize("name", ["guar gum", "sodium alginate", "mussel shell", "spent brewery grain", "leaf litter"])
def test_every_ingredient_has_its_curve(sample, name):
    answer = sample.get("/sample/curves/", {"across": name})
    assert answer.status_code == 200 and f"<h1>{name.capitalize()}: what its dose does</h1>" in answer.content.decode()


def test_outside_of_what_was_tried_is_said(sample):
    rows = re.findall(r'data-label="tried">(.*?)</td>', sample.get("/sample/curves/").content.decode())
    assert "yes" in rows and '<span class="quiet">outside</span>' in (rows[0], rows[-1])


def test_an_ingredient_nobody_has_is_said(sample):
    answer = sample.get("/sample/curves/?across=cement")
    assert answer.status_code == 422 and "“cement” is nothing to look along here" in answer.content.decode()


def test_an_empty_bench_has_no_curve_yet(client):
    assert "There is nothing to draw yet" in client.get("/curves/").content.decode()
    assert client.get("/curves/panel.svg").status_code == 404


DOSES = (0.0, 1.0, 2.0, 3.0)
BAND = Band(
    doses=DOSES,
    low=(1.0, 2.0, 3.0, 4.0),
    mid=(2.0, 3.0, 4.0, 5.0),
    high=(3.0, 4.0, 5.0, 6.0),
    tried=(False, True, True, False),
    window=(2.0, math.nan),
    held=1.5,
    across="water",
    up="cone, mm",
    dots=(Dot(label="1", x=1.0, y=3.0, mark=GOOD), Dot(label="2", x=2.0, y=9.0, mark=FELL, hollow=True)),
)


def test_the_same_band_gives_the_same_bytes_and_another_range_others():
    first = draw_band(BAND, PANEL)
    draw_band.cache_clear()
    assert draw_band(BAND, PANEL) == first
    assert draw_band(replace(BAND, tried=(True, True, True, True)), PANEL) != first


@pytest.mark.parametrize(
    "band",
    [
        replace(BAND, dots=()),
        replace(BAND, low=(math.nan,) * 4, mid=(math.nan,) * 4, high=(math.nan,) * 4, dots=()),
        replace(BAND, tried=(False,) * 4, window=(math.nan, math.nan)),
        replace(BAND, low=(0.01, 0.1, 1.0, 10.0), high=(1.0, 10.0, 100.0, 1000.0)),
    ],
)
def test_bands_of_every_kind_can_be_drawn(band):
    assert b"</svg>" in draw_band(band, PANEL)
