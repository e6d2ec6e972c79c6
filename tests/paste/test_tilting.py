"""Leaning beads: closed-form limits of tipping, joints and hoops."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.tilting import (
    HUGE,
    bead_step_m,
    bonded_joint_factor,
    hoop_factor,
    loose_joint_factor,
    resting_factor,
    rolling_factor,
    tipping_layers,
)


def test_a_stack_tips_where_its_middle_passes_the_edge() -> None:
    """Books by hand: contact 10, step 2 gives 4 layers, whose middle stands (4 + 1)/2 steps = 5 out: the edge."""
    layers = tipping_layers(0.010, 0.002)
    assert layers == pytest.approx(4) and (layers + 1) / 2 * 0.002 == pytest.approx(0.005)
    assert tipping_layers(0.01, 0.0) == math.inf


def test_a_loose_joint_of_unyielding_paste_tips_at_half_a_contact() -> None:
    off = np.array([0.0, 0.0049, 0.005, 0.006])
    assert list(loose_joint_factor(np.array(1e9), np.array(0.01), np.array(1.0), off) > 1) == [True, True, False, False]


@given(st.floats(100, 1e5), st.floats(1e-3, 0.05), st.floats(0.1, 100), st.floats(0, 0.02))
def test_a_bonded_joint_bears_more_than_a_loose_one_and_both_meet_upright(
    strength: float, contact: float, weight: float, off: float
) -> None:
    args = (np.array(strength), np.array(contact), np.array(weight))
    assert bonded_joint_factor(*args, np.array(off)) >= loose_joint_factor(*args, np.array(off)) * (1 - 1e-9)
    upright = np.array(0.0)
    assert bonded_joint_factor(*args, upright) == pytest.approx(float(loose_joint_factor(*args, upright)), rel=1e-6)


def test_a_bonded_joint_under_hardly_any_thrust_bears_its_full_moment() -> None:
    """Far out the weight is all moment: weight x off = strength contact^2 / 4."""
    strength, contact, off = 2000.0, 0.01, 5.0
    weight = strength * contact**2 / 4 / off
    assert bonded_joint_factor(*map(np.array, (strength, contact, weight, off))) == pytest.approx(1.0, rel=1e-3)


def test_hoop_pull_by_hand() -> None:
    """rho g R tan 45 = 1500 x 9.81 x 0.04 = 588.6 Pa."""
    assert hoop_factor(np.array(588.6), np.array(1500.0), np.array(0.04), np.array(45.0)) == pytest.approx(1.0)
    assert hoop_factor(np.array(588.6), np.array(1500.0), np.array(0.04), np.array(0.0)) == HUGE


def test_steps_and_the_newest_bead() -> None:
    assert bead_step_m(0.002, 45) == pytest.approx(0.002)
    assert resting_factor(np.array(0.002), np.array(0.001)) == pytest.approx(1.0)
    assert resting_factor(np.array(0.002), np.array(0.0)) == HUGE


def test_a_round_bead_rolls_by_hand() -> None:
    """Weight per length 1500 g w h, 1 mm over its edge, against strength w h^2 / 4 over the radius; not on its edge."""
    high, radius, over = 0.0012, 0.05, 0.001
    moment, hold = 1500 * 9.81 * 0.003 * high * over, 2000 * 0.003 * high**2 / 4 / radius
    got = rolling_factor(np.array(2000.0), np.array(1500.0), np.array(radius), (np.array(high), np.array(over)))
    assert got == pytest.approx(hold / moment)
    on_it = rolling_factor(np.array(2000.0), np.array(1500.0), np.array(radius), (np.array(high), np.array(-over)))
    assert on_it == HUGE


@pytest.mark.parametrize("bad", [-1.0, 86.0, math.nan])
def test_leans_it_does_not_hold_for_are_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        bead_step_m(0.001, bad)
