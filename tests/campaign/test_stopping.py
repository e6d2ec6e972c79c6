"""When to stop, the window to weigh within, and a lucky batch to mix again; one made-up paste whose truth is known."""

import numpy as np
import pytest

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.confirming import lucky_batches, next_to_mix, repeat_of
from slake.campaign.holding import batch_chances, known, recipe_chances
from slake.campaign.standing import sentences, where_it_stands
from slake.campaign.stopping import SURE_ENOUGH, WITHIN, enough_of, good_enough, stated_for, sure

from .toys import mixed_into, notebook, toy
from .toys import truth as true_readings

LOTS = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
BRIEF = {"cone_depth_mm": (11, 17), "layers_stood": (30, None), "crack_grade": (None, 1)}
GOOD = {"shell": 0.652, "guar": 0.0074, "alginate": 0.0171, "water": 0.3235}
READ = {"cone_depth_mm": (14.0, 60), "layers_stood": 45, "crack_grade": 0}


def book(times: int, brief=BRIEF, read=READ):
    made = Notebook(lots=LOTS, brief=brief, machine=Machine(nozzle_mm=2, barrel_mm=60))
    for _ in range(times):
        made.add(GOOD, outcome="good", readings=read)
    return made


def names(made):
    return [f"batch {n + 1}" for n in range(len(made.batches))]


def test_nothing_is_good_enough_before_it_was_mixed():
    assert good_enough(book(0)) is None
    narrow = book(0, brief={"layers_stood": (2, None)})
    narrow.add({**GOOD, "shell": 0.632, "water": 0.3435}, readings={"cone_depth_mm": (14.0, 60)})
    assert good_enough(narrow) is None  # no line of the brief was read of any batch


def test_a_recipe_held_again_and_again_is_good_enough_with_batches_named():
    found = good_enough(book(3))
    assert found is not None
    assert found.chance >= SURE_ENOUGH and found.like_it == found.whole == (0, 1, 2) and found.broke == ()
    assert found.fractions == pytest.approx(GOOD)
    assert 0 < found.stated < 1 and set(found.lines) == set(BRIEF)


def test_a_repeat_makes_surer_and_its_failure_less_sure():
    once, twice, failed = book(1), book(2), book(1)
    failed.add(GOOD, outcome="fell at layer 12", readings={"cone_depth_mm": (20.0, 60)})
    row = np.array([[GOOD[key] for key in once.keys]])
    one, two, worse = (recipe_chances((k := known(made)).belief, k.aim, row)[0] for made in (once, twice, failed))
    assert worse < one < two


def test_the_recipe_itself_is_surer_than_a_batch_of_it():
    what = known(book(2))
    row = np.array([[GOOD[key] for key in what.book.keys]])
    recipe, batch, read = (
        f(what.belief, what.aim, row)[0]
        for f in (recipe_chances, batch_chances, lambda *a: batch_chances(*a, read=True))
    )
    assert recipe > batch > read


def test_every_draw_of_the_window_still_holds_with_the_chance_that_is_said():
    made = book(3)
    what, found = known(made), good_enough(made)
    window = found.window
    rng = np.random.default_rng(3)
    low, high = (np.array([window.together[key][side] for key in made.keys]) for side in (0, 1))
    assert (low < 0).all() and (high > 0).all()
    rows = np.array(list(found.fractions.values())) * (1 + low + (high - low) * rng.random((200, len(low))))
    chances = recipe_chances(what.belief, what.aim, rows / rows.sum(1, keepdims=True))
    assert sure(float(chances.min())) >= window.chance - 0.02 and window.chance >= WITHIN - 1e-6
    for key in made.keys:
        assert window.alone[key][0] <= window.together[key][0] and window.together[key][1] <= window.alone[key][1]


