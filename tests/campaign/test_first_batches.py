"""The first two batches straddle the aim: dry first, for water goes in easily and comes out by a day of drying."""

from __future__ import annotations

import pytest

from slake.campaign import Notebook


def book() -> Notebook:
    return Notebook(lots={k: k for k in ("mussel shell", "guar gum", "sodium alginate")})


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_dry_side_then_wet_side_then_free(seed):
    made = book()
    first = made.propose(seed=seed)
    assert first.phase == "dry side"
    made.add(first.fractions, outcome="stalled")
    second = made.propose(seed=seed)
    assert second.phase == "wet side"
    assert second.water_per_dry > first.water_per_dry


def test_a_first_batch_that_ran_is_not_followed_by_a_wetter_one():
    made = book()
    first = made.propose()
    made.add(first.fractions, outcome="too runny")
    assert made.propose().water_per_dry < first.water_per_dry


def test_bounds_that_leave_no_side_still_give_a_batch():
    one = {"shell": (0.6, 0.6), "guar gum": (0.005, 0.005), "water": (0.395, 0.395)}
    made = Notebook(lots={"shell": "mussel shell", "guar gum": "guar gum"}, bounds=one)
    assert made.propose().fractions["water"] == pytest.approx(0.395)
