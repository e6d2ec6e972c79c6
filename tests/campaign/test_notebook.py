"""The notebook from outside: determinism, failures as evidence, directions, bad input.

Directions are common practice, no source: they test what slake expects before any batch, not nature.
"""

import math

import numpy as np
import pytest
from scipy.stats import norm

from slake.bench.comparing import Ends
from slake.campaign import Lot, Machine, Notebook
from slake.campaign.belief import forecast, learn, weights
from slake.campaign.chances import PASSES
from slake.campaign.layout import Look, table
from slake.ground.problems import Problem

LOTS = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
BRIEF = {
    "cone_depth_mm": (11, 17),
    "layers_stood": (30, None),
    "crack_grade": (None, 1),
    "shrinkage_percent": (None, 6),
}
CLEAR = Look(channel="clogging", row=0, batch=-1, machine="this printer")
MIX = {"shell": 0.64, "guar": 0.006, "alginate": 0.014, "water": 0.34}


def book(**more):
    return Notebook(**{"lots": LOTS, "brief": BRIEF, **more})


def expected(notebook, channel, mix):
    """Latent middle of one property of one recipe."""
    belief = learn(notebook.layout(), [t.mixed for t in notebook.batches], notebook.brief)
    row = np.array([[mix[k] for k in notebook.keys]])
    look = Look(channel=channel, row=0, batch=-1, machine="this printer")
    return float(forecast(belief, table(belief.layout, row), [look]).mean[0, 0])


def clear_chance(notebook, mix):
    """That this recipe does not clog."""
    view = forecast(notebook.belief(), table(notebook.layout(), np.array([[mix[k] for k in notebook.keys]])), [CLEAR])
    return float(norm.cdf(-view.mean[0, 0] / math.sqrt(view.cov[0, 0, 0])))


def wetter(by=0.02):
    return {**MIX, "shell": MIX["shell"] - by, "water": MIX["water"] + by}


def test_the_same_batches_and_seed_give_the_same_proposal():
    assert book().propose(seed=3) == book().propose(seed=3)


def test_a_proposal_is_a_recipe_within_bounds_with_honest_numbers():
    notebook = book()
    notebook.add(MIX, outcome="fell at layer 9", readings={"cone_depth_mm": (19.0, 60)})
    p = notebook.propose()
    assert sum(p.fractions.values()) == pytest.approx(1, abs=1e-9)
    for key, low, high in zip(notebook.keys, *notebook.box, strict=True):
        assert low - 1e-9 <= p.fractions[key] <= high + 1e-9
    assert 0 <= p.chance.low <= p.chance.mid <= p.chance.high <= 1
    assert set(p.line_chances) == set(BRIEF) == set(p.predictions)
    assert p.chance.mid <= min(p.line_chances.values()) + 0.03
    assert p.phase in {"dry side", "wet side", "aim"} and p.why


def test_one_more_failure_moves_the_proposal():
    one, two = book(), book()
    for notebook in (one, two):
        notebook.add(MIX, outcome="fell at layer 9")
    two.add(wetter(), outcome="puddled")
    assert one.propose().fractions != two.propose().fractions


@pytest.mark.parametrize(
    ("outcome", "rises"), [("stalled", True), ("would not extrude", True), ("puddled", False), ("too runny", False)]
)
def test_how_it_ended_moves_the_stiffness_the_right_way(outcome, rises):
    before, after = book(), book()
    after.add(MIX, outcome=outcome)
    moved = expected(after, "yield stress", MIX) - expected(before, "yield stress", MIX)
    assert (moved > 0.05) if rises else (moved < -0.05)


def test_would_not_extrude_says_less_than_stalled_and_clogged_nothing():
    moves = []
    for outcome in ("stalled", "would not extrude", "clogged"):
        notebook = book()
        notebook.add(MIX, outcome=outcome)
        moves.append(expected(notebook, "ram force", MIX) - expected(book(), "ram force", MIX))
    assert moves[0] > moves[1] > moves[2] == pytest.approx(0, abs=1e-9)


