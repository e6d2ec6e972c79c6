"""Batches: failures kept, what broke, how it ended; recipes with what is missing, as files."""

import csv
import io
import json

import pytest

from slake.actions.lots import take_lots
from slake.actions.mixing import weigh
from slake.actions.notebook import take_in
from slake.records.models import Batch, Detail, Outcome, Reading, StockMove, Strike, Weighing


def test_the_list_keeps_failures_and_names_the_line_that_broke(client, bench):
    page = client.get("/batches/").content.decode()
    assert page.index("good but cracked") < page.index("too runny")  # newest first
    assert page.count('class="out"') >= 1 and "cone" in page
    assert client.get("/sample/batches/").content.decode().count("too runny") == 0


def test_an_empty_bench_has_an_empty_list(client):
    assert "No batch yet" in client.get("/batches/").content.decode()


def test_a_batch_page_says_what_went_in_what_was_read_and_how_it_ended(client, bench):
    page = client.get(f"/batches/{bench.runny.number}/").content.decode()
    for part in ("too runny", "shell 300, guar 2.5", "300.0 g", "Fall cone: 26 mm", "348 Pa", "outside"):
        assert part in page, part
    assert client.get("/batches/99/").status_code == 404


def test_how_it_ended_is_said_once_and_only_in_words_slake_understands(client, bench, fill, form_in):
    where = f"/batches/{bench.runny.number}/"
    refused = fill(where, words="meh")
    assert refused.status_code == 422 and form_in(refused).values["words"] == "meh"
    held = form_in(client.get(where)).values | {"words": "kept oozing"}
    before = Outcome.objects.count()
    assert client.post(where, held).status_code == client.post(where, held).status_code == 302
    assert Outcome.objects.count() == before + 1
    assert fill(where, words="x" * 10**6).status_code == 422


def test_an_outcome_or_weighing_struck_through_stays_readable(client, bench, entry, fill):
    amount = bench.cracked.amounts.exclude(lot=None).first()
    row = weigh(entry(), bench.cracked.pk, amount.order, "12,5")
    assert fill(f"/strike/weighing/{row.pk}/", reason="wrong pan").status_code == 302
    outcome = bench.cracked.outcomes.get()
    assert fill(f"/strike/outcome/{outcome.pk}/", reason="was batch 1").status_code == 302
    page = client.get(f"/batches/{bench.cracked.number}/").content.decode()
    assert "wrong pan" in page and "was batch 1" in page and "good but cracked" in page
    assert Weighing.objects.filter(pk=row.pk).exists() and Strike.objects.count() == 2


def test_a_strike_names_the_reading_as_the_bench_does(client, bench, fill):
    fill(f"/read/crack_grade/batch/{bench.cracked.pk}/", in_crack_grade="2")
    row = Reading.objects.get(test="crack_grade", batch=bench.cracked)
    struck = client.get(f"/strike/reading/{row.pk}/").content.decode()
    said = client.get(f"/readings/{row.pk}/").content.decode()
    assert "Crack grade 2 " in struck and "crack_grade" not in struck
    assert "2 grade" not in struck + said and "1 grade" not in said


def test_mix_again_begins_a_batch_of_the_size_asked(client, bench, fill):
    where = f"/recipes/{bench.cracked.recipe.pk}/"
    assert fill(where, dry_g="nan").status_code == 422
    answer = fill(where, dry_g="100,0")
    batch = Batch.objects.last()
    assert answer["Location"] == f"/batches/{batch.number}/" and batch.recipe == bench.cracked.recipe
    assert sum(a.target_g for a in batch.amounts.all() if a.lot) == pytest.approx(100, rel=0.05)
    assert not StockMove.objects.filter(batch=batch).exists()


def test_a_recipe_lists_what_is_missing_until_it_is_filled_in(client, bench, fill):
    recipe = bench.runny.recipe
    assert "<li>author</li>" in client.get(f"/recipes/{recipe.pk}/").content.decode()
    where = f"/details/recipe/{recipe.pk}/"
    assert fill(where, field="author", text="").status_code == 422
    assert fill(where, field="licence of the moon", text="x").status_code == 422
    assert fill(where, field="water_hardness", text="very").status_code == 422
    assert fill(where, field="author", text="Ines").status_code == 302
    page = client.get(f"/recipes/{recipe.pk}/").content.decode()
    assert "<li>author</li>" not in page and "Ines" in page
    assert Detail.objects.count() == 1
    assert client.get("/details/nothing/1/").status_code == 404


def test_the_csv_holds_no_formula_and_says_what_is_missing(client, databases, entry):
    take_lots(
        entry(), [{"ingredient": "mussel shell", "name": "=HYPERLINK(1)"}, {"ingredient": "guar", "name": "@guar"}]
    )
    batch = take_in(entry(), "shell 300, guar 3, water 140 - good").batches[0]
    answer = client.get(f"/recipes/{batch.recipe.pk}/recipe.csv")
    assert answer["Content-Type"].startswith("text/csv") and "attachment" in answer["Content-Disposition"]
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    assert "'=HYPERLINK(1)" in {row["of"] for row in rows} and "'@guar" in {row["of"] for row in rows}
    assert not [cell for row in rows for cell in row.values() if cell[:1] in {"=", "@"}]
    assert any(row["value"] == "missing" for row in rows)
    held = json.loads(client.get(f"/recipes/{batch.recipe.pk}/recipe.json").content)
    parts = [row["value"] for row in held["rows"] if row["field"] == "part"]
    assert sum(parts) == pytest.approx(1) and len(held["rows"]) == len(rows)
    assert {row["of"] for row in held["rows"]} >= {"=HYPERLINK(1)", "@guar"}