def test_beyond_the_window_of_one_ingredient_the_chance_is_less_than_was_said():
    made = book(3)
    what, found = known(made), good_enough(made)
    at = list(made.keys).index("water")
    off = np.zeros(len(made.keys))
    off[at] = 1.5 * found.window.alone["water"][1]
    row = np.array(list(found.fractions.values())) * (1 + off)
    assert sure(float(recipe_chances(what.belief, what.aim, (row / row.sum())[None, :])[0])) < WITHIN


def test_more_batches_widen_the_window_or_keep_it():
    few, many = good_enough(book(2)), good_enough(book(5))
    wide = [np.ptp(found.window.alone["water"]) for found in (few, many)]
    assert wide[1] >= 0.98 * wide[0]


def test_sure_rises_and_turns_back():
    stated = np.linspace(0.01, 0.8, 9)
    assert (np.diff([sure(p) for p in stated]) > 0).all()
    assert sure(stated_for(SURE_ENOUGH)) == pytest.approx(SURE_ENOUGH)


def lucky():
    """One batch in a narrow window, after others that say the window is narrow."""
    made = Notebook(lots=LOTS, brief={"cone_depth_mm": (13.5, 14.5), "layers_stood": (30, 40)})
    for n in range(4):
        water = 0.30 + 0.02 * n
        mix = {**GOOD, "water": water, "shell": 1 - water - 0.0245}
        made.add(mix, readings={"cone_depth_mm": (10.0 + 3.2 * n, 60), "layers_stood": max(60 - 14 * n, 4)})
    made.add(GOOD, readings={"cone_depth_mm": (14.0, 60), "layers_stood": 35})
    return made


def test_a_lucky_batch_is_proposed_again_beside_the_new_recipe():
    made = lucky()
    assert lucky_batches(made) == [4]
    new = list(made.propose(seed=1).fractions.values())
    found = repeat_of(known(made), np.array(new))
    assert found is not None and found.batch == 4
    assert found.recipe_chance < SURE_ENOUGH and 0 < found.reads_again < found.recipe_chance
    stands = where_it_stands(made, new, names(made))
    said = " ".join(sentences(made, stands, names(made)))
    assert stands.verdict in {"mix again", "go on"} and "batch 5" in said and "scatter alone" in said


def test_a_sure_recipe_needs_no_repeat_and_a_batch_that_broke_a_line_is_not_lucky():
    made = book(4)
    assert repeat_of(known(made), np.array(list(GOOD.values()))) is None
    bad = book(0)
    bad.add(GOOD, outcome="good but cracked", readings={**READ, "crack_grade": 3})
    assert lucky_batches(bad) == []


def test_what_is_said_when_it_is_good_enough_names_count_chance_and_window():
    made = book(3)
    stands = where_it_stands(made, list(GOOD.values()), names(made))
    said = sentences(made, stands, names(made))
    assert stands.verdict == "good enough" and said[0].startswith("Good enough")
    assert "3 times" in said[1] and "batch 1, batch 2, batch 3" in said[1]
    assert any("worst corner" in sentence for sentence in said)


def test_a_campaign_that_mixes_what_is_surest_comes_to_a_recipe_that_truly_holds():
    """A made-up waste with noise: slake stops, and where it stopped every line holds without noise."""
    made = toy("jams", 1)
    rng, kept = np.random.default_rng(5), notebook(made)
    for _ in range(10):
        found = good_enough(kept)
        if found is not None:
            break
        fractions = next_to_mix(kept)
        mixed_into(kept, made, np.array([fractions[key] for key in made.names]), rng)
    assert found is not None
    row = np.array([[found.fractions[key] for key in made.names]])
    for name, (low, high) in made.brief.items():
        value = float(true_readings(made, row)[name][0])
        assert (low is None or value >= low) and (high is None or value <= high)


def test_enough_is_said_of_what_can_still_be_mixed():
    made = book(3)
    made.box = (made.box[0], np.where(np.array(made.keys) == "shell", 0.5, made.box[1]))
    what = known(made)
    found = enough_of(what, 1)
    assert found is None or found.fractions["shell"] <= 0.5 + 0.01
