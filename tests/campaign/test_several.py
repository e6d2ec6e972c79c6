"""One to three recipes chosen together, within grams and days; batches still drying."""

import numpy as np
import pytest

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.holding import any_holds, batch_chances, known, the_recipes
from slake.campaign.pending import looking_ahead, pending
from slake.campaign.several import APART, propose_several
from slake.campaign.within import Today, batches_left, in_stock, largest_paste_kg
from slake.ground.problems import DoesNotFit, OutsideRange

LOTS = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
BRIEF = {
    "cone_depth_mm": (11, 17),
    "layers_stood": (30, None),
    "crack_grade": (None, 1),
    "shrinkage_percent": (None, 6),
}
MIX = {"shell": 0.64, "guar": 0.006, "alginate": 0.014, "water": 0.34}
DRY = {"shell": 0.70, "guar": 0.008, "alginate": 0.012, "water": 0.28}


def book(*batches):
    made = Notebook(lots=LOTS, brief=BRIEF, machine=Machine(nozzle_mm=2, barrel_mm=60))
    for fractions, outcome, readings in batches:
        made.add(fractions, outcome=outcome, readings=readings)
    return made


def tried():
    return book(
        (MIX, "fell at layer 20", {"cone_depth_mm": (19.0, 60), "shrinkage_percent": 4.0}),
        (DRY, "stalled", {"cone_depth_mm": (8.0, 60)}),
    )


def rows_of(made, several):
    return np.array([[one.proposal.fractions[key] for key in made.keys] for one in several.chosen])


@pytest.fixture(scope="module")
def three():
    made = tried()
    return made, propose_several(made, Today(count=3))


def test_three_recipes_are_not_one_recipe_three_times(three):
    made, several = three
    rows = rows_of(made, several)
    span = np.array(made.box[1]) - np.array(made.box[0])
    assert len(rows) == 3
    for i in range(3):
        for j in range(i):
            assert (np.abs(rows[i] - rows[j]) / span).max() > APART


def test_two_together_are_likelier_to_hold_than_either_and_never_more_than_both(three):
    made, several = three
    what, rows = known(made), rows_of(made, several)
    each = batch_chances(what.belief, what.aim, rows)
    assert each.max() - 0.03 <= several.any_holds <= each.sum() + 0.03
    assert any_holds(what.belief, what.aim, rows[:1]) == pytest.approx(each[0], abs=0.04)


def test_each_says_its_range_binding_line_and_what_it_would_settle(three):
    _, several = three
    for one in several.chosen:
        assert set(one.settles) == set(BRIEF) == set(one.proposal.predictions)
        assert all(0 <= left <= 1 for left in one.settles.values()) and min(one.settles.values()) < 0.95
        assert one.proposal.chance.low <= one.proposal.chance.mid <= one.proposal.chance.high


def test_the_first_is_the_one_that_would_be_proposed_alone(three):
    made, several = three
    assert several.chosen[0].proposal.fractions == pytest.approx(made.propose(seed=1).fractions)


def test_a_recipe_that_cannot_be_weighed_is_not_proposed():
    made = tried()
    free = propose_several(made, Today(paste_kg=0.5)).chosen[0].proposal.fractions
    scarce = 0.6 * free["alginate"] * 0.5
    held = propose_several(made, Today(count=1, paste_kg=0.5, stock_kg={"alginate": scarce}))
    assert held.chosen[0].proposal.fractions["alginate"] * 0.5 <= scarce + 1e-9


def test_the_second_batch_is_weighed_from_what_the_first_left():
    made = tried()
    enough_for_one = Today(count=2, paste_kg=0.5, stock_kg={"shell": 0.40})
    several = propose_several(made, enough_for_one)
    assert len(several.chosen) == 1
    assert "shell" in several.notes[-1] and "No batch 2 today" in several.notes[-1]


