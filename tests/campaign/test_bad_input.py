"""What people bring that cannot be, or that does not agree with itself: one sentence each, and nothing falls over."""

import math

import numpy as np
import pytest

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.doubts import doubts, unequal_twins
from slake.campaign.holding import known
from slake.campaign.standing import where_it_stands
from slake.ground.problems import DoesNotFit

LOTS = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
BRIEF = {"cone_depth_mm": (11, 17), "layers_stood": (30, None)}
MIX = {"shell": 0.64, "guar": 0.006, "alginate": 0.014, "water": 0.34}


def book(brief=BRIEF, **more):
    return Notebook(lots=LOTS, brief=brief, machine=Machine(nozzle_mm=2, barrel_mm=60), **more)


def along_water(made, count=6):
    for n in range(count):
        water = 0.30 + 0.015 * n
        mix = {**MIX, "shell": 0.98 - water, "water": water}
        made.add(mix, readings={"cone_depth_mm": (8.0 + 2.2 * n, 60), "layers_stood": max(70 - 10 * n, 5)})
    return made


def names(made):
    return [f"batch {n + 1}" for n in range(len(made.batches))]


def said(made):
    return doubts(known(made), names(made))


def is_fine(made):
    given = made.propose(seed=1)
    assert sum(given.fractions.values()) == pytest.approx(1) and 0 <= given.chance.mid <= 1
    assert all(math.isfinite(end) for one in given.predictions.values() for end in (one.low, one.mid, one.high))
    assert where_it_stands(made, list(given.fractions.values()), names(made)).verdict


def test_bounds_that_leave_no_recipe():
    for bounds in ({"shell": (0.7, 0.9), "water": (0.4, 0.6)}, dict.fromkeys(MIX, (0, 0.2))):
        with pytest.raises(DoesNotFit) as refused:
            book(bounds=bounds)
        assert "leave no recipe" in str(refused.value) and "widen a bound" in str(refused.value)


def test_a_brief_nobody_can_meet():
    made = along_water(book({"cone_depth_mm": (11, 17), "layers_stood": (400, None)}))
    given = made.propose(seed=1)
    assert where_it_stands(made, list(given.fractions.values()), names(made)).verdict == "cannot be met"


def test_equal_rows_with_unequal_outcomes():
    made = book()
    made.add(MIX, outcome="too runny")
    made.add(MIX, outcome="stalled")
    made.add({**MIX, "guar": 0.008, "shell": 0.638}, outcome="stalled")
    assert unequal_twins(made) == [(0, 1)]
    assert "Batch 1 and batch 2 are one recipe and ended differently" in said(made)[0]
    is_fine(made)


def test_equal_rows_that_agree_are_no_doubt():
    made = book()
    for _ in range(2):
        made.add(MIX, outcome="good", readings={"cone_depth_mm": (14.0, 60)})
    assert unequal_twins(made) == []


def test_one_batch():
    made = book()
    made.add(MIX, outcome="good", readings={"cone_depth_mm": (14.0, 60)})
    assert any(sentence.startswith("There is one batch so far (batch 1)") for sentence in said(made))
    is_fine(made)


def test_a_property_nobody_measured():
    made = along_water(book({**BRIEF, "strength_mpa": (2, None)}))
    assert [s for s in said(made) if "Nobody has read strength yet" in s]
    assert not [s for s in said(made) if "layers stood yet" in s]
    is_fine(made)


def test_a_reading_ten_times_off_is_flagged_with_its_pull_and_kept():
    clean, slipped = along_water(book()), along_water(book())
    mix = {**MIX, "water": 0.345, "shell": 0.635}
    clean.add(mix, readings={"layers_stood": 38})
    slipped.add(mix, readings={"layers_stood": 380})
    assert said(clean) == []
    (sentence,) = said(slipped)
    assert "Layers stood of batch 7, 380 layers" in sentence and "standard deviations" in sentence
    assert "it is kept" in sentence and "with it this recipe is expected at" in sentence and "without it at" in sentence
    assert [seen.value for seen in slipped.batches[6].mixed.readings] == [380]
    ratio = [known(made).belief for made in (clean, slipped)]
    moved = np.array([one.fit.mean[: len(clean.belief().sites) - 1] for one in ratio])
    assert np.abs(moved[0] - moved[1]).max() < math.log(1.5)
    is_fine(slipped)


@pytest.mark.parametrize(
    "row", [{"shell": 0.6, "guar": 0.006, "alginate": 0.014, "water": 0.3}, {**MIX, "shell": 0.76}]
)
def test_fractions_that_do_not_sum_to_one_and_a_published_row_that_sums_to_more(row):
    """0.92, and a row of 1.12 as a table prints it: refused with the sum it has, nothing kept."""
    made = book()
    with pytest.raises(DoesNotFit) as refused:
        made.add(row, outcome="good")
    total = sum(row.values())
    assert f"sum to {total:.4g}" in str(refused.value) and "divide every mass" in str(refused.value)
    assert made.batches == []
