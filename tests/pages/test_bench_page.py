"""The bench page without any script, its sheet and its label."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.test import Client, RequestFactory

from slake.actions import at_the_bench
from slake.actions.at_the_bench import tolerance_g
from slake.actions.keeping import deadlines
from slake.bench.declaration import About
from slake.bench.shelf import all_tests
from slake.ground.problems import Problem
from slake.pages.bench.pad import FIRST
from slake.pages.bench.printed import code_text, label_words
from slake.pages.templatetags.bench_times import in_days, short_when
from slake.records.models import Batch, Reading, Weighing
from slake.records.values import ingredient_of
from tests.pages.begun import begin


@pytest.fixture
def batch(databases) -> Batch:
    return begin()


@pytest.fixture
def post(client: Client, batch: Batch):
    def send(status: int = 302, **typed: str) -> str:
        answer = client.post(f"/batches/{batch.number}/bench/", {"entry": "form1", **typed})
        assert answer.status_code == status, answer.content[:500]
        return answer.content.decode()

    return send


def page(client: Client, batch: Batch, what: str = "bench") -> str:
    answer = client.get(f"/batches/{batch.number}/{what}/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_card_has_every_amount_in_its_order_with_its_grams(client: Client, batch: Batch):
    text = page(client, batch)
    places = [text.index(f'id="step-{row.order}"') for row in batch.amounts.all()]
    assert places == sorted(places) and len(places) == 6
    for row in batch.amounts.all():
        assert f"{row.target_g:.1f} g" in text
    assert "water held back" in text and "mask" in text and "shellfish allergy" in text


def test_every_declared_test_of_a_batch_is_on_the_pad_the_first_ones_in_front(client: Client, batch: Batch):
    text = page(client, batch)
    here = [name for name, test in all_tests().items() if test.read_of(About.BATCH.value)]
    assert all(f'id="pad-{name}"' in text for name in here)
    assert max(text.index(f'id="pad-{name}"') for name in (*FIRST, "outcome")) < text.index("More tests")


def test_ids_are_used_once_and_labels_find_their_field(client: Client, batch: Batch):
    text = page(client, batch)
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'<label[^>]* for="([^"]+)"', text)) <= set(ids)


def test_numbers_are_typed_as_text_with_a_decimal_keyboard(client: Client, batch: Batch):
    text = page(client, batch)
    assert 'type="number"' not in text
    assert all('inputmode="decimal"' in tag for tag in re.findall(r'<input[^>]*name="grams"[^>]*>', text))


def test_a_form_without_script_weighs_reads_and_ends(client: Client, post, batch: Batch):
    post(kind="clock", late="1,5")
    post(kind="weigh", order="1", grams="114,4")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="19")
    names = [column.name for column in all_tests()["shrinkage_bar"].rows.columns]
    row = {f"row1-{names[0]}": "100", f"row1-{names[1]}": "96", f"row2-{names[0]}": "", f"row2-{names[1]}": ""}
    post(kind="reading", test="shrinkage_bar", **row)
    post(kind="outcome", fell_layer="9", words="folded")
    text = page(client, batch)
    assert "114.4 g" in text and "yield stress" in text and "fell at layer 9, folded" in text
    assert Reading.objects.get(test="shrinkage_bar").headline_value == pytest.approx(4.0)


def test_words_tapped_together_become_one_outcome(client: Client, batch: Batch):
    client.post(f"/batches/{batch.number}/bench/", {"kind": "outcome", "ended": ["good", "cracked"], "entry": "form1"})
    assert batch.outcomes.get().words == "good, cracked"


def test_what_is_refused_comes_back_as_typed_with_its_sentence(post):
    text = post(422, kind="weigh", order="1", grams="12 13")
    assert 'value="12 13"' in text and 'role="alert"' in text
    text = post(422, kind="reading", test="fall_cone", in_cone_depth_mm="400")
    assert 'value="400"' in text and re.search(r'id="pad-fall_cone" open', text)
    assert not Weighing.objects.exists() and not Reading.objects.exists()


def test_the_same_form_twice_is_one_row(post):
    for _ in range(2):
        post(kind="weigh", order="1", grams="50")
    post(kind="weigh", order="1", grams="60")
    assert sorted(Weighing.objects.values_list("grams", flat=True)) == [50, 60]


def test_a_cone_says_pascals_range_window_and_what_to_do(client: Client, post, batch: Batch):
    """Too stiff by far: grams of water for what is in the bowl, more grams for more paste."""
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8")
    text = page(client, batch)
    assert re.search(r"Yield stress \d+ Pa \(80 %: \d+ to \d+\)", text)
    assert "outside" in text and "Too stiff" in text and "435 g left in the bowl" in text
    less = client.get(f"/batches/{batch.number}/bench/?left_g=100").content.decode()
    assert "100 g left in the bowl" in less
    amount = re.compile(r"knead in ([\d.]+) g of water")
    assert float(amount.search(less)[1]) == pytest.approx(float(amount.search(text)[1]) * 100 / 435, abs=0.15)


def test_water_held_back_is_named_only_while_it_is_still_beside_the_bowl(client: Client, post, batch: Batch):
    held = batch.amounts.get(held_back=True)
    for amount in batch.amounts.exclude(pk=held.pk):
        post(kind="weigh", order=str(amount.order), grams=f"{amount.target_g:.1f}")
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8")
    assert f"first from the {held.target_g:.1f} g of water held back" in page(client, batch)
    post(kind="weigh", order=str(held.order), grams=f"{held.target_g:.1f}")
    assert "Nothing more before that." in page(client, batch), "kneaded in, not read yet"
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8,1")
    after = page(client, batch)
    assert "Too stiff" in after and "of water held back," not in after


def test_pascals_show_three_figures_and_no_more(client: Client, post, batch: Batch):
    """30 g, 30 deg, K 0.8, 5.2 mm: 0.8 x 0.030 x 9.81 / 0.0052^2 = 8707 Pa (own arithmetic)."""
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="5,2")
    assert "Yield stress 8710 Pa" in page(client, batch)


@pytest.mark.parametrize("left", ["-1", "nan", "1e9", "half"])
def test_a_bad_weight_of_the_bowl_is_one_sentence(client: Client, post, batch: Batch, left: str):
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8")
    text = client.get(f"/batches/{batch.number}/bench/", {"left_g": left}).content.decode()
    assert re.search(r'<p class="problem">[^<]*paste left in the bowl[^<]* is ', text)


def test_an_overshoot_offers_both_ways_out_and_says_what_each_does(client: Client, post, batch: Batch):
    gum = next(row for row in batch.amounts.all() if row.lot and row.lot.name.endswith("guar"))
    post(kind="weigh", order=str(gum.order), grams=f"{gum.target_g + 3:.1f}")
    text = page(client, batch)
    factor = (gum.target_g + 3) / gum.target_g
    assert f"Rescale the rest ×&nbsp;{factor:.3f}" in text
    assert "3.0 g too much" in text and "Accept it as it is" in text and "80 % ranges" in text
    whole = sum(row.target_g for row in batch.amounts.all())
    assert f"about <strong>{whole * factor:.1f} g</strong> of paste in all instead of {whole:.1f} g" in text
    before = {row.order: row.target_g for row in batch.amounts.all()}
    post(kind="rescale", factor=re.search(r'name="factor" value="([\d.]+)"', text)[1])
    for row in batch.amounts.all():
        assert row.target_g == pytest.approx(before[row.order] * factor, abs=0.06)
    assert "too much" not in page(client, batch)


def test_an_overshoot_is_decided_on_a_bench_too_varied_to_foretell(client: Client, post, batch: Batch, monkeypatch):
    """The notebook tells twelve ingredients apart; a thirteenth must not close the bench page."""

    def too_many() -> None:
        raise Problem("54 ingredients are more than the 12 slake can tell apart: name fewer")

    monkeypatch.setattr(at_the_bench, "tell", too_many)
    gum = next(row for row in batch.amounts.all() if row.lot and row.lot.name.endswith("guar"))
    post(kind="weigh", order=str(gum.order), grams="20")
    text = page(client, batch)
    assert "Rescale the rest" in text and "slake cannot say" in text


def test_the_tolerance_is_one_percent_and_at_least_one_step_of_the_scale():
    assert tolerance_g(2.0) == 0.1
    assert tolerance_g(300.0) == pytest.approx(3.0)


def test_a_pour_within_the_tolerance_raises_no_question(client: Client, post, batch: Batch):
    shell = next(row for row in batch.amounts.all() if row.lot and row.lot.name.endswith("shell"))
    post(kind="weigh", order=str(shell.order), grams=f"{shell.target_g * 1.005:.1f}")
    assert "too much" not in page(client, batch)


def test_the_sheet_has_order_grams_held_back_water_cone_blanks_and_cautions(client: Client, batch: Batch):
    text = page(client, batch, "sheet")
    for row in batch.amounts.all():
        assert f"{row.target_g:.1f} g" in text
    assert "water held back" in text and "At 60 min after first water the cone should read 20.0 mm" in text
    assert "16.0 to 25.0 mm" in text and "How it ended" in text and "mask" in text
    assert text.count('class="blank"') >= 5 + 3


def test_the_label_has_code_words_and_times_once_the_clock_runs(client: Client, post, batch: Batch):
    text = page(client, batch, "label")
    assert "________" in text and "no food" in text
    post(kind="clock")
    text = page(client, batch, "label")
    batch.refresh_from_db()
    assert "________" not in text and f"B{batch.number}" in text and "mussel shell" in text
    assert short_when(batch.first_water_at) in text and "molluscs" in text
    due = deadlines(batch)
    assert f"print by <strong>{short_when(due.print_by)}" in text
    assert f"Mould is usual from <strong>{short_when(due.mould_from)}" in text
    assert due.mould_from - batch.first_water_at == timedelta(days=2)
    assert f'src="/batches/{batch.number}/label/code.svg"' in text


def test_the_code_is_a_picture_of_its_own_that_runs_nothing(client: Client, batch: Batch):
    answer = client.get(f"/batches/{batch.number}/label/code.svg")
    assert answer["Content-Type"] == "image/svg+xml" and b"<svg" in answer.content and b"<script" not in answer.content
    assert "'none'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize(("host", "says"), [("127.0.0.1:8000", "slake batch 1"), ("testserver", "http://testserver/")])
def test_the_code_leads_to_the_batch_only_where_a_phone_can_go(batch: Batch, host: str, says: str):
    request = RequestFactory(headers={"host": host}).get("/")
    assert code_text(request, batch).startswith(says)


def test_a_short_time_has_day_month_and_minute():
    moment = datetime(2026, 3, 4, 5, 6, tzinfo=UTC)
    assert short_when(SimpleNamespace(astimezone=lambda: moment)) == "4 Mar 05:06"


def test_a_keeping_time_is_said_in_days():
    assert (in_days(86_400), in_days(5 * 86_400)) == ("1 day", "5 days")


def test_a_batch_that_is_not_there_is_not_found(client: Client, databases):
    for what in ("bench", "bench/now", "sheet", "label", "label/code.svg"):
        assert client.get(f"/batches/99/{what}{'' if what.endswith('svg') else '/'}").status_code == 404


def test_a_notebook_batch_has_a_bench_page_too(client: Client, bench):
    for what in ("bench", "sheet", "label"):
        assert client.get(f"/batches/{bench.runny.number}/{what}/").status_code == 200


def test_the_sample_bench_stays_in_the_sample(client: Client, batch: Batch):
    text = client.get(f"/sample/batches/{batch.number}/bench/")
    assert text.status_code == 404


def test_a_label_names_what_fits_and_counts_the_rest(databases, batch: Batch):
    """A name was once cut off without a sign."""
    lots = [row.lot for row in batch.amounts.all() if row.lot]
    names = {ingredient_of(lot).name for lot in lots}
    assert all(name in label_words(lots, 200) for name in names) and "more" not in label_words(lots, 200)
    for most in (20, 25, 30, 40):
        words = label_words(lots, most)
        assert len(words) <= most
        said = sum(name in words for name in names)
        assert said == len(names) or f"{len(names) - said} more" in words or words == f"{len(names)} ingredients"
    assert label_words([], 40) == "paste"


def test_deadlines_are_said_as_latest_times_look_and_smell_first(client: Client, post, batch: Batch):
    post(kind="clock", late="5")
    for text in (page(client, batch), page(client, batch, "label"), page(client, batch, "sheet")):
        assert ("at the latest" in text and "ook and smell" in text) or "ook at it and smell it first" in text
    label = page(client, batch, "label")
    assert label.count("out at the latest") == 2 and "mould from" not in label
