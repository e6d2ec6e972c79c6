"""Every suggested change, fed back, does what it says; half of it does not. Where all holds nothing is suggested."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from slake.campaign.verdict import Lengths, Paste, Plan, Press, Question, Wall, judge
from slake.campaign.verdict.smallest import smallest_changes
from slake.campaign.verdict.spread import known
from slake.paste.ram import Barrel
from tests.campaign.pastes_at_random import question

SURE = Paste(
    yield_stress_pa=known(900, 0.05),
    density_kg_m3=known(1450, 0.02),
    stiffening_per_s=known(2e-5, 0.1),
    modulus_per_yield=known(400, 0.1),
    air_fraction=known(0.01, 0.1),
    bleed=known(0.003, 0.1),
    largest_grain_m=known(0.0002, 0.1),
    longest_fibre_m=known(0.0002, 0.1),
)
PRESS = Press(
    barrel=Barrel(barrel_m=0.03, nozzle_m=0.003),
    lengths=Lengths(land_m=known(0.01), fill_m=known(0.1), speed_m_s=known(0.02)),
    force_n=known(400, 0.05),
)
LOW_WALL = Plan(wall=Wall(height_m=0.02, wall_m=0.004))


@cache
def changes(seed: int):
    return smallest_changes(question(seed))


def test_where_all_holds_nothing_is_suggested():
    asked = Question(paste=SURE, press=PRESS, plan=LOW_WALL)
    assert judge(asked).word == "go" and smallest_changes(asked) == ()


@pytest.mark.parametrize("seed", range(20))
def test_every_change_passes_when_fed_back_and_half_of_it_does_not(seed):
    asked = question(seed)
    for one in changes(seed):
        assert one.met(one.applied(asked)), one
        assert not one.met(one.applied(asked, 0.5)), one
        if one.whole:
            after = judge(one.applied(asked))
            assert after.word == "go" and after.chance == pytest.approx(one.chance)


def test_most_verdicts_that_fail_can_be_mended():
    """Twenty pastes at random: where a line fails, a change or two mend it, or say what they trade."""
    failing = [seed for seed in range(20) if judge(question(seed)).failing]
    assert len(failing) >= 10
    assert sum(bool(changes(seed)) for seed in failing) >= 0.8 * len(failing)


@pytest.mark.parametrize(
    ("part", "line", "mended_by"),
    [
        ({"yield_stress_pa": known(9000, 0.05)}, "force", {"more water", "larger nozzle", "shorter fill", "slower"}),
        ({"yield_stress_pa": known(150, 0.05)}, "foot", {"less water", "lower wall", "pause", "wait"}),
        ({"modulus_per_yield": known(15, 0.05)}, "fold", {"thicker wall", "lower wall", "less water"}),
        ({"largest_grain_m": known(0.002, 0.05)}, "grains", {"finer sieve", "larger nozzle"}),
        ({"longest_fibre_m": known(0.004, 0.05)}, "fibres", {"shorter fibres", "larger nozzle"}),
        ({"air_fraction": known(0.08, 0.05)}, "air", {"de-air"}),
    ],
)
def test_each_line_that_fails_comes_first_and_is_mended_by_what_a_person_would_do(part, line, mended_by):
    plan = Plan(wall=Wall(height_m=0.04, wall_m=0.004))
    asked = Question(paste=replace(SURE, **part), press=PRESS, plan=plan)
    assert judge(asked).limiting.name == line
    keys = {step.change.key for one in smallest_changes(asked) for step in one.steps}
    assert keys & mended_by, keys
    assert all(step.words(asked) for one in smallest_changes(asked) for step in one.steps)


def test_weeping_paste_has_no_worked_out_cure_and_says_so():
    asked = Question(paste=replace(SURE, bleed=known(0.05, 0.05)), press=PRESS, plan=LOW_WALL)
    assert judge(asked).limiting.name == "bleed" and smallest_changes(asked) == ()
    assert "no cure is worked out" in judge(asked).limiting.note


def test_nothing_known_but_two_bores_is_enough_for_an_answer():
    asked = Question(paste=Paste(), press=Press(barrel=Barrel(barrel_m=0.06, nozzle_m=0.002)), plan=LOW_WALL)
    found = judge(asked)
    assert 0 < found.chance < 1
    assert all(line.chance is None or 0 <= line.chance <= 1 for line in found.lines)
    known_chances = [line.chance for line in found.lines if line.chance is not None]
    assert known_chances == sorted(known_chances)
