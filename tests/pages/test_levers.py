"""The levers after a print that cracked, on the sample workshop: reached, said, begun from; bad input refused."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.test import Client

from slake.demo import telling
from slake.pages.next import levers_views
from slake.records.models import Batch
from slake.records.which import SAMPLE, using

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)
CRACKED, SOUND = 11, 8
PAGE = f"/sample/batches/{CRACKED}/levers/"


@pytest.fixture
def told(databases):
    with using(SAMPLE):
        telling.load(NOW)
        yield Client()


def words(page: bytes) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page.decode()).split())


def hidden(page: str, way: str) -> dict[str, str]:
    (form,) = [text for text in re.findall(r"<form.*?</form>", page, re.S) if f'name="way" value="{way}"' in text]
    return dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))


def test_a_cracked_batch_leads_to_its_levers_and_a_sound_one_does_not(told):
    assert PAGE in told.get(f"/sample/batches/{CRACKED}/").content.decode()
    assert "/levers/" not in told.get(f"/sample/batches/{SOUND}/").content.decode()


def test_every_lever_says_effect_chance_and_cost(told):
    page = told.get(PAGE)
    text = words(page.content)
    assert page.status_code == 200
    for name in ("a mineral skeleton", "less free water", "slower drying", "a finer grind"):
        assert name in text, name
    for what in ("shrinkage", "cracks", "standing", "days more of drying", "h at the bench", "common practice"):
        assert what in text, what
    assert text.count("that every line holds.") >= 4
    assert "Dust mask" in text and "mould" in text


def test_a_part_that_dried_under_a_cover_is_not_told_to_be_covered(told):
    text = words(told.get(PAGE, {"covered": "yes", "wall_mm": "2"}).content)
    assert "slower drying" not in text and "a thinner wall" not in text
    assert "a thinner wall" in words(told.get(PAGE, {"wall_mm": "6"}).content)


def test_a_batch_of_a_lever_is_begun_once_with_its_reason(told):
    page = told.get(PAGE).content.decode()
    typed = hidden(page, "skeleton")
    first, again = (told.post(PAGE, typed) for _ in range(2))
    assert first.status_code == again.status_code == 302 and first["Location"] == again["Location"]
    with using(SAMPLE):
        begun, came_from = Batch.objects.last(), Batch.objects.get(number=CRACKED)
    assert begun.recipe.parent_id == came_from.recipe_id
    assert "mineral skeleton" in begun.note
    shell = sum(part for name, part in begun.recipe.parts.items() if name.startswith("shell"))
    before = sum(part for name, part in came_from.recipe.parts.items() if name.startswith("shell"))
    assert shell > before + 0.05


def test_a_way_nobody_offered_and_a_wall_that_cannot_be_are_refused(told):
    page = told.get(PAGE).content.decode()
    with using(SAMPLE):
        before = Batch.objects.count()
    assert told.post(PAGE, {**hidden(page, "skeleton"), "way": "magic"}).status_code == 422
    assert told.post(PAGE, {**hidden(page, "skeleton"), "seen": "else"}).status_code == 422
    refused = told.get(PAGE, {"wall_mm": "-3"})
    assert refused.status_code == 422 and "Thickness of the wall" in words(refused.content)
    with using(SAMPLE):
        assert Batch.objects.count() == before


def test_a_batch_there_is_not_and_one_nothing_is_known_of(told):
    assert told.get("/sample/batches/999/levers/").status_code == 404
    answer = told.get("/batches/1/levers/")
    assert answer.status_code == 404


def test_many_batches_are_waited_for_on_a_page_that_says_so(told, monkeypatch):
    monkeypatch.setattr(levers_views, "AT_ONCE", 5)
    waiting = told.get(PAGE, {"wall_mm": "6"}).content.decode()
    assert "It takes a few seconds" in waiting and "data-go-at-once" in waiting
    asked = dict(re.findall(r'name="(\w+)" value="([^"]*)"', waiting))
    assert asked == {"wall_mm": "6", "now": "yes"}
    assert "a thinner wall" in words(told.get(PAGE, asked).content)


def test_a_batch_nothing_is_known_of_is_said_in_a_sentence(told):
    page = told.get(PAGE).content.decode()
    begun = told.post(PAGE, hidden(page, "skeleton"))["Location"]
    answer = told.get(f"{begun}levers/")
    assert answer.status_code == 422 and "say how it ended first" in words(answer.content)


def test_the_next_page_leads_there(told):
    told.post("/sample/next/work/", {"entry": "n"})
    assert "/sample/batches/13/levers/" in told.get("/sample/next/").content.decode()
