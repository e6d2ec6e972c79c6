"""The named bowl and what leaves it: what is left is what was weighed less what was said to be taken."""

from __future__ import annotations

import pytest

from slake.actions.answers import advice
from slake.actions.bowl import (
    cartridge_g,
    knead_in,
    pick_bowl,
    sample_of,
    shows_last,
    take_paste,
    weigh_bowl,
)
from slake.actions.instruments import describe_instrument
from slake.actions.lots import stock_g, take_lots
from slake.actions.mixing import overshoot, start_clock, weigh
from slake.actions.reading import log_reading, strike
from slake.actions.setting_up import describe_machine
from slake.actions.sizes import in_bowl_g, left_in_bowl_g, mixed_recipe
from slake.bench.shelf import all_tests
from slake.ground.problems import DoesNotFit, Problem
from slake.records.models import Batch, Taken, Weighing
from tests.pages.begun import begin


@pytest.fixture
def batch(databases) -> Batch:
    return begin()


@pytest.fixture
def bowl(databases, entry):
    return describe_instrument(entry(), {"name": "blue bowl", "kind": "bowl", "tare_g": "412,5"})


def weigh_all(batch: Batch, entry) -> float:
    rows = list(batch.amounts.filter(held_back=False))
    for row in rows:
        weigh(entry(), batch.pk, row.order, f"{row.target_g:.1f}")
    return sum(round(row.target_g, 1) for row in rows)


def test_left_is_weighed_less_taken_and_no_loss_is_guessed(batch, entry):
    weighed = weigh_all(batch, entry)
    assert left_in_bowl_g(batch) == pytest.approx(weighed)
    take_paste(entry(), batch.pk, "60", "test")
    take_paste(entry(), batch.pk, "101,5", "cartridge", "no. 3")
    assert left_in_bowl_g(batch) == pytest.approx(weighed - 161.5)
    take_paste(entry(), batch.pk, "-1,5", "put right")
    assert left_in_bowl_g(batch) == pytest.approx(weighed - 160)


def test_the_top_up_is_worked_out_for_what_is_left(batch, entry):
    """Half the paste gone: half the water, to the last figure the sentence bears."""
    start_clock(entry(), batch.pk)
    weighed = weigh_all(batch, entry)
    reading = log_reading(entry(60), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "8"})
    full = advice(batch, reading)
    take_paste(entry(61), batch.pk, f"{weighed / 2:.2f}", "cartridge")
    half = advice(batch, reading)
    assert full.left_g == pytest.approx(weighed) and half.left_g == pytest.approx(weighed / 2, abs=0.01)
    assert half.add_water_g.mid == pytest.approx(full.add_water_g.mid / 2, abs=0.06)
    assert f"the {half.left_g:.0f} g left in the bowl" in half.words


def test_the_bowl_on_the_scale_puts_right_what_is_left(batch, bowl, entry):
    weighed = weigh_all(batch, entry)
    pick_bowl(entry(), batch.pk, bowl.pk)
    row = weigh_bowl(entry(), batch.pk, f"{412.5 + weighed - 20:.1f}")
    assert row.why == "put right" and row.grams == pytest.approx(20, abs=0.06)
    weigh_bowl(entry(), batch.pk, f"{412.5 + weighed - 5:.1f}")
    assert left_in_bowl_g(batch) == pytest.approx(weighed - 5, abs=0.06)


def test_a_bowl_without_tare_or_a_lighter_scale_is_refused(batch, bowl, entry):
    with pytest.raises(Problem, match="pick its bowl first"):
        weigh_bowl(entry(), batch.pk, "700")
    pick_bowl(entry(), batch.pk, bowl.pk)
    with pytest.raises(DoesNotFit, match=r"the bowl alone is 412\.5 g"):
        weigh_bowl(entry(), batch.pk, "400")
    cone = describe_instrument(entry(), {"name": "cone", "kind": "cone"})
    with pytest.raises(Problem, match="pick a bowl"):
        pick_bowl(entry(), batch.pk, cone.pk)
    assert not Taken.objects.exists()


@pytest.mark.parametrize(
    ("grams", "why"),
    [("0", "test"), ("-4", "test"), ("nan", "test"), ("1e9", "spilled"), ("9000", "test"), ("5", "eaten")],
)
def test_what_cannot_have_left_the_bowl_is_refused(batch, entry, grams, why):
    with pytest.raises(Problem):
        take_paste(entry(), batch.pk, grams, why)
    assert not Taken.objects.exists()


def test_the_scale_may_show_the_total_with_bowl(batch, bowl, entry):
    pick_bowl(entry(), batch.pk, bowl.pk)
    first, second = batch.amounts.all()[:2]
    weigh(entry(), batch.pk, first.order, "526,9", "total")
    weigh(entry(), batch.pk, second.order, "531,0", "total")
    assert [row.grams for row in Weighing.objects.all()] == pytest.approx([114.4, 4.1])
    assert Weighing.objects.first().typed == "526,9 with bowl"
    assert in_bowl_g(batch) == pytest.approx(118.5) and shows_last() == "total"
    weigh(entry(), batch.pk, second.order, "1,0")
    assert shows_last() == "net"


