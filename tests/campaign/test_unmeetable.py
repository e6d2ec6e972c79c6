"""No recipe can meet the brief: said with the line, the bound and the evidence, and never from expectation alone."""

import numpy as np
import pytest

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.choose import climbed
from slake.campaign.holding import known
from slake.campaign.standing import sentences, where_it_stands
from slake.campaign.unmeetable import FEWEST_BATCHES, contradiction, moves, only, unmeetable

LOTS = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}


def book(brief, count, bounds=None, **read):
    """Batches over water: wetter sinks deeper, stands less and shrinks a little more (invented numbers)."""
    made = Notebook(lots=LOTS, brief=brief, machine=Machine(nozzle_mm=2, barrel_mm=60), bounds=bounds)
    for n in range(count):
        water = 0.30 + 0.015 * n
        readings = {
            "cone_depth_mm": (8.0 + 3 * n, 60),
            "shrinkage_percent": 4.0 + 0.3 * n,
            "layers_stood": max(60 - 9 * n, 3),
        }
        mix = {"shell": 0.98 - water, "guar": 0.006 + 0.001 * (n % 2), "alginate": 0.014 - 0.001 * (n % 2)}
        made.add({**mix, "water": water}, readings={k: v for k, v in readings.items() if read.get(k, True)})
    return made


HARD = {"cone_depth_mm": (11, 17), "layers_stood": (30, None), "shrinkage_percent": (None, 1.0)}
WET = {"water": (0.28, 0.40)}
EASY = {**HARD, "shrinkage_percent": (None, 7.0)}


def test_a_line_nothing_reaches_is_named_with_how_far_it_gets():
    found = unmeetable(book(HARD, 6, bounds=WET))
    assert found is not None and found.lines == ("shrinkage_percent",) and found.any <= 0.05 and not found.certain
    reached = {one.name: one for one in found.reached}
    assert reached["shrinkage_percent"].gets_to.low > 1.0 and reached["shrinkage_percent"].read == 6
    assert reached["cone_depth_mm"].any > 0.9


def test_two_lines_that_exclude_each_other_are_named_together():
    found = unmeetable(book({"cone_depth_mm": (11, 17), "layers_stood": (150, None)}, 6))
    assert found is not None
    assert found.lines in {("cone_depth_mm", "layers_stood"), ("layers_stood",)}
    assert found.pairs[0][:2] == ("cone_depth_mm", "layers_stood") and found.pairs[0][2] <= 0.05


def test_it_is_never_said_of_what_can_be_done_nor_from_expectation_alone():
    assert unmeetable(book(EASY, 6)) is None
    assert unmeetable(book(HARD, 0)) is None
    assert unmeetable(book(HARD, FEWEST_BATCHES - 1)) is None
    assert unmeetable(book(HARD, 7, shrinkage_percent=False)) is None  # nobody read the line it would be said of


def test_a_bound_that_is_pressed_on_is_named_with_what_moving_it_gives():
    made = book(EASY, 6, bounds={"water": (0.20, 0.295)})
    what = known(made)
    pressed = {one.key: one for one in moves(what.belief, what.aim, made.keys, 1)}
    assert "water" in pressed and pressed["water"].side == "most"
    assert pressed["water"].to > pressed["water"].bound and pressed["water"].then > pressed["water"].now


def test_moving_a_bound_that_is_not_pressed_on_is_not_spoken_of():
    made = book(EASY, 6)
    what = known(made)
    near, _, _ = climbed(what.belief, what.aim, np.random.default_rng(1))
    low, high = what.aim.box
    inside = [key for i, key in enumerate(made.keys) if 0.2 < (near[0][i] - low[i]) / (high[i] - low[i]) < 0.8]
    assert inside and not {one.key for one in moves(what.belief, what.aim, made.keys, 1)} & set(inside)


def test_the_sentence_names_line_number_bound_or_brief_and_how_sure_it_is():
    made = book(HARD, 6, bounds=WET)
    names = [f"batch {n}" for n in range(1, 7)]
    stands = where_it_stands(made, list(made.propose(seed=1).fractions.values()), names)
    said = sentences(made, stands, names)
    assert stands.verdict == "cannot be met"
    assert said[0].startswith("No recipe in these bounds can meet line 3 (line shrinkage at most 1 %)")
    assert "has to move" in said[0] and "after 6 batches" in said[0] and "a chance of" in said[0]
    assert "80 %:" in said[1]


@pytest.mark.parametrize(
    ("brief", "both"),
    [
        ({"cone_depth_mm": (9, 10), "slump_mm": (30, None)}, {"cone_depth_mm", "slump_mm"}),
        ({"cone_depth_mm": (11, 17), "layers_stood": (30, None)}, None),
    ],
)
def test_lines_that_contradict_each_other_need_no_batch(brief, both):
    made = Notebook(lots=LOTS, brief=brief)
    found = contradiction(made.brief)
    assert (set(found) if found else None) == both
    stands = where_it_stands(made, list(made.propose(seed=1).fractions.values()), [])
    assert (stands.verdict == "cannot be met") == (both is not None)
    if both:
        assert "leave no value to it" in sentences(made, stands, [])[0]


def test_some_lines_of_an_aim_are_an_aim_of_those_lines():
    aim = book(EASY, 1).aim()
    part = only(aim, [2, 0])
    assert [look.channel for look in part.looks] == [aim.looks[2].channel, aim.looks[0].channel]
    assert np.array_equal(part.windows, aim.windows[[2, 0]])