def test_a_clog_makes_its_neighbours_likelier_to_clog_and_one_that_passed_less():
    clogged = book()
    assert "does not clog" not in clogged.propose().line_chances
    clogged.add(MIX, outcome="clogged")
    chance = clear_chance(clogged, MIX)
    assert chance < 0.3 and clear_chance(clogged, wetter(0.08)) > 1.05 * chance
    clogged.add(MIX, outcome="printed well")
    assert clear_chance(clogged, MIX) > chance + 0.1
    assert "does not clog" in clogged.propose().line_chances


def test_after_clogs_in_one_corner_the_next_is_not_mixed_there():
    notebook = book()
    for _ in range(2):
        notebook.add(MIX, outcome="clogged")
    proposed = notebook.propose()
    assert clear_chance(notebook, proposed.fractions) > 2 * clear_chance(notebook, MIX)


def test_a_stall_without_a_line_for_the_force_makes_passing_one():
    notebook = Notebook(lots=LOTS, brief={"cone_depth_mm": (10, 15), "layers_stood": (20, None)})
    assert list(notebook.propose().line_chances) == ["cone_depth_mm", "layers_stood"]
    notebook.add(MIX, outcome="stalled")
    assert list(notebook.propose().line_chances) == ["cone_depth_mm", "layers_stood", PASSES]


def test_reaching_the_last_layer_is_only_a_lower_bound():
    capped, fell = book(), book()
    capped.add(MIX, readings={"layers_stood": 20}, reached_cap=True)
    fell.add(MIX, readings={"layers_stood": 20})
    assert expected(capped, "layers stood", MIX) > expected(fell, "layers stood", MIX)


@pytest.mark.parametrize(
    ("name", "channel", "value", "ends", "sign"),
    [
        ("ram_force_n", "ram force", 200.0, Ends(low=200, high=None), 1),
        ("layers_stood", "layers stood", 4.0, Ends(low=None, high=4), -1),
        ("strength_mpa", "strength", 2.0, Ends(low=2, high=None), 1),
        ("slug_g", "yield stress", 0.6, Ends(low=None, high=0.6), -1),
        ("cone_depth_mm", "yield stress", 15.0, Ends(low=None, high=15), 1),
    ],
)
def test_a_reading_that_is_only_a_bound_moves_the_belief_to_its_open_side(name, channel, value, ends, sign):
    """Beside the same number taken as exact: the belief lies further out, never nearer in."""
    exact, bound = book(), book()
    exact.add(MIX, readings={name: (value, 60, "")})
    bound.add(MIX, readings={name: (value, 60, "", ends)})
    moved = expected(bound, channel, MIX) - expected(exact, channel, MIX)
    assert moved * sign > 0.02


def test_what_a_bound_leaves_open_is_not_said_to_have_held_or_broken():
    notebook = book(brief={"layers_stood": (30, None), "ram_force_n": (None, 250)})
    cases = [
        ({"ram_force_n": (200.0, 60, "", Ends(low=200, high=None))}, "ram_force_n", None),
        ({"ram_force_n": (260.0, 60, "", Ends(low=260, high=None))}, "ram_force_n", False),
        ({"layers_stood": (4.0, 60, "", Ends(low=None, high=4))}, "layers_stood", False),
        ({"layers_stood": (31.0, 60, "", Ends(low=31, high=None))}, "layers_stood", True),
        ({"layers_stood": (20.0, 60, "", Ends(low=20, high=None))}, "layers_stood", None),
    ]
    for readings, name, held in cases:
        number = notebook.add(MIX, readings=readings)
        line = next(line for line in notebook.explain(number) if line.name == name)
        assert line.held is held
        assert "or more" in line.why or "or less" in line.why


def test_a_cone_reading_teaches_force_and_standing():
    notebook = book()
    notebook.add(MIX, readings={"cone_depth_mm": (36.0, 60)})
    for channel in ("ram force", "layers stood"):
        assert expected(notebook, channel, MIX) < expected(book(), channel, MIX)


def test_practice_more_water_softens_and_shrinks_more():
    assert expected(book(), "yield stress", wetter()) < expected(book(), "yield stress", MIX)
    assert expected(book(), "shrinkage", wetter()) > expected(book(), "shrinkage", MIX)


