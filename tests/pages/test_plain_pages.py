"""Brief, log, batch page, list of tests and the answer page, as a newcomer reads them."""

import re

import pytest

from slake.actions.mixing import begin_from_recipe, weigh
from slake.bench.shelf import all_tests
from slake.pages.readings import limits_words
from slake.records.models import Brief, Bucket, Reading
from tests.pages.test_readings import OVEN


def body(answer) -> str:
    return answer.content.decode()


def test_the_brief_shows_the_usual_windows_first_and_folds_the_rest(client, databases, form_in):
    page = body(client.get("/brief/"))
    front, folded = page.split("Further readings it may ask for")
    for name in ("cone_depth_mm", "layers_stood", "crack_grade", "shrinkage_percent"):
        assert f"low_{name}" in front and f"low_{name}" not in folded
    assert "low_ram_force_n" in folded
    assert "(grade)" not in page


def test_a_window_that_was_asked_for_is_in_front_and_a_kept_brief_says_so(client, bench, fill):
    answer = fill("/brief/", high_ram_force_n="300")
    page = body(client.get(answer["Location"]))
    assert "The brief is kept" in page and Brief.objects.last().windows.filter(reading="ram_force_n").exists()
    assert "low_ram_force_n" in page.split("Further readings it may ask for")[0]


def test_a_wrong_number_in_the_fold_opens_it_and_every_wrong_one_is_named(fill, bench):
    page = body(fill("/brief/", high_ram_force_n="much", low_strength_mpa="5 mm", high_cone_depth_mm="soft"))
    assert all(word in page for word in ("“much”", "“5 mm”", "“soft”")) and page.count('aria-invalid="true"') == 3
    assert "<details open><summary>Further readings" in page


def test_a_line_of_the_log_says_of_what_batch_or_lot_which_test_and_which_value(client, bench, entry, fill):
    fill(f"/read/oven_moisture/lot/{bench.shell.pk}/", **OVEN)
    fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="26,5")
    fill(f"/strike/reading/{Reading.objects.last().pk}/", reason="the cone stood askew")
    lines = re.findall(r"<summary>(.*?)</summary>", body(client.get("/log/")))
    cone = f"batch {bench.runny.number}; Fall cone 26.5 mm"
    assert f"strike: {cone}; the cone stood askew" in lines
    assert f"log reading: {cone}" in lines
    assert any(line.startswith(f"log reading: {bench.shell.name}; Oven moisture of a lot 5 %") for line in lines), lines
    assert all(": " in line for line in lines), lines


def test_the_batch_page_groups_its_tests_and_offers_each_once(client, bench):
    page = body(client.get(f"/batches/{bench.runny.number}/"))
    for test in all_tests().values():
        assert page.count(f'href="/read/{test.id}/batch/{bench.runny.pk}/"') == test.read_of("batch")
    front = page.split("<h3>Read it</h3>")[1].split("<details>")[0]
    assert "fall_cone" in front and "two_lands" not in front
    assert "How it pushes" in page and "The dried piece" in page


@pytest.mark.parametrize(("test", "said"), [("jar_humidity", "lot, also batch"), ("mould_watch", "batch, also lot")])
def test_what_else_a_test_may_be_read_of_is_said_and_offered(client, bench, test, said):
    assert said in body(client.get("/tests/"))
    page = body(client.get(f"/tests/{test}/"))
    assert f"/read/{test}/lot/{bench.shell.pk}/" in page and f"/read/{test}/batch/{bench.runny.pk}/" in page


def test_no_page_of_a_test_says_a_limit_that_is_none_or_a_grade_of_grades(client, bench):
    for test in all_tests().values():
        page = body(client.get(f"/tests/{test.id}/"))
        assert "e+" not in re.sub(r"<[^>]*>", " ", page) and "grade grade" not in page
        for item in test.inputs:
            if hasattr(item, "low"):
                assert "e+" not in limits_words(item)


def test_as_typed_has_labels_units_and_how_another_unit_was_read(client, bench, fill):
    fill(f"/read/ram_push/batch/{bench.runny.pk}/", in_ram_force_n="350")
    fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="2,6 cm")
    one = Reading.objects.get(test="fall_cone", typed__fields__cone_depth_mm="2,6 cm")
    page = body(client.get(f"/readings/{one.pk}/")).split("As typed")[1]
    assert one.headline_value == 26.0 and "2,6 cm, read as 26 mm" in page
    assert "cone_depth_mm" not in page and "cone depth mm" not in page


def test_only_an_oven_reading_says_the_moisture_counts_now(client, bench, fill):
    fill(f"/read/oven_moisture/lot/{bench.shell.pk}/", **OVEN)
    assert "The moisture of this lot counts as" in body(client.get(f"/readings/{Reading.objects.last().pk}/"))
    fill(f"/read/water_demand/lot/{bench.shell.pk}/", in_powder_g="20", in_water_g="9")
    last = Reading.objects.last()
    assert last.test == "water_demand"
    assert "The moisture of this lot counts as" not in body(client.get(f"/readings/{last.pk}/"))


