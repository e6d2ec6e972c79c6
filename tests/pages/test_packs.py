"""Packs of a workshop with their times and sheet, and cartridges of a print: as pages."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from slake.actions.asked import start_asked
from slake.ground.problems import Problem
from slake.records.models import Action, Batch, Recipe

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)


def text(response) -> str:
    return " ".join(response.content.decode().split())


@pytest.fixture
def recipe(bench) -> Recipe:
    return bench.cracked.recipe


@pytest.fixture
def where(recipe) -> str:
    return f"/recipes/{recipe.pk}/"


def test_ten_packs_are_twelve_numbered_with_totals_stock_and_a_sheet_to_sign(client, where):
    page = text(client.get(f"{where}packs/"))
    assert "12 packs of 120.0 g dry: 10 asked for and 2 to spare" in page
    assert '<th scope="row" class="num">12</th>' in page and '<th scope="row" class="num">13</th>' not in page
    for part in (
        "enough</span>",
        "not counted: look into the sack",
        "Allergens in it: molluscs",
        "Signed",
        "24 h before",
    ):
        assert part in page, part
    assert "24 h before the start" in page
    assert page.count('<td class="blank"></td>') == 4 * 12
    assert "print.css" in page and Action.objects.filter(name__contains="pack").count() == 0


def test_shares_of_the_packs_sum_to_what_is_to_be_weighed(client, where):
    page = text(client.get(f"{where}packs/?packs=7&pack_dry_g=95,5&spare=0"))
    packs = page[page.index("The packs</h2>") : page.index("When to do what")]
    rows = [row.split('<td class="num">')[1:] for row in packs.split("<tr>")[2:]]
    premix = sum(float(row[0].split(" g")[0]) for row in rows)
    weighed = page[page.index("To weigh and to buy") : page.index("The packs</h2>")].split('data-label="weigh">')[1:]
    asked = [float(cell.split(" g")[0]) for cell in weighed]
    assert len(rows) == 7 and premix == pytest.approx(sum(asked[:-1]), abs=0.11)
    water = sum(float(cell.split(" g")[0]) for row in rows for cell in row[-2:])
    assert water == pytest.approx(asked[-1], abs=0.11)


def test_missing_stock_is_said_in_grams(client, where):
    assert "short: buy or make it" in text(client.get(f"{where}packs/?packs=40"))


def test_times_go_backwards_from_the_start(client, where):
    page = text(client.get(f"{where}packs/?start=2031-05-10T14:00"))
    for clock in ("Fri 9 May, 14:00", "Sat 10 May, 10:00", "Sat 10 May, 13:30", "Sat 10 May, 17:00"):
        assert clock in page, clock
    assert page.index("Fri 9 May, 14:00") < page.index("Sat 10 May, 10:00") and "past already" not in page
    assert "past already" in text(client.get(f"{where}packs/?start=2020-05-10 14:00"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [("2026-11-07T09:30", "2026-11-07 09:30"), ("9:30", "2026-11-04 09:30"), ("18:00", "2026-11-03 18:00")],
)
def test_a_time_alone_is_the_next_that_leaves_a_day(typed, said):
    assert f"{start_asked(typed, NOW, UTC):%Y-%m-%d %H:%M}" == said


@pytest.mark.parametrize("typed", ["soup", "25:00", "2026-13-01 10:00", "0", "-1", "99999-01-01 10:00", ":"])
def test_a_start_that_is_no_time_is_one_sentence(client, where, typed):
    with pytest.raises(Problem, match="give a day and a time"):
        start_asked(typed, NOW, UTC)
    answer = client.get(f"{where}packs/", {"start": typed})
    assert answer.status_code == 422 and "give a day and a time" in text(answer)


def test_a_start_left_open_is_open(client, where):
    assert start_asked(" don't know ", NOW, UTC) is None
    assert client.get(f"{where}packs/", {"start": "don't know", "pack_dry_g": "don't know"}).status_code == 200


@pytest.mark.parametrize(
    "asked",
    [
        {"packs": "0"},
        {"packs": "-3"},
        {"packs": "1,5"},
        {"packs": "201"},
        {"packs": "many"},
        {"pack_dry_g": "0"},
        {"spare": "-1"},
        {"spare": "101"},
    ],
)
def test_bad_packs_are_one_sentence(client, where, asked):
    answer = client.get(f"{where}packs/", asked)
    assert answer.status_code == 422 and text(answer).count('role="alert"') == 1
    assert "To weigh and to buy" not in text(answer) and "When to do what" in text(answer)


def test_packs_and_cartridges_are_found_from_recipe_and_batch(client, where, bench):
    page = text(client.get(where))
    assert f"{where}packs/" in page and f"{where}cartridges/" in page and f"{where}bridge/" in page
    assert f"/batches/{bench.cracked.number}/cartridges/" in text(client.get(f"/batches/{bench.cracked.number}/"))
    assert client.get("/recipes/99/packs/").status_code == client.get("/recipes/99/cartridges/").status_code == 404


PRINT = {"parts_ml": "1240", "cartridge_ml": "500", "bead_mm": "2,4", "layer_mm": "1,2", "speed": "20"}


def test_3_04_is_make_3_and_trim_18_ml_or_fill_4(client, where):
    """1240 mL and 8 %: 3.04 of 440 mL; three take 1452 mL of paste, four 1503; 440 mL last 2.1 h (by hand)."""
    page = text(client.get(f"{where}cartridges/", PRINT))
    assert "3.04: make 3 and trim 18 mL, or fill 4" in page
    assert "1452 mL" in page and "1503 mL" in page and "<strong>2.1 h</strong>" in page
    assert "begin 2 cartridges of one mixing" in page and "Begin a batch for 3" in page


def test_a_batch_of_that_size_is_begun(client, where, form_in):
    page = text(client.get(f"{where}cartridges/", PRINT | {"parts_ml": "300"}))
    assert "0.74: fill 1 in part" in page and "Begin a batch for 1" in page
    form = form_in(client.get(f"{where}cartridges/", PRINT | {"parts_ml": "300"}))
    begun = client.post(where, {"entry": form.values["entry"], "paste_g": form.values["paste_g"]})
    assert begun.status_code == 302
    paste = sum(row.target_g for row in Batch.objects.last().amounts.all())
    assert paste == pytest.approx(float(form.values["paste_g"]), rel=2e-3)


def test_a_batch_the_stock_does_not_carry_is_refused_at_the_recipe(client, where):
    answer = client.post(where, {"entry": "e", "paste_g": "9000"})
    assert answer.status_code == 422 and "mussel shell" in text(answer) and Batch.objects.count() == 2


def test_speed_left_open_says_the_time_is_not_known(client, where):
    page = text(client.get(f"{where}cartridges/", PRINT | {"speed": "don't know"}))
    assert "Not known: say width and height of a bead and the speed" in page and "or fill 4" in page


def test_a_count_that_comes_out_whole_asks_for_no_trimming(client, where):
    page = text(client.get(f"{where}cartridges/", PRINT | {"parts_ml": "440", "purge": "0"}))
    assert "1.00: fill 1" in page and "trim" not in page


@pytest.mark.parametrize(
    "wrong",
    [
        {"parts_ml": "0"},
        {"parts_ml": "-5"},
        {"parts_ml": "soup"},
        {"cartridge_ml": "0"},
        {"cartridge_ml": ""},
        {"purge": "-1"},
        {"speed": "0"},
        {"bead_mm": "-2"},
    ],
)
def test_bad_cartridges_are_one_sentence(client, where, wrong):
    answer = client.get(f"{where}cartridges/", PRINT | wrong)
    assert answer.status_code == 422 and text(answer).count('role="alert"') == 1
    assert "or fill" not in text(answer)


def test_nothing_asked_is_only_the_form(client, where):
    page = text(client.get(f"{where}cartridges/"))
    assert "Work out the cartridges" in page and 'role="alert"' not in page and "or fill" not in page


def test_a_batch_says_how_many_cartridges_its_bowl_fills(client, bench, recipe):
    """444 g of paste at the density the page says; a cartridge takes 0.94 x 100 mL and 3 % (by hand)."""
    where = f"/batches/{bench.cracked.number}/cartridges/"
    page = text(client.get(where, PRINT | {"cartridge_ml": "100"}))
    assert "444.0 g of batch" in page and "Cartridges of batch" in page
    density = float(page.split("Density without air, ")[1].split(" g/mL")[0])
    count = float(page.split("they fill <strong>")[1].split("<")[0])
    assert count == pytest.approx(444 / density / (94 * 1.03), rel=0.01)
    assert "Say what one cartridge holds" in text(client.get(where))
    refused = client.get(where, {"cartridge_ml": "0"})
    assert refused.status_code == 422 and text(refused).count("One cartridge holds (mL) is 0") == 1
    assert client.get("/batches/99/cartridges/").status_code == 404


def test_a_recipe_not_all_of_which_is_here_says_so_and_is_no_error(client, recipe, where, bench):
    recipe.parts = {"a powder of another bench": 1.0}
    recipe.save()
    for page in (f"{where}packs/", f"/batches/{bench.cracked.number}/cartridges/"):
        answer = client.get(page)
        assert answer.status_code == 200
    assert "a powder of another bench of this recipe is no lot of this bench" in text(client.get(f"{where}packs/"))
    assert client.get(f"{where}cartridges/", PRINT).status_code == 422
    for page in (where, f"{where}bridge/", f"/lots/{bench.shell.pk}/", f"/lots/{bench.shell.pk}/ledger/"):
        assert client.get(page).status_code == 200, page