def test_practice_shell_loses_about_an_eighth_of_stiffness_per_hundredth_of_water():
    dry = MIX["shell"] * 0.975 + MIX["guar"] * 0.9 + MIX["alginate"] * 0.88
    step = {**MIX, "water": MIX["water"] + 0.01 * dry}
    scaled = {k: v / sum(step.values()) for k, v in step.items()}
    ratio = math.exp(expected(book(), "yield stress", scaled) - expected(book(), "yield stress", MIX))
    assert 0.82 < ratio < 0.92


def test_practice_more_thickener_lowers_spring_back_and_bleed():
    notebook = book(brief={**BRIEF, "springback_percent": (None, 2), "bleed_g_per_100g": (None, 1)})
    more = {**MIX, "guar": 0.010, "shell": 0.636}
    for channel in ("spring-back", "bleed"):
        assert expected(notebook, channel, more) < expected(notebook, channel, MIX)


def test_practice_grain_shrinks_and_cracks_more_than_shell():
    grain = Notebook(lots={**LOTS, "shell": Lot("spent grain")}, brief=BRIEF)
    mix = {"shell": 0.23, "guar": 0.008, "alginate": 0.02, "water": 0.742}
    assert expected(grain, "shrinkage", mix) > expected(book(), "shrinkage", MIX) + math.log(2)
    assert expected(grain, "crack grade", mix) > expected(book(), "crack grade", MIX)


def test_too_soft_does_not_stand_and_too_stiff_does_not_pass():
    notebook = book(machine=Machine(nozzle_mm=2, barrel_mm=60, force_n=150), brief={"layers_stood": (30, None)})
    soft, stiff = wetter(0.12), wetter(-0.1)
    assert math.exp(expected(notebook, "layers stood", soft)) < 10
    assert math.exp(expected(notebook, "layers stood", stiff)) > 30
    look = [Look(channel="ram force", row=0, batch=-1, machine=notebook.aim().looks[0].machine, against_force=True)]
    rows = np.array([[m[k] for k in notebook.keys] for m in (soft, stiff)])
    belief = notebook.belief()
    passes = forecast(belief, table(belief.layout, rows), look).mean[:, 0]
    assert passes[0] < 0 < passes[1]


def test_weighing_the_least_known_narrows_what_it_says():
    vague = Notebook(lots={**LOTS, "shell": Lot("mussel shell", moisture=(0.03, 0.03))}, brief=BRIEF)
    known = vague.propose().least_known
    assert known is not None and "mussel shell" in known.what and known.narrower < 1
    weighed = Notebook(
        lots={**LOTS, "shell": Lot("mussel shell", moisture=(0.03, 0.003), water_demand=0.35)}, brief=BRIEF
    )
    mean, cov = weights(weighed.belief())
    assert len(mean) == len(cov)
    left = weighed.propose().least_known
    assert left is None or left.narrower > known.narrower


def test_the_force_a_machine_has_is_cut_by_what_it_pushed_and_what_stalled_it():
    def log_force(**limits):
        return book()._ram(Machine(**limits)).log_force

    assert log_force(pushed={"ram_force_n": 300}) > log_force() > log_force(stalled={"ram_force_n": 60})
    assert log_force(pushed=9.0) > log_force(stalled=20.0)


def test_which_line_a_batch_broke():
    notebook = book()
    notebook.add(MIX, outcome="fell at layer 9 but cracked", readings={"cone_depth_mm": (14.0, 60)})
    held = {v.name: v.held for v in notebook.explain(0) if v.name in BRIEF}
    assert held == {"cone_depth_mm": True, "layers_stood": False, "crack_grade": False, "shrinkage_percent": None}


def test_a_reading_ten_times_off_is_flagged_and_does_not_drag():
    notebook, without = book(), book()
    for i in range(6):
        mix = wetter(0.005 * i)
        for n in (notebook, without):
            n.add(mix, readings={"shrinkage_percent": 2.5 + 0.1 * i})
    without_value = expected(without, "shrinkage", MIX)
    notebook.add(MIX, readings={"shrinkage_percent": 25.0})
    odd = notebook.belief().odd
    assert [(o.batch, o.source) for o in odd] == [(6, "shrinkage_percent")]
    assert abs(expected(notebook, "shrinkage", MIX) - without_value) < 0.35


