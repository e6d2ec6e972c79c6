"""Swap an ingredient, on the sample workshop: unknown until the run-outs are read, then an equal dose with a range."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from django.test import Client

from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.reading import log_reading
from slake.demo import telling
from slake.records.models import Batch, Lot
from slake.records.which import SAMPLE, using

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)
XANTHAN = (42.0, 1.3)
"""Seconds at 1 g dry per 100 g of water and power: planted, invented."""
GUAR_OF_THE_STORY = ((0.9, 16), (1.4, 39), (2.2, 101))
"""Grams as received (10 % moisture) in 100 g of water, and seconds."""


@pytest.fixture
def told(databases):
    with using(SAMPLE):
        telling.load(NOW)
        rows = [
            {"ingredient": "xanthan", "name": "xan", "grams": "200"},
            {"ingredient": "oyster shell", "grams": "900"},
        ]
        take_lots(Entry(id="more", at=NOW), rows)
        yield Client()


def words(page: bytes) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page.decode()).split())


def runs(lot: Lot, law: tuple[float, float], moisture: float, doses: tuple[float, ...]) -> None:
    """Run-outs a bench would read: so many dry grams per 100 g of all the water."""
    for n, dose in enumerate(doses):
        gum = dose / (1 - moisture)
        water = 100 - gum * moisture
        fields = {
            "gum_run_out_s": f"{law[0] * dose ** law[1]:.2f}",
            "gum_g": f"{gum:.4f}",
            "water_g": f"{water:.4f}",
            "hours": "2",
        }
        entry = Entry(id=f"{lot.pk}.{n}", at=NOW + timedelta(minutes=n))
        log_reading(entry, "gum_run_out", ("lot", lot.pk), fields)


def asked(told: Client, out: str, into: str | None) -> tuple[str, dict[str, str]]:
    """Address and form of a swap out of batch 8's recipe."""
    with using(SAMPLE):
        recipe = Batch.objects.get(number=8).recipe_id
        pk = Lot.objects.get(name=out).pk
        other = Lot.objects.filter(name=into).first()
    return f"/sample/recipes/{recipe}/swap/", {"out": str(pk), "into": str(other.pk) if other else str(into)}


def test_without_curves_it_is_unknown_and_the_test_is_named(told):
    page = told.get(*asked(told, "guar B", "xan"))
    text = words(page.content)
    assert page.status_code == 200
    assert "Unknown:" in text and "40 minutes would tell" in text
    assert re.search(r"weigh guar gum: [\d.]+, [\d.]+ and [\d.]+ g, each into 100 g of water", text)
    assert "A guess from the doses people usually take" in text and "Do not mix from it" in text
    assert "Begin a batch of it" not in text


def test_run_outs_of_both_give_an_equal_dose_with_its_range_and_all_else_that_changes(told):
    with using(SAMPLE):
        runs(Lot.objects.get(name="xan"), XANTHAN, 0.1, (0.4, 0.8, 1.6))
        recipe = Batch.objects.get(number=8).recipe
        dose = 100 * recipe.parts["guar B"] / recipe.water_per_dry
    text = words(told.get(*asked(told, "guar B", "xan")).content)
    said = re.search(r"take ([\d.]+) \(([\d.]+) to ([\d.]+)\) g of xanthan", text)
    pairs = [(100 * 0.9 * gum / (100 + 0.1 * gum), s) for gum, s in GUAR_OF_THE_STORY]
    power, level = np.polyfit(*np.log(np.array(pairs)).T, 1)
    want = (np.exp(level) * dose**power / XANTHAN[0]) ** (1 / XANTHAN[1]) / dose
    mid, low, high = map(float, said.groups())
    assert mid == pytest.approx(want, rel=0.05) and low < mid < high
    for what in ("moisture as received", "spring-back", "until it is ready", "common practice", "does not carry over"):
        assert what in text, what


def test_psyllium_of_the_story_for_guar(told):
    """The sample's own six run-outs; the sachet is nearly used up, so no batch of it is begun."""
    where, typed = asked(told, "guar B", "psyllium sachet")
    text = words(told.get(where, typed).content)
    low, high = map(float, re.search(r"take [\d.]+ \(([\d.]+) to ([\d.]+)\) g of psyllium", text).groups())
    assert 1 < low < high < 6
    for what in ("sensitiser", "hazard, weighing", "keeps thickening", "spring-back"):
        assert what in text, what
    refused = told.post(where, typed)
    assert refused.status_code == 422 and "psyllium sachet" in words(refused.content)


