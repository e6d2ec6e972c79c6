"""Ways to look along, maps and curves, against made-up pastes whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.chances import PASSES
from slake.campaign.features import wet
from slake.campaign.seen_axes import Axis, axes_of, moved
from slake.campaign.seen_curve import curve
from slake.campaign.seen_map import cut, span_of
from slake.campaign.seen_near import near_what_was_tried
from slake.campaign.seen_outlook import apart, chances, outlook, told_alike
from tests.campaign.toys import FAMILIES, mixed_into, notebook, toy, truth, within

RNG = np.random.default_rng
BRIEF = {"cone_depth_mm": (11, 17), "layers_stood": (30, None), "shrinkage_percent": (None, 8)}


def bench() -> Notebook:
    """Two wastes, two gums, one of them in two lots, and four batches from too stiff to too runny."""
    lots = {
        "shell A": Lot("mussel shell", moisture=0.02),
        "shell B": Lot("mussel shell", moisture=0.03),
        "grain": Lot("spent brewery grain", moisture=0.06),
        "guar": Lot("guar gum", moisture=0.1),
        "alginate": Lot("sodium alginate", moisture=0.1),
    }
    book = Notebook(lots=lots, brief=BRIEF, machine=Machine(nozzle_mm=2, barrel_mm=60))
    for lot, water, cone in (("A", 0.32, 8.0), ("A", 0.36, 14.0), ("B", 0.38, 15.0), ("B", 0.43, 26.0)):
        solids = 1 - water
        book.add(
            {f"shell {lot}": 0.88 * solids, "grain": 0.09 * solids, "guar": 0.01 * solids, "alginate": 0.02 * solids}
            | {"water": water},
            readings={"cone_depth_mm": (cone, 60.0), "shrinkage_percent": 5.0},
        )
    return book


@pytest.fixture(scope="module")
def seen():
    return outlook(bench(), RNG(1))


def axis(seen, name: str) -> Axis:
    return next(one for one in seen.axes if one.name == name)


def test_water_comes_first_then_gums_and_binders_then_wastes_and_lots_of_one_kind_are_one(seen):
    assert [one.name for one in seen.axes] == [
        "water",
        "guar gum",
        "sodium alginate",
        "mussel shell",
        "spent brewery grain",
    ]
    assert axis(seen, "mussel shell").columns == (0, 1)
    assert [one.unit for one in seen.axes[:2]] == ["g per g dry solids", "g per 100 g water"]


def test_the_only_waste_is_the_rest_and_no_axis(seen):
    rows = np.array([[0.6, 0.0, 0.0, 0.006, 0.014, 0.38]])
    assert [one.name for one in axes_of(seen.space, rows)] == ["water", "guar gum", "sodium alginate"]


def test_a_dose_by_hand(seen):
    """3 g of guar as received in 100 g of paste, a tenth of it water, in 30.0 + 1.4 + 0.3 g of water in all."""
    row = np.array([[0.65, 0.0, 0.0, 0.03, 0.02, 0.30]])
    water = 30.0 + 65 * 0.02 + 3 * 0.1 + 2 * 0.1
    assert axis(seen, "guar gum").values(seen.space, row) == pytest.approx(100 * 2.7 / water)
    dry = 65 * 0.98 + 2.7 + 1.8
    assert axis(seen, "water").values(seen.space, row) == pytest.approx(water / dry)
    assert axis(seen, "mussel shell").values(seen.space, row) == pytest.approx(100 * 65 * 0.98 / dry)


@pytest.mark.parametrize("pair", [("water", "guar gum"), ("guar gum", "sodium alginate"), ("water", "mussel shell")])
def test_a_moved_recipe_lies_where_it_was_moved_to_and_the_rest_keeps_its_proportions(seen, pair):
    base, axes = seen.tried[1], [axis(seen, name) for name in pair]
    wanted = [one.values(seen.space, base[None, :])[0] * np.array([0.8, 1.0, 1.05]) for one in axes]
    rows = moved(seen.space, base, dict(zip(axes, wanted, strict=True)))
    for one, values in zip(axes, wanted, strict=True):
        assert one.values(seen.space, rows) == pytest.approx(values)
    assert rows.sum(1) == pytest.approx(np.ones(3)) and (rows >= 0).all()
    assert rows[1] == pytest.approx(base)
    columns = {column for one in axes for column in one.columns}
    rest = [i for i in range(len(base) - 1) if i not in columns and base[i] > 0]
    dry, before = wet(seen.space, rows).dry[:, rest], wet(seen.space, base[None, :]).dry[0, rest]
    assert dry / dry.sum(1, keepdims=True) == pytest.approx(np.tile(before / before.sum(), (3, 1)))


def test_what_the_base_does_without_comes_from_the_newest_lot(seen):
    base = np.array([0.0, 0.0, 0.6, 0.01, 0.01, 0.38])
    row = moved(seen.space, base, {axis(seen, "mussel shell"): np.array([20.0])})[0]
    assert row[0] == 0 and row[1] > 0


def test_what_cannot_be_mixed_is_said_and_not_drawn(seen):
    """Lots that bring more water than the recipe asks for; doses that leave nothing for the rest."""
    rows = moved(seen.space, seen.tried[0], {axis(seen, "water"): np.array([0.001, 0.5])})
    assert np.isnan(rows[0]).all() and np.isfinite(rows[1]).all()
    assert np.isnan(moved(seen.space, seen.tried[0], {axis(seen, "mussel shell"): np.array([99.0])})).all()
    each, together = chances(seen, rows)
    assert np.isnan(each[0]).all() and np.isnan(together[0]) and np.isfinite(each[1]).all() and 0 <= together[1] <= 1


def test_the_map_is_the_forecast_at_its_places(seen):
    """One place of the map by another way: the line by itself from its middle and spread."""
    found = cut(seen, axis(seen, "water"), axis(seen, "guar gum"), seen.best)
    i, j = 5, 9
    at = {axis(seen, "water"): found.xs[[j]], axis(seen, "guar gum"): found.ys[[i]]}
    view = seen.foreseen(moved(seen.space, seen.best, at))
    for k, (name, _) in enumerate(seen.lines):
        low, high = seen.aim.windows[k]
        mean, sd = view.mean[0, k], np.sqrt(view.cov[0, k, k] - view.own_var[0, k, k])
        assert found.each[name][i, j] == pytest.approx(ndtr((high - mean) / sd) - ndtr((low - mean) / sd), abs=1e-9)
    assert list(found.each) == [*BRIEF, PASSES]


def test_all_lines_together_hold_no_likelier_than_any_by_itself(seen):
    found = cut(seen, axis(seen, "water"), axis(seen, "sodium alginate"), seen.best)
    least = np.min(list(found.each.values()), axis=0)
    fine = np.isfinite(found.together)
    assert fine.any() and (found.together[fine] <= least[fine] + 0.02).all()


def test_the_likeliest_recipe_is_no_worse_than_any_place_of_its_maps(seen):
    low, high = seen.aim.box
    for name in ("guar gum", "sodium alginate"):
        across, up = axis(seen, "water"), axis(seen, name)
        found = cut(seen, across, up, seen.best)
        grid = np.meshgrid(found.xs, found.ys)
        rows = moved(seen.space, seen.best, {across: grid[0].ravel(), up: grid[1].ravel()})
        inside = ((rows >= low - 1e-9) & (rows <= high + 1e-9)).all(1).reshape(found.together.shape)
        assert np.nanmax(np.where(inside, found.together, np.nan)) <= seen.chance + 0.03


def test_a_batch_far_from_the_others_is_off_the_map_and_stretches_nothing():
    book = bench()
    before = cut(*_usual(book))
    book.add({"shell B": 0.18, "guar": 0.01, "alginate": 0.01, "water": 0.80}, readings={"cone_depth_mm": 39.0})
    after = cut(*_usual(book))
    assert after.off.tolist() == [False] * 4 + [True]
    assert after.xs[-1] < 1.5 * before.xs[-1]


def _usual(book: Notebook):
    seen = outlook(book, RNG(1))
    return seen, seen.axes[0], seen.axes[1], seen.tried[2]


def test_tried_is_between_batches_not_far_and_nowhere_without_them(seen):
    found = cut(seen, axis(seen, "water"), axis(seen, "guar gum"), seen.tried[2])
    inside = [np.argmin(np.abs(found.ys - found.held[1])), np.argmin(np.abs(found.xs - found.held[0]))]
    assert found.tried[tuple(inside)] and not found.tried[0, 0] and not found.tried[-1, -1]
    assert near_what_was_tried([0.0, 1.0], [0.0, 1.0], []) == ((False, False), (False, False))


def test_a_batch_stands_for_itself_and_not_for_one_with_half_the_waste_changed(seen):
    assert apart(seen, seen.tried).max() == 0 and told_alike(seen, seen.tried, apart(seen, seen.tried)).all()
    other = moved(seen.space, seen.tried[2], {axis(seen, "spent brewery grain"): np.full(4, 60.0)})
    far = apart(seen, other)
    assert (far > 1).all() and not told_alike(seen, other, far).any()


def test_a_span_holds_what_was_tried_and_the_centre_and_starts_at_nothing_or_above():
    span = span_of(np.array([0.2, 0.3, 0.4]), 0.5, 11)
    assert span[0] < 0.2 and span[-1] > 0.5 and len(span) == 11
    assert span_of(np.array([]), 0.0, 5)[0] == 0.0
    assert span_of(np.array([0.0, 0.1]), 0.05, 5)[0] == 0.0


def test_a_curve_bends_as_the_belief_does_and_is_pale_where_nothing_was_tried(seen):
    found = curve(seen, axis(seen, "water"), seen.tried[2])
    cone = [one.mid for one in found.readings["cone_depth_mm"]]
    assert cone == sorted(cone) and cone[0] < 12 < 20 < cone[-1]
    assert found.tried.any() and not found.tried[0] and not found.tried[-1]
    assert all(one.low <= one.mid <= one.high for one in found.readings["layers_stood"])


def test_bands_of_curves_hold_readings_of_made_up_pastes_about_eight_times_in_ten():
    """Recipes along the water and the gum of a batch, read with the noise of a kitchen, where batches were tried."""
    inside = []
    for family in FAMILIES:
        for number in (600, 601, 602):
            inside += list(readings_in_bands(family, number))
    assert len(inside) > 150
    assert 0.70 <= np.mean(inside) <= 0.93


def readings_in_bands(family: str, number: int):
    made, rng = toy(family, number), RNG(number)
    book = notebook(made)
    for row in within(*made.limits(), 10, rng):
        mixed_into(book, made, row, rng)
    seen = outlook(book, RNG(1))
    for one in seen.axes[:2]:
        found = curve(seen, one, seen.tried[-1])
        for i in np.flatnonzero(found.tried)[::4]:
            recipe = moved(seen.space, seen.tried[-1], {one: found.doses[[i]]})[0]
            if not np.isfinite(recipe).all() or truth(made, recipe[None, :])["layers_stood"][0] == 0:
                continue
            fresh = notebook(made)
            mixed_into(fresh, made, recipe, rng)
            for read in fresh.batches[0].mixed.readings:
                around = found.readings.get(read.gauge.name, [None] * len(found.doses))[i]
                if around is not None and read.ends is None and read.gauge.half_step == 0:
                    yield around.low <= read.value <= around.high


def test_chances_of_lines_are_kept_by_made_up_pastes():
    """Of places said to hold a line in 30 to 70 % of cases, about half do; over 95 %, nearly all."""
    said, held = [], []
    for family in FAMILIES:
        for number in (610, 611):
            made, rng = toy(family, number), RNG(number)
            book = notebook(made)
            for row in within(*made.limits(), 10, rng):
                mixed_into(book, made, row, rng)
            seen = outlook(book, RNG(1))
            rows = within(*made.limits(), 200, rng)
            rows = rows[truth(made, rows)["layers_stood"] > 0]  # what prints: nothing else is said to stand here
            each, _ = chances(seen, rows)
            true = truth(made, rows)
            for k, line in enumerate(seen.brief.lines):
                said += list(each[:, k])
                held += [line.holds(float(value)) for value in true[line.name]]
    said, held = np.array(said), np.array(held)
    middle, sure = (said > 0.3) & (said < 0.7), said > 0.95
    assert middle.sum() > 200 and sure.sum() > 200
    assert 0.3 < held[middle].mean() < 0.7
    assert held[sure].mean() > 0.9
