"""How long moves take: closed forms of one move, and a plain look-ahead written out step by step."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from slake.path.gcode import read_gcode
from slake.path.pushing import Motion, millilitres
from slake.path.speeds import corner_speeds_m_s, durations_s, trapezoid_s


def seconds(text: str, motion: Motion) -> float:
    return float(durations_s(read_gcode(text.encode(), millilitres()), motion).sum())


def test_constant_speed_is_length_over_speed():
    assert seconds("G1 X30 Y40 F600 E1\nG1 Z5 E2 F300\n", Motion()) == approx(50 / 10 + 5 / 5)


def test_one_long_move_takes_its_length_over_speed_and_once_more_the_speeding_up():
    assert seconds("G1 X100 F600 E1\n", Motion(acceleration_m_s2=0.1)) == approx(100 / 10 + 0.01 / 0.1)


def test_a_short_move_never_reaches_its_speed():
    assert seconds("G1 X1 F60000 E1\n", Motion(acceleration_m_s2=0.1)) == approx(2 * math.sqrt(0.001 / 0.1))


def test_a_straight_line_in_many_pieces_takes_as_long_as_in_one():
    text = "G91\nM83\nG1 F600\n" + "G1 X1 E1\n" * 100
    assert seconds(text, Motion(acceleration_m_s2=0.05)) == approx(
        seconds("G1 X100 F600 E1\n", Motion(acceleration_m_s2=0.05))
    )


def test_ever_faster_speeding_up_comes_to_constant_speed():
    text = "G1 X10 F600 E1\nG1 Y10 E2\nG1 X0 E3\nG4 P10\nG1 Y0 E4\n"
    assert seconds(text, Motion(acceleration_m_s2=1e9)) == approx(seconds(text, Motion()), rel=1e-6)
    slow = [seconds(text, Motion(acceleration_m_s2=a)) for a in (10.0, 1.0, 0.1, 0.01)]
    assert slow == sorted(slow) and slow[-1] > 1.5 * slow[0]


def test_a_stop_between_two_moves_costs_the_slowing_and_speeding():
    through = seconds("G91\nM83\nG1 X50 F600 E1\nG1 X50 E1\n", Motion(acceleration_m_s2=0.1))
    stopped = seconds("G91\nM83\nG1 X50 F600 E1\nG4 P1\nG1 X50 E1\n", Motion(acceleration_m_s2=0.1))
    assert stopped - through == approx(0.01 / 0.1)


def test_corner_speed_of_a_right_angle_and_of_none():
    ahead, left = [1.0, 0, 0], [0, 1.0, 0]
    corners = corner_speeds_m_s(np.array([ahead, left, left]), np.array([0.1, 0.2, 0.05]), np.array([False] * 3), 0.02)
    assert corners.tolist() == approx([0, 0.02 / math.sqrt(2), 0.05, 0])


@pytest.mark.parametrize("seed", range(20))
def test_looking_ahead_over_arrays_is_looking_ahead_step_by_step(seed: int):
    rng = np.random.default_rng([seed])
    length, speed = rng.lognormal(-6, 1.5, 300), rng.uniform(0.005, 0.2, 300)
    caps = np.concatenate([[0], np.minimum(speed[1:], speed[:-1]) * rng.uniform(0, 1, 299), [0]])
    acceleration = float(rng.uniform(0.02, 2))
    at = caps.copy()
    for place in range(299, -1, -1):
        at[place] = min(at[place], math.sqrt(at[place + 1] ** 2 + 2 * acceleration * length[place]))
    total = 0.0
    for place in range(300):
        at[place + 1] = min(at[place + 1], math.sqrt(at[place] ** 2 + 2 * acceleration * length[place]))
        first, last = at[place], at[place + 1]
        peak = min(speed[place], math.sqrt(acceleration * length[place] + (first**2 + last**2) / 2))
        ramps = (2 * peak**2 - first**2 - last**2) / (2 * acceleration)
        total += (2 * peak - first - last) / acceleration + (length[place] - ramps) / peak
    assert float(trapezoid_s(length, speed, caps, acceleration).sum()) == approx(total, rel=1e-6)