def test_every_wrong_field_is_named_marked_and_kept_and_a_wrong_time_is_in_sight(fill, bench, form_in):
    answer = fill(
        f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="400", in_cone_mass_g="heavy", taken="yesterday"
    )
    page = body(answer)
    assert answer.status_code == 422 and page.count('aria-invalid="true"') == 3
    for words in ("400", "“heavy”", "“yesterday”"):
        assert words in page
    assert "<details open><summary>Not read just now?" in page
    assert form_in(answer).values["in_cone_mass_g"] == "heavy"
    described = form_in(answer).described
    assert {"id_in_cone_depth_mm_error", "id_in_cone_mass_g_error", "id_taken_error"} <= described
    assert described <= set(form_in(answer).ids) | {""}


def test_a_needed_field_is_marked_before_anything_is_sent(client, bench, fill):
    page = body(client.get(f"/read/fall_cone/batch/{bench.runny.pk}/"))
    assert page.count('aria-required="true"') == 1 and "(needed)" in page
    empty = body(fill(f"/read/fall_cone/batch/{bench.runny.pk}/"))
    assert "is empty: type a number" in empty


def test_inputs_seldom_needed_are_folded_and_open_where_one_is_wrong(client, bench, fill):
    where = f"/read/drying_curve/batch/{bench.runny.pk}/"
    page = body(client.get(where))
    front, folded = page.split("<details><summary>More, seldom needed</summary>")
    assert "in_bone_dry_g" in folded and "in_bone_dry_g" not in front
    assert "<details open><summary>More, seldom needed" in body(fill(where, in_bone_dry_g="bone"))


def test_all_28_stood_where_25_were_asked_is_met_as_far_as_one_wall_shows(client, bench, fill):
    fill("/brief/", low_layers_stood="25")
    fill(f"/read/layers_stood/batch/{bench.runny.pk}/", in_layers_stood="28", in_how="all_stood")
    page = body(client.get(f"/readings/{Reading.objects.last().pk}/"))
    assert 'class="in">inside' in page and "as far as this one reading shows" in page and "over 28" in page
    fill(f"/read/layers_stood/batch/{bench.runny.pk}/", in_layers_stood="20", in_how="all_stood")
    page = body(client.get(f"/readings/{Reading.objects.last().pk}/"))
    assert "at the edge" in page and "how much more, this reading cannot say" in page


def test_a_weighing_in_the_log_says_of_what_batch_what_and_how_much(client, bench, entry):
    batch = begin_from_recipe(entry(), bench.cracked.recipe_id, {"dry_g": "300"})
    amount = batch.amounts.filter(lot=bench.shell).last()
    weigh(entry(5), batch.pk, amount.order, "295,5")
    page = body(client.get("/log/"))
    assert f"weigh: batch {batch.number}; {bench.shell.name} 295.5 g" in page


def test_all_wrong_fields_of_a_new_bucket_are_named_and_marked_at_once(fill, bench, form_in):
    page = body(answer := fill("/buckets/new/", wet_g="0", hours_old="-3", moisture_percent="wet"))
    assert answer.status_code == 422
    for words in ("“What is it” is empty", "“Where from” is empty", "Wet mass (g) is 0", "Hours old", "“wet”"):
        assert words in page
    assert page.count('aria-invalid="true"') == 5


def test_all_wrong_fields_of_new_lots_are_named_and_marked_at_once(fill, databases):
    answer = fill(
        "/start/", row1__ingredient="mussel shell", row1__moisture_percent="140", row1__sieve_um="0", row2__grams="much"
    )
    page = body(answer)
    assert answer.status_code == 422 and page.count('aria-invalid="true"') == 4
    for words in ("140", "sieve opening", "“much”", "“What is it” is empty"):
        assert words in page


def test_all_wrong_fields_of_a_machine_are_named_at_once_in_other_units_too(fill, bench):
    page = body(fill("/machine/", nozzle_mm="4 cm", barrel_mm="1 m", land_mm="long"))
    assert "as read from “4 cm”, is 40" in page and "as read from “1 m”, is 1000" in page and "“long”" in page


def test_a_bucket_weighed_in_kilograms_is_kept_in_grams(fill, bench):
    fill("/buckets/new/", ingredient="spent grain", source="the brewery", wet_g="2,4 kg")
    assert Bucket.objects.get().wet_g == 2400


def test_a_reading_ten_times_the_usual_is_asked_about_after_it_was_kept(client, fill, bench):
    fill(f"/read/water_demand/lot/{bench.shell.pk}/", in_powder_g="10", in_water_g="35")
    assert "a slip?" in body(client.get(f"/readings/{Reading.objects.last().pk}/"))


def test_the_page_of_a_lot_says_its_sizes_and_the_nozzle_they_want(client, fill, bench):
    typed = {"in_put_in_g": "20", "in_pan_g": "8", "row1__opening_um": "63", "row1__kept_g": "10"}
    fill(f"/read/sieve_split/lot/{bench.shell.pk}/", **typed, row2__opening_um="125", row2__kept_g="2")
    page = body(client.get(f"/lots/{bench.shell.pk}/"))
    assert "d50" in page and "d90" in page and "Nozzle it wants" in page