def test_a_total_below_what_is_in_it_is_refused_with_both_numbers(batch, bowl, entry):
    pick_bowl(entry(), batch.pk, bowl.pk)
    weigh(entry(), batch.pk, 1, "526,9", "total")
    with pytest.raises(Problem, match=r"shows 500\.0 g .* already 526\.9 g"):
        weigh(entry(), batch.pk, 2, "500", "total")
    assert Weighing.objects.count() == 1


def test_a_total_without_a_bowl_is_refused(batch, entry):
    with pytest.raises(Problem, match="pick its bowl"):
        weigh(entry(), batch.pk, 1, "500", "total")
    assert shows_last() == "net"


def test_a_pour_undone_is_struck_and_its_grams_are_back_in_stock(batch, entry):
    shell = next(row for row in batch.amounts.all() if row.lot and row.lot.role == "filler")
    before = stock_g(shell.lot)
    row = weigh(entry(), batch.pk, shell.order, "50")
    assert stock_g(shell.lot) == before - 50
    strike(entry(), "weighing", row.pk, "undone at the bench")
    assert stock_g(shell.lot) == before and in_bowl_g(batch) == 0


def test_a_sample_is_the_volume_of_its_vessel_in_this_paste(batch, entry):
    """45 mL of a shell paste: 2.7 g/mL solids, 0.45 g water per g: (1.45)/(1/2.7 + 0.45) = 1.77 g/mL, about 80 g."""
    reading = log_reading(entry(), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": "12"})
    assert 70 < sample_of(batch, reading, "Fall cone").grams < 85
    grade = log_reading(entry(), "layers_stood", ("batch", batch.pk), {"layers_stood": "12"})
    assert sample_of(batch, grade, "Layers stood") is None and sample_of(batch, None, "") is None


def test_a_usual_sample_is_declared_of_every_test_that_fills_a_vessel():
    """What a test takes is said in its declaration; a wall or a crack takes what was printed anyway."""
    takes = {test.id for test in all_tests().values() if test.sample_ml}
    assert {"fall_cone", "slump", "spread", "extruded_slug", "syringe_push"} <= takes
    assert not takes & {"layers_stood", "oven_moisture", "mould_watch", "drying_curve"}
    assert all(0 <= test.sample_ml <= 200 for test in all_tests().values())


def test_a_usual_sample_of_another_test_is_as_large_as_it_says(batch, entry):
    reading = log_reading(entry(), "slump", ("batch", batch.pk), {"slump_mm": "6"})
    assert sample_of(batch, reading, "Slump").grams == pytest.approx(100 / 45 * 80, rel=0.08)


def test_a_cartridge_weighs_its_volume_of_paste(batch, entry):
    assert cartridge_g(batch) is None
    batch.machine = describe_machine(
        entry(), {"name": "ram", "nozzle_mm": "2", "barrel_mm": "60", "cartridge_ml": "500"}
    )
    assert 500 * 1.6 < cartridge_g(batch) < 500 * 1.9


def test_the_same_entry_takes_once(batch, entry):
    same = entry(id="same-entry")
    for _ in range(2):
        take_paste(same, batch.pk, "10", "spilled")
    assert Taken.objects.count() == 1


def test_a_top_up_makes_the_paste_in_the_bowl_what_the_advice_said(batch, entry):
    """Half the paste was taken out first: the same grams of water then count double in the recipe of the bowl."""
    start_clock(entry(), batch.pk)
    weighed = weigh_all(batch, entry)
    before = mixed_recipe(batch)
    take_paste(entry(1), batch.pk, f"{weighed / 2:.2f}", "cartridge")
    knead_in(entry(2), batch.pk, "10")
    half_dry = weighed / 2 * before.solids_fraction
    after = mixed_recipe(batch)
    assert after.water_per_dry == pytest.approx(before.water_per_dry + 10 / half_dry, rel=1e-4)
    assert after.parts == pytest.approx(before.parts)
    assert left_in_bowl_g(batch) == pytest.approx(weighed / 2 + 10, abs=0.01)
    take_paste(entry(3), batch.pk, "50", "test")
    assert mixed_recipe(batch).water_per_dry == pytest.approx(after.water_per_dry)


def test_a_top_up_of_filler_leaves_stock_thins_the_gum_and_is_no_overshoot(batch, entry):
    weigh_all(batch, entry)
    shell = next(row.lot for row in batch.amounts.all() if row.lot and row.lot.role == "filler")
    gum = next(row.lot.name for row in batch.amounts.all() if row.lot and row.lot.role == "thickener")
    stock, before = stock_g(shell), mixed_recipe(batch)
    row = knead_in(entry(), batch.pk, "40", shell.pk)
    assert stock_g(shell) == stock - 40 and overshoot(batch) is None
    assert mixed_recipe(batch).parts[gum] < before.parts[gum]
    strike(entry(), "weighing", row.pk, "undone at the bench")
    assert stock_g(shell) == stock and mixed_recipe(batch) == before


@pytest.mark.parametrize("grams", ["0", "-3", "nan", "", "1e9"])
def test_nothing_kneaded_in_is_refused(batch, entry, grams):
    with pytest.raises(Problem):
        knead_in(entry(), batch.pk, grams)
    assert not Weighing.objects.exists()


def test_only_what_is_in_the_recipe_is_kneaded_in(batch, entry):
    (other,) = take_lots(entry(), [{"ingredient": "xanthan"}])
    with pytest.raises(Problem, match="is not in batch"):
        knead_in(entry(), batch.pk, "5", other.pk)