def test_too_large_a_batch_names_the_lot_and_the_largest_one():
    made, today = tried(), Today(paste_kg=5.0, stock_kg={"shell": 0.3})
    with pytest.raises(DoesNotFit) as said:
        propose_several(made, today)
    assert "300 g of shell" in str(said.value)
    most = largest_paste_kg(made.box, made.keys, today)
    in_stock(made.box, made.keys, Today(paste_kg=0.999 * most, stock_kg={"shell": 0.3}))
    with pytest.raises(DoesNotFit):
        in_stock(made.box, made.keys, Today(paste_kg=1.01 * most, stock_kg={"shell": 0.3}))


def test_what_runs_out_first_and_after_how_many_batches():
    today = Today(paste_kg=0.5, stock_kg={"shell": 2.0, "guar": 0.006})
    assert batches_left(MIX, today) == (2, "guar")
    assert batches_left(MIX, Today(paste_kg=0.5)) is None


def test_without_days_to_dry_only_wet_readings_settle_anything():
    made = tried()
    soon, late = (propose_several(made, Today(days=days)).chosen[0] for days in (1, 10))
    assert soon.settles["shrinkage_percent"] > late.settles["shrinkage_percent"] + 0.05
    assert soon.settles["cone_depth_mm"] < 0.95
    assert "only wet readings" in propose_several(made, Today(days=1)).notes[0]
    assert propose_several(made, Today(days=10)).notes == ()


@pytest.mark.parametrize("wrong", [{"count": 0}, {"count": 4}, {"paste_kg": 0.0}, {"days": -1.0}])
def test_a_day_that_cannot_be_is_one_sentence(wrong):
    with pytest.raises(OutsideRange):
        Today(**wrong)


def test_good_while_still_drying_says_nothing_of_cracks():
    dry, wet = book((MIX, "good", {})), book((MIX, "good; still drying", {}))
    held = [{v.name: v.held for v in made.explain(0)} for made in (dry, wet)]
    assert (held[0]["crack_grade"], held[1]["crack_grade"]) == (True, None)
    assert held[0]["layers_stood"] is held[1]["layers_stood"] is True
    told = [[site for site in made.belief().sites if site.look.channel == "crack grade"] for made in (wet, dry)]
    assert [len(sites) for sites in told] == [0, 1]


def test_what_is_pending_is_known_and_not_proposed_again():
    first = tried().propose(seed=1).fractions
    made = tried()
    made.add(first, outcome="still drying")
    assert pending(made) == [2]
    several = propose_several(made, Today())
    assert several.pending == (2,)
    span = np.array(made.box[1]) - np.array(made.box[0])
    away = np.abs(np.array(list(several.chosen[0].proposal.fractions.values())) - np.array(list(first.values()))) / span
    assert away.max() > APART


def test_expected_readings_of_a_pending_batch_narrow_and_move_nothing():
    made = tried()
    made.add(MIX, outcome="good; still drying", readings={"cone_depth_mm": (18.0, 60)})
    what = known(made)
    ahead = known(looking_ahead(made, what.belief, what.aim, np.zeros((0, 4))))
    assert [len(t.mixed.readings) for t in ahead.book.batches] == [2, 1, 4]
    assert len(made.batches[2].mixed.readings) == 1
    rows = np.array([[MIX[key] for key in made.keys]])
    now, then = (the_recipes(k.belief, k.aim, rows) for k in (what, ahead))
    shrinks = list(BRIEF).index("shrinkage_percent")
    assert then.cov[0, shrinks, shrinks] < now.cov[0, shrinks, shrinks]
    assert then.mean[0, shrinks] == pytest.approx(now.mean[0, shrinks], abs=0.1)


def test_a_batch_that_stalled_or_was_read_in_full_is_not_waited_for():
    full = {"cone_depth_mm": 14.0, "layers_stood": 40, "crack_grade": 0, "shrinkage_percent": 4}
    made = book((MIX, "stalled; still drying", {}), (MIX, "good; still drying", full), (MIX, "good", {}))
    assert pending(made) == []
