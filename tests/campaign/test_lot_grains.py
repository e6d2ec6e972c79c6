"""Sieves of two lots: a finer one is expected to drink more, weakly; what was dripped is moved little."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from slake.campaign import Lot, Notebook
from slake.campaign.lot_grains import Sieved, with_grains
from slake.campaign.new_lot import Known, lot_change

RECIPE = {"old": 0.62, "guar": 0.006, "alginate": 0.014, "water": 0.36}
SWAPPED = {"old": "new"}
SHELL, GUMS = Lot("mussel shell"), {"guar": "guar gum", "alginate": "sodium alginate"}


def book(new: Lot = SHELL) -> Notebook:
    lots = {
        "old": Lot("mussel shell", water_demand=0.35),
        "new": new,
        "guar": "guar gum",
        "alginate": "sodium alginate",
    }
    found = Notebook(lots=lots, brief={"cone_depth_mm": (11, 17)})
    for water, depth in ((0.36, 14.0), (0.34, 11.0), (0.38, 18.0)):
        parts = {**RECIPE, "water": water}
        total = sum(parts.values())
        found.add({k: v / total for k, v in parts.items()}, readings={"cone_depth_mm": (depth, 60)})
    return found


def times(grain_times: float, *, split: bool = True) -> dict[str, Sieved]:
    return {"new": Sieved(grain_times=grain_times, split=split)}


def water(grain_times: float | None, new: Lot = SHELL) -> tuple[float, float]:
    """(water it takes per filler, log of how wide that is known), for grains so many times as large."""
    sieved = {} if grain_times is None else times(grain_times)
    found = lot_change(book(new), Known(fractions=RECIPE, swapped=SWAPPED, batches=(0,), sieved=sieved))
    parts, ranged = found.proposal.fractions, found.watered.water
    return ranged.mid * parts["water"] / parts["new"], math.log(ranged.high / ranged.low)


def test_halving_the_grains_lets_it_drink_about_a_tenth_more_between_nothing_and_a_fifth():
    """Common practice, no source."""
    moved, drinks = with_grains(book(), times(0.5))
    assert drinks["new"].mid == pytest.approx(1.10, abs=0.01)
    assert drinks["new"].low == pytest.approx(1.0, abs=0.01) and drinks["new"].high == pytest.approx(1.21, abs=0.01)
    facts = {f.key: f for f in moved.space.facts}
    before = {f.key: f for f in book().space.facts}
    assert facts["new"].demand == pytest.approx(before["new"].demand * drinks["new"].mid)
    assert facts["new"].demand_sd_log > before["new"].demand_sd_log
    assert facts["old"] == before["old"] and facts["guar"] == before["guar"]


def test_a_finer_lot_takes_more_water_a_coarser_one_less_and_both_are_known_less():
    plain, same, finer, coarser = (water(size) for size in (None, 1.0, 0.5, 2.0))
    assert same == pytest.approx(plain)
    assert coarser[0] < plain[0] < finer[0]
    assert finer[1] > plain[1] and coarser[1] > plain[1]


def test_a_lot_that_was_dripped_is_moved_about_a_quarter_as_much():
    dripped = Lot("mussel shell", water_demand=0.36)
    _, drinks = with_grains(book(dripped), times(0.5))
    assert math.log(drinks["new"].mid) == pytest.approx(0.26 * math.log(1.10), rel=0.1)
    plain, finer = water(None, dripped), water(0.5, dripped)
    assert plain[0] < finer[0] < 1.05 * plain[0]


def test_a_finer_sieve_tells_half_of_what_a_split_does():
    logs = [math.log(with_grains(book(), times(0.5, split=split))[1]["new"].mid) for split in (True, False)]
    assert logs[1] == pytest.approx(logs[0] / 2)


def test_beyond_fourfold_the_middle_stays_and_the_range_widens():
    four, ten = (with_grains(book(), times(size))[1]["new"] for size in (0.25, 0.1))
    assert ten.mid == pytest.approx(four.mid) and np.log(ten.high / ten.low) > np.log(four.high / four.low)


def test_gums_drink_by_no_sieve_and_unknown_lots_change_nothing():
    told = book()
    assert with_grains(told, {"guar": Sieved(grain_times=0.5, split=True)}) == (told, {})
    assert with_grains(told, {}) == (told, {})


def test_the_notebook_handed_in_stays_as_it_was():
    told = book()
    before = replace(told.space)
    with_grains(told, times(0.5))
    assert told.space == before