def test_equal_rows_with_unequal_outcomes_one_batch_and_unmeasured_lines_are_fine():
    notebook = book(brief={**BRIEF, "strength_mpa": (2, None)})
    notebook.add(MIX, outcome="good")
    assert notebook.propose().predictions["strength_mpa"].low > 0
    notebook.add(MIX, outcome="puddled")
    p = notebook.propose()
    assert all(math.isfinite(x) for r in p.predictions.values() for x in (r.low, r.mid, r.high))


def test_two_lots_and_two_nozzles_are_kept_apart():
    notebook = book()
    notebook.add(MIX, readings={"cone_depth_mm": 12.0}, lot={"shell": "A"})
    notebook.add(MIX, readings={"cone_depth_mm": 25.0}, lot={"shell": "B"}, nozzle=3)
    assert notebook.propose(seed=2).chance.mid >= 0


@pytest.mark.parametrize(
    "act",
    [
        lambda: Notebook(lots={}),
        lambda: Notebook(lots={"water": "water"}),
        lambda: Notebook(lots={"a": Lot("mussel shell", moisture=1.2)}),
        lambda: Notebook(lots={"a": Lot("sand", role="rock")}),
        lambda: book(brief={}),
        lambda: book(brief={"cone_depth_mm": (20, 14)}),
        lambda: book(brief={"cone_depth_mm": (None, None)}),
        lambda: book(brief={"cone_depth_mm": 14}),
        lambda: book(brief={"cone_depth_mm": (float("nan"), 20)}),
        lambda: book(brief={"sparkle": (1, 2)}),
        lambda: book(brief={"crack_grade": (None, 9)}),
        lambda: book(bounds={"shell": (0.7, 0.6)}),
        lambda: book(bounds={"shell": (0.1, 0.2), "water": (0.1, 0.2)}),
        lambda: book(bounds={"gold": (0.1, 0.2)}),
        lambda: book().add({**MIX, "water": 0.5}),
        lambda: book().add({**MIX, "water": float("nan")}),
        lambda: book().add({**MIX, "salt": 0.0}),
        lambda: book().add(MIX, outcome="fantastic"),
        lambda: book().add(MIX, readings={"cone_depth_mm": 400}),
        lambda: book().add(MIX, readings={"sparkle": 4}),
        lambda: book().add(MIX, readings={"cone_depth_mm": (14, -3)}),
        lambda: book().add(MIX, mood="fine"),
        lambda: book().explain(0),
        lambda: Machine(nozzle_mm=60, barrel_mm=60),
        lambda: Machine(force_n=-4),
    ],
)
def test_bad_input_is_one_sentence(act):
    with pytest.raises(Problem) as said:
        act()
    assert len(str(said.value)) > 20 and "\n" not in str(said.value)


def test_a_brief_nobody_can_meet_says_so():
    notebook = book(brief={"cone_depth_mm": (30, 40), "layers_stood": (300, None)})
    for by in (0.0, 0.02, 0.04):
        notebook.add(wetter(by), readings={"cone_depth_mm": 15 + 100 * by, "layers_stood": round(40 - 300 * by)})
    assert notebook.propose().chance.mid < 0.02


def test_concrete_comes_through_the_same_door():
    """Seven made-up mixes of seven ingredients in kg per m3; a slump of 0 only says "stiffer than"."""
    keys = ("cement", "slag", "fly ash", "water", "superplasticizer", "coarse aggregate", "fine aggregate")
    mixes = [(270, 80, 100, 210, 9, 900, 690), (160, 150, 190, 180, 12, 840, 750), (150, 110, 150, 220, 10, 920, 660)]
    notebook = Notebook(
        lots={k: Lot(k) for k in keys if k != "water"}, brief={"slump_mm": (100, 200), "strength_mpa": (30, None)}
    )
    for mix, slump, strength in zip(mixes, (230, 0, 200), (35, 41, 27), strict=True):
        fractions = {k: x / sum(mix) for k, x in zip(keys, mix, strict=True)}
        notebook.add(fractions, readings={"slump_mm": slump, "strength_mpa": strength})
    p = notebook.propose()
    assert sum(p.fractions.values()) == pytest.approx(1)
    assert p.predictions["slump_mm"].high - p.predictions["slump_mm"].low > 20
    assert 10 < p.predictions["strength_mpa"].mid < 100
