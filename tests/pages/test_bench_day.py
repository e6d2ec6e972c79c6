"""The bench page over a working day, without any script: one amount at a time, steps, bowl, scale, instruments."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.utils import timezone

from slake.actions import readings_told
from slake.actions.entry import Entry
from slake.actions.instruments import describe_instrument
from slake.actions.lots import stock_g
from slake.actions.setting_up import describe_machine
from slake.actions.sizes import left_in_bowl_g
from slake.pages.bench.pad import GROUP_OF, OTHER, pads
from slake.records.models import Batch, Detail, Reading, Taken, Weighing
from tests.pages.begun import begin

BOWL = {"name": "blue bowl", "kind": "bowl", "tare_g": "412,5"}
CONE = {"name": "brass cone", "kind": "cone", "cone_mass_g": "80"}


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


@pytest.fixture
def page(client: Client, batch: Batch):
    def show(**asked: str) -> str:
        return client.get(f"/batches/{batch.number}/bench/", asked).content.decode()

    return show


def own(typed: dict[str, str]):
    return describe_instrument(Entry(id=f"own {typed['name']}", at=timezone.now()), typed)


def shown_steps(text: str) -> list[str]:
    return re.findall(r'<li id="step-(\d+)" class="[^"]*\bshown"', text)


def weigh_all(post, batch: Batch) -> None:
    for row in batch.amounts.filter(held_back=False):
        post(kind="weigh", order=str(row.order), grams=f"{row.target_g:.1f}")


def test_one_amount_is_in_sight_the_next_after_it_and_any_other_a_tap_away(page, post):
    assert shown_steps(page()) == ["1"]
    post(kind="weigh", order="1", grams="114,4")
    text = page()
    assert shown_steps(text) == ["2"] and "All amounts: 1 of 6 in" in text
    assert 'href="?step=4#weigh"' in text
    assert shown_steps(page(step="4")) == ["4"]
    for wrong in ("99", "x", "-1", "1e3"):
        assert shown_steps(page(step=wrong)) == ["2"]


def test_a_step_says_what_is_left_of_it_and_of_its_lot(page, post, batch: Batch):
    shell = [row for row in batch.amounts.all() if row.lot and row.lot.name == "grey shell"][-1]
    post(kind="weigh", order=str(shell.order), grams="100")
    text = page(step=str(shell.order))
    assert f"left to weigh: {shell.target_g - 100:.1f} g" in text
    assert f"Left of this lot after it: {50000 - shell.target_g:.1f} g" in text


def test_what_the_dry_blend_took_comes_off_the_rest_of_its_filler(page, post, batch: Batch):
    """Portions are of one amount: more in the jar is less later, and no overshoot."""
    jar, rest = (row for row in batch.amounts.all() if row.lot and row.lot.name == "grey shell")
    assert "dry jar" in jar.step and jar.order < rest.order
    post(kind="weigh", order=str(jar.order), grams=f"{jar.target_g + 20:.1f}")
    text = page(step=str(rest.order))
    assert f'<p class="target">{rest.target_g - 20:.1f} g' in text and "too much" not in text
    assert shown_steps(page()) == ["1"] and f"{jar.target_g + 20:.1f} g (fine)" in text
    post(kind="weigh", order=str(rest.order), grams=f"{rest.target_g:.1f}")
    assert "grey shell: 20.0 g too much" in page()


def test_nothing_is_poured_while_an_overshoot_waits_for_its_choice(page, post, batch: Batch):
    gum = next(row for row in batch.amounts.all() if row.lot and row.lot.name == "pale guar")
    post(kind="weigh", order=str(gum.order), grams=f"{gum.target_g + 3:.1f}", entry="over")
    said = post(422, kind="weigh", order="1", grams="100", entry="next")
    assert "undo it, rescale the rest or accept it first" in said
    assert Weighing.objects.count() == 1
    post(kind="weigh", order=str(gum.order), grams=f"{gum.target_g + 3:.1f}", entry="over")
    assert Weighing.objects.count() == 1, "the same entry again is no new pour"
    post(kind="accept", entry="chosen")
    post(kind="weigh", order="1", grams="100", entry="next")


def test_ten_times_too_much_is_first_offered_to_be_undone(page, post, batch: Batch):
    gum = next(row for row in batch.amounts.all() if row.lot and row.lot.name == "pale guar")
    post(kind="weigh", order=str(gum.order), grams=f"{gum.target_g * 10:.1f}")
    over = page().split('class="problem over"')[1].split("</section>")[0]
    first = over.index("Undo it")
    assert "10 times what was asked" in over and 0 < first < over.index("Accept it")
    assert "×&nbsp;10" not in over and "Rescale the rest" not in over, "no batch is made ten times as large"
    post(kind="undo", row=re.search(r'name="row" value="(\d+)"', over)[1], entry="undone")
    assert "too much" not in page()


def test_twice_too_much_may_be_rescaled_after_undoing_is_offered(page, post, batch: Batch):
    gum = next(row for row in batch.amounts.all() if row.lot and row.lot.name == "pale guar")
    post(kind="weigh", order=str(gum.order), grams=f"{gum.target_g * 2:.1f}")
    over = page().split('class="problem over"')[1].split("</section>")[0]
    assert over.index("Undo it") < over.index("Rescale the rest ×&nbsp;2<")


def test_the_card_folds_to_one_line_once_all_is_weighed(page, post, batch: Batch):
    assert 'class="weighed"' not in page()
    weigh_all(post, batch)
    text = page()
    held = batch.amounts.get(held_back=True).target_g
    assert f"{held:.1f} g of water held back beside it" in text
    assert text.index('<details class="weighed">') < text.index('class="track"')
    assert 'class="weighed"' not in page(step="2"), "a step asked for is shown"


def test_a_lot_that_does_not_hold_the_amount_is_said_before_the_pour(page, batch: Batch, client: Client, fill):
    shell = next(row for row in batch.amounts.all() if row.lot and row.lot.name == "grey shell")
    fill(f"/lots/{shell.lot.pk}/stock/", grams="-49900", why="put right")
    assert "The lot is short of it by its count" in page(step=str(shell.order))


def test_undo_takes_back_the_last_pour_and_its_stock(page, post, batch: Batch):
    shell = next(row for row in batch.amounts.all() if row.lot and row.lot.name == "grey shell")
    before = stock_g(shell.lot)
    post(kind="weigh", order="1", grams="114,4")
    post(kind="weigh", order=str(shell.order), grams="90")
    text = page()
    assert "Undo the last pour: grey shell 90.0 g" in text
    row = re.search(r'value="undo">\s*<input type="hidden" name="row" value="(\d+)"', text)[1]
    post(kind="undo", row=row)
    text = page()
    assert stock_g(shell.lot) == before and "Struck: undone at the bench" in text
    assert "Undo the last pour: water 114.4 g" in text


def test_nothing_poured_leaves_nothing_to_undo(page):
    assert "Undo the last pour: " not in page()


def test_a_bowl_is_picked_and_the_scale_may_show_the_total(page, post, batch: Batch):
    bowl = own(BOWL)
    assert "Which bowl?" in page() and 'name="shows"' not in page()
    post(kind="bowl", bowl=str(bowl.pk))
    assert "412.5 g empty" in page()
    post(kind="weigh", order="1", grams="526,9", shows="total")
    assert Weighing.objects.get().grams == pytest.approx(114.4)
    text = page()
    assert "the scale shows <strong>526.9 g</strong>" in text
    assert re.search(r'value="total" checked', text), "the choice is remembered"


def test_a_bench_without_bowls_asks_for_none(page):
    assert "Which bowl?" not in page()


def test_what_is_left_follows_what_was_taken_by_tap_by_hand_and_by_weighing(page, post, batch: Batch):
    bowl = own(BOWL)
    post(kind="bowl", bowl=str(bowl.pk))
    assert "Left in the bowl" not in page()
    weigh_all(post, batch)
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8")
    full = left_in_bowl_g(batch)
    text = page()
    grams = re.search(r"Fall cone took (\d+) g", text)[1]
    post(kind="take", grams=grams, why="test", note="Fall cone")
    assert f"{full - float(grams):.1f} g</strong>" in page()
    assert "Fall cone took" not in page(), "offered once for each reading"
    assert f"to the {full - float(grams):.0f} g left in the bowl" in page()
    post(kind="take", shown="612,5")
    text = page()
    assert 'about <strong class="inbowl">200.0 g</strong>' in text and "to the 200 g left in the bowl" in text


def test_the_top_up_is_kneaded_in_with_the_grams_the_advice_gave(page, post, batch: Batch):
    weigh_all(post, batch)
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="30")
    full = left_in_bowl_g(batch)
    text = page()
    asked = re.search(r'name="lot" value="(\d+)">.*?id="knead-grams"[^>]*value="([\d.]+)"', text, re.DOTALL)
    assert "Too soft" in text and f"Start with <strong>{asked[2]} g" in text
    post(kind="knead", lot=asked[1], grams=asked[2])
    assert left_in_bowl_g(batch) == pytest.approx(full + float(asked[2]))
    assert "too much" not in page()


def test_a_cartridge_is_one_tap_where_its_volume_is_known(page, post, batch: Batch):
    weigh_all(post, batch)
    assert "One cartridge" not in page()
    machine = {"name": "ram", "nozzle_mm": "2", "barrel_mm": "60", "cartridge_ml": "100"}
    Batch.objects.update(machine=describe_machine(Entry(id="m", at=timezone.now()), machine))
    assert re.search(r"One cartridge, 17\d g", page())


def test_what_went_out_can_be_put_back(page, post, batch: Batch):
    weigh_all(post, batch)
    full = left_in_bowl_g(batch)
    post(kind="take", grams="80", why="spilled")
    back = re.search(r'name="grams" value="(-[\d.]+)"><input type="hidden" name="why" value="put right"', page())[1]
    post(kind="take", grams=back, why="put right", note="undone: spilled")
    assert left_in_bowl_g(batch) == pytest.approx(full) and Taken.objects.count() == 2


def test_what_is_next_is_one_line_and_its_time_is_printed(page, post):
    assert "Premix the gum with dry filler" in page()
    post(kind="step", step="premix")
    assert "Next:</span> <strong>First water in" in page()
    post(kind="clock", late="10")
    text = page()
    assert re.search(
        r"Next:</span> <strong>Knead 10 min, until no dry spot is left</strong>, by <strong>[\w ]*\d\d:\d\d</strong>",
        text,
    )
    assert 'class="card timed next"' in text
    for words in ("Load by", "Print until", "Discard at the latest by", "60 min", "180 min"):
        assert words in text


def test_a_step_whose_time_has_come_is_marked_and_done_late_it_moves_on(page, post):
    post(kind="clock", late="40")
    assert 'class="card timed over"' in page()
    post(kind="step", step="knead", late="5")
    text = page()
    assert "<strong>Rest, covered; then a first cone</strong>" in text and 'class="card timed next"' in text
    assert "Not done" in text
    post(kind="step", step="knead", undone="yes")
    assert "<strong>Knead 10 min, until no dry spot is left</strong>" in page()


def test_once_it_ended_no_step_is_asked_for_and_no_time_rings(page, post):
    post(kind="clock", late="400")
    assert 'class="card timed over"' in page() and "1440 min (24 h)" in page()
    post(kind="outcome", ended="good")
    text = page()
    assert "How it ended is said. Discard what is left by" in text
    assert "timed over" not in text and "data-due" not in text


def test_a_scale_not_checked_today_is_one_line_and_blocks_nothing(page, post):
    assert "not checked today" not in page()
    scale = own({"name": "kitchen scale", "kind": "scale"})
    assert "kitchen scale: not checked today" in page()
    post(kind="weigh", order="1", grams="114,4")
    post(kind="check", instrument=str(scale.pk), known="7,5", shown="7,9")
    text = page()
    assert "not checked today" not in text and "shows 0.4 g too much" in text


def test_the_cone_used_last_is_the_one_taken_and_fills_its_own_facts(page, post):
    brass, other = own(CONE), own({"name": "printed cone", "kind": "cone", "cone_mass_g": "30"})
    assert f'name="instrument" value="{brass.pk}">' in page()
    post(kind="reading", test="fall_cone", in_cone_depth_mm="12", instrument=str(brass.pk))
    text = page()
    assert f'name="instrument" value="{brass.pk}" checked>' in text
    assert f'name="instrument" value="{other.pk}">' in text
    row = Reading.objects.get()
    assert 'Fall cone: 12 mm <span class="unit">brass cone</span>' in text
    assert row.instrument == brass and row.typed["fields"]["cone_mass_g"] == "80"


def test_a_refused_reading_keeps_its_instrument(post):
    brass = own(CONE)
    text = post(422, kind="reading", test="fall_cone", in_cone_depth_mm="400", instrument=str(brass.pk))
    assert f'name="instrument" value="{brass.pk}" checked>' in text and 'value="400"' in text


def test_further_tests_are_grouped_and_each_is_there_once(databases):
    first, more = pads(None)
    named = [pad.test.id for group in more for pad in group.pads]
    assert len(named) == len(set(named)) and not {pad.test.id for pad in first} & set(named)
    assert [group.words for group in more] == list(dict.fromkeys(group.words for group in more))
    assert {group.words for group in more} <= {*GROUP_OF.values(), OTHER}


def test_kneaded_water_is_asked_whether_it_was_held_back_and_the_card_asks_no_more(page, post, batch: Batch):
    weigh_all(post, batch)
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8")
    text = page()
    held = batch.amounts.get(held_back=True)
    assert f'value="held back" checked> the {held.target_g:.1f} g held back' in text
    post(kind="knead", lot="", of="held back", grams=f"{held.target_g:.1f}")
    text = page()
    assert Weighing.objects.last().amount == held and "held back beside it" not in text
    assert f"{held.target_g:.1f} g of water in at" in text and 'id="knead-grams"' not in text
    post(kind="reading", test="fall_cone", in_cone_depth_mm="8,1")
    assert 'name="of"' not in page(), "nothing is held back any more"


def test_what_the_readings_say_together_stands_at_the_bench(page, post, batch: Batch):
    weigh_all(post, batch)
    post(kind="clock", late="60")
    for depth in ("18", "18,1"):
        post(kind="reading", test="fall_cone", in_cone_depth_mm=depth)
    assert "from 2 readings together" in page()
    post(kind="reading", test="fall_cone", in_cone_depth_mm="1,8")
    text = page()
    assert "a slip by ten" in text and "readings together" not in text and 'id="knead-grams"' not in text


def test_a_note_is_kept_with_the_batch_one_after_the_other(page, post, batch: Batch):
    post(kind="note", text="smells of bread")
    post(kind="note", text="ram room draughty <b>")
    text = page()
    assert "Note: smells of bread" in text and "Note: ram room draughty &lt;b&gt;" in text
    assert "the note is empty" in post(422, kind="note", text=" ")
    assert "shorten it" in post(422, kind="note", text="x" * 5000)
    assert Detail.objects.filter(subject="batch", subject_id=batch.pk).count() == 2


def test_a_few_lines_are_in_sight_and_all_of_them_a_tap_away(page, post, batch: Batch):
    for many in range(5):
        post(kind="note", text=f"note {many}")
    assert "All 5 lines" not in page()
    for many in range(5, 9):
        post(kind="note", text=f"note {many}")
    sight, further = page().split("<summary>All 9 lines</summary>")
    assert "note 8" in sight and "note 3" in sight and "Note: note 2" not in sight and "Note: note 0" in further


def test_another_batch_that_waits_is_one_tap_away(page, post, client: Client, batch: Batch):
    other = begin("second")
    assert "Other batches wait" not in page(), "no water yet"
    client.post(f"/batches/{other.number}/bench/", {"entry": "o1", "kind": "clock"})
    assert re.search(rf'href="[^"]*/batches/{other.number}/bench/#read">Batch {other.number}: ', page())
    client.post(f"/batches/{other.number}/bench/", {"entry": "o2", "kind": "outcome", "ended": "good"})
    assert "Other batches wait" not in page()
    rows = {"entry": "o3", "kind": "reading", "test": "shrinkage_bar", "row1-wet_mm": "100", "row2-wet_mm": "100"}
    assert client.post(f"/batches/{other.number}/bench/", rows).status_code == 302
    begun = Reading.objects.get()
    assert f"/readings/{begun.pk}/go-on/" in page(), "bars marked wet wait to be read dry"


def test_a_coin_check_stands_above_weigh_red_when_wrong_and_can_be_done_again(page, post):
    scale = own({"name": "kitchen scale", "kind": "scale", "scale_step_g": "0,1"})
    post(kind="check", instrument=str(scale.pk), known="7,5", shown="0")
    text = page()
    assert text.index("7.5 g too little") < text.index('<h2 id="weigh">')
    assert text[: text.index("7.5 g too little")].rindex('<section class="problem">') > text.index('data-live="scale"')
    assert f'id="coin-known-{scale.pk}"' in text and "Check again" in text
    post(kind="check", instrument=str(scale.pk), known="7,5", shown="7,5")
    text = page()
    assert "right to within a step" in text and "7.5 g too little" not in text and "Check again" in text


def test_bowls_and_the_coin_check_are_found_from_the_bench(page):
    text = page()
    assert 'href="/instruments/new/bowl/"' in text and 'href="/instruments/new/scale/"' in text
    own(BOWL)
    own({"name": "kitchen scale", "kind": "scale", "scale_step_g": "0,1"})
    text = page()
    assert "/instruments/new/" not in text and "Which bowl?" in text


def test_inputs_that_seldom_matter_are_folded_on_the_pad(page):
    first, more = pads(None)
    every = [*first, *(pad for group in more for pad in group.pads)]
    folded = {pad.test.id: [field.name for field in pad.form.of_further] for pad in every if pad.form.of_further}
    assert folded, "some test declares such inputs"
    text = page()
    for name, fields in folded.items():
        pad = text.split(f'id="pad-{name}"')[1].split("</form>")[0]
        fold = pad.split("More, seldom needed")[1]
        assert all(
            f'name="{field}"' in fold and f'name="{field}"' not in pad.split("More, seldom")[0] for field in fields
        )


def test_own_repeats_are_looked_up_once_a_page_however_many_readings(page, post, monkeypatch):
    """With 20,000 batches each look-up took a tenth of a second, and there was one for every reading shown."""
    post(kind="clock", late="60")
    for depth in ("18", "18,1", "18,2", "18,3"):
        post(kind="reading", test="fall_cone", in_cone_depth_mm=depth)
    looked = []
    told = readings_told.lately_repeated
    monkeypatch.setattr(readings_told, "lately_repeated", lambda tests: looked.append(1) or told(tests))
    page()
    assert len(looked) == 1


def test_readings_far_apart_ask_for_another_and_lead_to_the_line_to_strike(page, post, batch: Batch):
    weigh_all(post, batch)
    post(kind="clock", late="60")
    post(kind="reading", test="fall_cone", in_cone_depth_mm="18")
    assert 'href="#kept"' not in page()
    post(kind="reading", test="fall_cone", in_cone_depth_mm="1,8")
    text = page()
    assert "Read again first" in text and 'id="knead-grams"' not in text
    assert text.index("Read again first") < text.index('href="#kept"') < text.index('id="kept"')
