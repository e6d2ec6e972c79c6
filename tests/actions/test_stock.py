"""The ledger, what a lot still makes, lots of a recipe that are used up, and the bridge to the next lot."""

from __future__ import annotations

import pytest

from slake.actions.bridge import begin_bridge, begin_from_lots
from slake.actions.lots import move_stock, stock_g, take_lots
from slake.actions.mixing import begin_from_recipe
from slake.actions.notebook import take_in
from slake.actions.stock import bridge_dry_g, bridge_g, ledger, ledger_newest, lots_in, lots_now, outlook, usual_g
from slake.ground.problems import DoesNotFit, Problem
from slake.records.models import Action, Batch, Lot, Recipe

LINE = "mussel shell 300, guar 5, alginate 9, water 160 - good; cone 14 mm at 60 min\n"


@pytest.fixture
def kept(first_day, entry) -> Recipe:
    (batch,) = take_in(entry(), LINE).batches
    return batch.recipe


@pytest.fixture
def shell(first_day) -> Lot:
    return first_day[0]


@pytest.fixture
def newer(first_day, entry) -> Lot:
    (lot,) = take_lots(entry(), [{"ingredient": "mussel shell", "name": "shell B", "grams": "1500"}])
    return lot


def test_the_ledger_runs_and_is_open_until_somebody_counted(shell, first_day, entry):
    move_stock(entry(), shell.pk, "100", "spilled")
    move_stock(entry(), shell.pk, "-50", "put right")
    assert [line.left_g for line in ledger(shell)] == [2000, 1900, 1850]
    guar = first_day[1]
    move_stock(entry(), guar.pk, "2", "spilled")
    assert [line.left_g for line in ledger(guar)] == [None]
    move_stock(entry(), guar.pk, "50", "came in")
    assert [line.left_g for line in ledger(guar)] == [None, 48]


def test_a_stretch_of_the_ledger_says_what_the_whole_one_says(shell, first_day, entry):
    for grams in ("100", "50.5", "7", "0.25"):
        move_stock(entry(), shell.pk, grams, "spilled")
    move_stock(entry(), first_day[1].pk, "2", "spilled")
    move_stock(entry(), first_day[1].pk, "50", "came in")
    for lot in (shell, first_day[1], first_day[2]):
        whole = [(line.move.pk, line.left_g) for line in reversed(ledger(lot))]
        for skip in range(6):
            found, count = ledger_newest(lot, skip, 2)
            assert [(line.move.pk, line.left_g) for line in found] == whole[skip : skip + 2] and count == len(whole)


def test_what_a_batch_usually_takes_is_the_middle_of_the_last(kept, shell, entry):
    assert usual_g(shell) == 300
    for dry in ("100", "100", "100", "500"):
        begin_from_recipe(entry(), kept.pk, {"dry_g": dry})
    assert 80 < usual_g(shell) < 110


def test_a_lot_that_does_not_carry_the_plan_says_when_to_stop_and_what_to_keep(kept, shell, entry):
    move_stock(entry(), shell.pk, "1300", "spilled")
    found = outlook(shell, 300.0, 5)
    assert found.left_g == 700 and not found.plan.enough and found.plan.batches == 2
    assert found.plan.stop_after == 1 or found.plan.bridge_kg * 1000 + 600 <= 665
    assert 50 < bridge_g(shell) < 90
    assert outlook(shell, 300.0, 2).plan.enough


def test_a_bridge_keeps_the_grams_a_cone_and_a_bar_take(kept, shell):
    dry = bridge_dry_g(kept, lots_in(kept))
    assert bridge_g(shell) == pytest.approx(dry * kept.parts[shell.name] / (1 - 0.025), rel=0.02)


def test_the_outlook_of_an_uncounted_lot_is_open_and_of_an_unused_one_has_no_usual(kept, first_day, newer):
    assert outlook(first_day[1], 5.0, 3) is None
    assert usual_g(newer) is None and bridge_g(newer) is None


def test_a_used_up_lot_of_a_recipe_is_told_with_the_newest_of_its_kind(kept, shell, newer, entry):
    move_stock(entry(), shell.pk, "2000", "spilled")
    rows = {row.lot.name: row for row in lots_now(kept)}
    assert rows[shell.name].used_up and rows[shell.name].newer == newer
    assert not rows["guar gum"].used_up and rows["guar gum"].newer is None


def test_a_recipe_begun_from_another_lot_is_a_child_and_the_same_child_again(kept, shell, newer, entry):
    swap = {shell.name: str(newer.pk)}
    first = begin_from_lots(entry(), kept.pk, swap, {"dry_g": "300"})
    again = begin_from_lots(entry(), kept.pk, swap, {"dry_g": "200"})
    assert first.recipe == again.recipe and first.recipe.parent == kept
    assert first.recipe.parts[newer.name] == kept.parts[shell.name] and first.recipe.water_per_dry == kept.water_per_dry
    assert newer in {row.lot for row in first.amounts.all()} and shell not in {row.lot for row in first.amounts.all()}
    assert begin_from_lots(entry(), kept.pk, {}, {"dry_g": "200"}).recipe == kept


def test_a_bridge_is_two_small_batches_alike_but_for_the_lot(kept, shell, newer, entry):
    made = begin_bridge(entry(id="b"), kept.pk, shell.name, str(newer.pk), {})
    old, new = ({row.lot.name if row.lot else "water": row for row in b.amounts.all()} for b in (made.old, made.new))
    assert old[shell.name].target_g == pytest.approx(new[newer.name].target_g, rel=0.05)
    assert 70 < sum(row.target_g for row in made.old.amounts.all()) < 160
    assert Batch.objects.count() == 3
    assert begin_bridge(entry(id="b"), kept.pk, shell.name, str(newer.pk), {}) == made
    assert Batch.objects.count() == 3


def test_a_bridge_is_refused_whole(kept, shell, newer, first_day, entry):
    before = Action.objects.count()
    for old, new, size, words in (
        (shell.name, str(shell.pk), {}, "both the old and the new"),
        (shell.name, str(first_day[1].pk), {}, "same kind"),
        (shell.name, "999", {}, "not on this bench"),
        (shell.name, "", {}, "both the old and the new"),
        ("nothing", str(newer.pk), {}, "no lot of this recipe"),
        (shell.name, str(newer.pk), {"dry_g": "0"}, "dry solids"),
        (shell.name, str(newer.pk), {"dry_g": "-3"}, "dry solids"),
        (shell.name, str(newer.pk), {"dry_g": "1800"}, "left"),
    ):
        with pytest.raises(Problem, match=words):
            begin_bridge(entry(), kept.pk, old, new, size)
    assert Batch.objects.count() == 1 and Action.objects.count() == before and Recipe.objects.count() == 1


def test_a_bridge_needs_what_the_old_lot_still_has(kept, shell, newer, entry):
    move_stock(entry(), shell.pk, "1990", "spilled")
    assert stock_g(shell) == 10
    with pytest.raises(DoesNotFit, match="needs"):
        begin_bridge(entry(), kept.pk, shell.name, str(newer.pk), {})
    assert Batch.objects.count() == 1


def test_a_recipe_not_all_of_which_is_here_keeps_nothing_for_a_bridge(kept, shell, entry):
    kept.parts = {shell.name: 0.9, "a powder of another bench": 0.1}
    kept.save()
    assert bridge_g(shell) is None and outlook(shell, 300.0, 99).plan.bridge_kg == 0