def test_the_curves_are_drawn_with_their_readings_in_a_table_below(told):
    where, typed = asked(told, "guar B", "psyllium sachet")
    assert (
        f"{where}?out={typed['out']}&amp;into={typed['into']}"
        in told.get(where, {"out": typed["out"]}).content.decode()
    )
    page = told.get(where, typed).content.decode()
    for shape in ("wide", "phone"):
        assert f"{where}{shape}.svg?out={typed['out']}&amp;into={typed['into']}" in page
        drawn = told.get(f"{where}{shape}.svg", typed)
        assert drawn.status_code == 200 and drawn["Content-Type"] == "image/svg+xml"
        assert b"guar B" in drawn.content and b"psyllium sachet" in drawn.content
        assert drawn.content == told.get(f"{where}{shape}.svg", typed).content
    assert page.index("<picture>") < page.index("The readings it rests on")
    assert len(re.findall(r'data-label="dose"', page)) >= 6
    for wrong in ({**typed, "into": "konjac"}, {"out": "x"}, {**typed, "out": "9" * 40}):
        assert told.get(f"{where}wide.svg", wrong).status_code == 404
    assert told.get(f"{where}square.svg", typed).status_code == 404


def test_a_dose_outside_those_read_is_not_drawn(told):
    with using(SAMPLE):
        runs(Lot.objects.get(name="xan"), XANTHAN, 0.1, (3.0, 4.0, 5.0))
    text = words(told.get(*asked(told, "guar B", "xan")).content)
    assert "nothing is drawn past the doses read" in text and "40 minutes would tell" in text


def test_a_batch_of_the_swap_is_begun_once(told):
    with using(SAMPLE):
        runs(Lot.objects.get(name="xan"), XANTHAN, 0.1, (0.4, 0.8, 1.6))
    where, typed = asked(told, "guar B", "xan")
    page = told.get(where, typed).content.decode()
    entry = re.search(r'name="entry" value="(\w+)"', page).group(1)
    first, again = (told.post(where, {**typed, "entry": entry}) for _ in range(2))
    assert first.status_code == 302 and first["Location"] == again["Location"]
    with using(SAMPLE):
        begun = Batch.objects.last()
    assert "xan" in begun.recipe.parts and "guar B" not in begun.recipe.parts
    assert begun.recipe.water_per_dry == pytest.approx(water_of(8), rel=0.05)


def water_of(number: int) -> float:
    with using(SAMPLE):
        return Batch.objects.get(number=number).recipe.water_per_dry


def test_oyster_for_mussel_by_room_thirst_and_grains(told):
    text = words(told.get(*asked(told, "shell B", "oyster shell")).content)
    assert "takes the room of shell B" in text and "water goes to" in text
    assert "10 g for the water demand, 20 g for the sieves" in text
    assert "Solids with the water they drink fill" in text and "dry end" in text
    assert "Begin a batch of it" in text


def test_it_is_reached_from_recipe_ingredient_and_next_page(told):
    with using(SAMPLE):
        recipe = Batch.objects.get(number=8).recipe_id
    assert f"/sample/recipes/{recipe}/swap/" in told.get(f"/sample/recipes/{recipe}/").content.decode()
    assert "/sample/swap/?of=guar" in told.get("/sample/ingredients/guar/").content.decode()
    assert "?out=" in told.get("/sample/swap/", {"of": "guar"}).content.decode()
    assert "No recipe mixed here holds" in told.get("/sample/swap/", {"of": "konjac"}).content.decode()
    told.post("/sample/next/work/", {"entry": "n"})
    assert "/sample/swap/" in told.get("/sample/next/").content.decode()


def test_of_many_recipes_the_newest_stand_in_front_and_the_older_ones_are_folded(told):
    page = told.get("/sample/swap/").content.decode()
    front, folded = page[: page.index("<details")], page[page.index("<details") :]
    with using(SAMPLE):
        recipes = set(Batch.objects.values_list("recipe", flat=True))
    shown = [set(map(int, re.findall(r'href="/sample/recipes/(\d+)/"', text))) for text in (front, folded)]
    assert len(shown[0]) == 4 and shown[0] | shown[1] == recipes and not shown[0] & shown[1]
    assert f"Older recipes: {len(shown[1])}" in folded
    with using(SAMPLE):
        assert Batch.objects.last().recipe_id in shown[0]


def test_what_cannot_stand_in_is_refused(told):
    where, typed = asked(told, "guar B", "grain A")
    refused = told.get(where, typed)
    assert refused.status_code == 422 and "cannot stand in for it" in words(refused.content)
    assert told.get(where, {**typed, "into": ""}).status_code == 422
    assert told.post(where, {**typed, "into": "magic"}).status_code == 422
    assert told.get(where, {"out": "999999"}).status_code == 200
    assert told.post(where, asked(told, "guar B", "xan")[1]).status_code == 422
    assert told.get("/sample/recipes/999/swap/").status_code == 404


def test_an_ingredient_of_the_list_without_a_lot_is_told_of_and_not_begun(told):
    text = words(told.get(*asked(told, "guar B", "konjac")).content)
    assert "konjac" in text and "Unknown:" in text and "Begin a batch of it" not in text
