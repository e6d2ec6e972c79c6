"""Dose curves from rows: run-outs that count, cones of batches with one gum alone, a swap that falls back on them."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest

from slake.actions.dose_curves import cones, curve_of, run_outs
from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.notebook import take_in
from slake.actions.reading import log_reading, strike
from slake.actions.swap import CONES, Choice, choices, swap
from slake.ground.problems import Problem
from slake.paste.recipe import Recipe
from slake.records.models import Batch, Lot
from slake.records.struck import standing_batches
from slake.records.values import ingredient_of
from slake.records.which import OWN, using

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
GUAR, XANTHAN = (900.0, 0.9), (1500.0, 0.7)
"""Pascals at 1 g per 100 g of water in this shell, and power: planted, invented."""


@pytest.fixture
def bench(databases):
    with using(OWN):
        names = [("mussel shell", "shell"), ("guar", "guar"), ("xanthan", "xanthan"), ("spent grain", "grain")]
        take_lots(Entry(id="lots", at=NOW), [{"ingredient": i, "name": n, "moisture_percent": "0"} for i, n in names])
        yield {lot.name: lot for lot in Lot.objects.all()}


def depth_mm(pascals: float) -> float:
    """30 g, 30 deg, factor 0.8 (docs/formulas.md): d^2 = K m g / tau."""
    return 1000 * math.sqrt(0.8 * 0.030 * 9.81 / pascals)


def mix(number: int, gum: str, dose: float, law: tuple[float, float], water: float = 150.0) -> Batch:
    entry = Entry(id=f"mix{number}", at=NOW + timedelta(hours=number))
    cone = depth_mm(law[0] * dose ** law[1])
    line = f"shell 300 g, {gum} {dose * water / 100:.3f} g, water {water:g} g; cone {cone:.2f} mm at 60 min; good"
    take_in(entry, line, {lot.name: lot.pk for lot in Lot.objects.all()})
    return Batch.objects.last()


def run(lot: Lot, n: int, **fields: str):
    entry = Entry(id=f"run{lot.pk}.{n}", at=NOW + timedelta(minutes=n))
    return log_reading(entry, "gum_run_out", ("lot", lot.pk), {"gum_g": "1", "water_g": "100", "hours": "2", **fields})


def test_only_run_outs_that_ran_at_two_hours_and_stand_count(bench):
    guar = bench["guar"]
    run(guar, 1, gum_run_out_s="20")
    run(guar, 2, gum_run_out_s="60", gum_g="2")
    run(guar, 3, gum_run_out_s="15", hours="0.5")
    run(guar, 4, gum_run_out_s="600", gum_g="4", ended="stood")
    wrong = run(guar, 5, gum_run_out_s="2", gum_g="3")
    strike(Entry(id="x", at=NOW), "reading", wrong.pk, "the wrong jar")
    found = run_outs([guar])
    assert [(round(p.dose_per_100_water, 3), p.value) for p in found] == [(1.0, 20.0), (2.0, 60.0)]
    assert found[0].sd_log == pytest.approx(0.08)


def test_a_lot_with_three_doses_of_its_own_speaks_for_itself(bench):
    other, *_ = take_lots(
        Entry(id="more", at=NOW), [{"ingredient": "guar", "name": "old guar", "moisture_percent": "0"}]
    )
    for n, dose in enumerate(("1", "2", "3")):
        run(bench["guar"], n, gum_g=dose, gum_run_out_s=str(20 * (n + 1)))
    run(other, 9, gum_run_out_s="99")
    assert {p.reading.lot_id for p in run_outs([bench["guar"], other])} == {bench["guar"].pk}
    assert {p.reading.lot_id for p in run_outs([other, bench["guar"]])} == {bench["guar"].pk}


def test_cones_of_batches_with_one_gum_alone_give_its_curve(bench):
    for n, dose in enumerate((0.8, 1.2, 1.8)):
        mix(n, "guar", dose, GUAR)
    take_in(Entry(id="two", at=NOW), "shell 300, guar 2, xanthan 1, water 150; cone 9 mm at 60 min", _lots())
    take_in(Entry(id="grain", at=NOW), "shell 200, grain 40, guar 2, water 150; cone 9 mm at 60 min", _lots())
    like = Batch.objects.get(number=1).recipe
    points = cones(
        ingredient_of(bench["guar"]), Recipe(parts=like.parts, water_per_dry=like.water_per_dry), standing_batches()
    )
    assert len(points) == 3
    curve = curve_of(points, "guar")
    assert curve.power == pytest.approx(GUAR[1], abs=0.05)


def recipe_of_first() -> Recipe:
    like = Batch.objects.get(number=1).recipe
    return Recipe(parts=like.parts, water_per_dry=like.water_per_dry)


def _lots() -> dict[str, int]:
    return {lot.name: lot.pk for lot in Lot.objects.all()}


def test_a_batch_at_another_water_counts_the_less(bench):
    mix(1, "guar", 1.0, GUAR)
    mix(2, "guar", 1.0, GUAR, water=165.0)
    like = Batch.objects.get(number=1).recipe
    near, far = cones(
        ingredient_of(bench["guar"]), Recipe(parts=like.parts, water_per_dry=like.water_per_dry), standing_batches()
    )
    assert far.sd_log > near.sd_log + 0.1
    assert far.value == pytest.approx(near.value * (165 / 150) ** 5.5, rel=0.05)


def test_a_swap_falls_back_on_cones_and_says_what_it_rests_on(bench):
    for n, dose in enumerate((0.8, 1.2, 1.8)):
        mix(n, "guar", dose, GUAR)
    for n, dose in enumerate((0.3, 0.6, 1.2), 5):
        mix(n, "xanthan", dose, XANTHAN)
    kept = Batch.objects.get(number=2).recipe
    into = next(one for one in choices(kept, bench["guar"]) if one.words == "xanthan")
    found = swap(kept, bench["guar"], into)
    want = (GUAR[0] * 1.2 ** GUAR[1] / XANTHAN[0]) ** (1 / XANTHAN[1])
    assert found.matched.by == CONES and found.telling is None
    assert found.matched.dose_per_100_water.mid == pytest.approx(want, rel=0.05)
    assert found.matched.dose_per_100_water.low < want < found.matched.dose_per_100_water.high
    assert len(found.troubles) == 1 and "run-out" in found.troubles[0]
    assert "xanthan" in found.recipe.parts and "guar" not in found.recipe.parts


def test_choices_are_of_the_same_kind_of_work_and_used_up_lots_are_none(bench):
    mix(1, "guar", 1.0, GUAR)
    kept = Batch.objects.get(number=1).recipe
    words = [one.words for one in choices(kept, bench["guar"])]
    assert words[0] == "xanthan" and "grain" not in words and any("psyllium" in one for one in words[1:])
    assert any(one.words == "grain" for one in choices(kept, bench["shell"]))


def test_what_is_not_in_the_recipe_or_does_other_work_is_refused(bench):
    mix(1, "guar", 1.0, GUAR)
    kept, grain = Batch.objects.get(number=1).recipe, bench["grain"]
    as_choice = Choice(value=str(grain.pk), words="grain", item=ingredient_of(grain), lot=grain)
    with pytest.raises(Problem, match="other work"):
        swap(kept, bench["guar"], as_choice)
    with pytest.raises(Problem, match="holds no"):
        swap(kept, bench["xanthan"], as_choice)
