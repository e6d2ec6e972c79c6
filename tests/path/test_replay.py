"""The clock, the flow and the volume of a path, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from slake.ground.problems import DoesNotFit, Problem
from slake.path.gcode import read_gcode
from slake.path.pushing import Motion, millilitres, ram_mm
from slake.path.replay import Replayed, Travels, replay
from tests.path.paths import tube


def replayed(text: str, motion: Motion | None = None) -> Replayed:
    return replay(read_gcode(text.encode(), millilitres()), motion or Motion())


def test_beads_and_travels_share_one_clock():
    path = replayed("M83\nG0 X10 F600\nG1 X20 E0.5\nG4 S3\nG0 X0 F6000\nG1 E0.1 F6\nG1 Y10 F600 E0.5\n")
    assert path.start_s.tolist() == approx([1, 6.2]) and path.end_s.tolist() == approx([2, 7.2])
    assert path.flow_m3_s.tolist() == approx([0.5e-6, 0.5e-6])
    assert path.duration_s == approx(7.2)
    travels = path.travels
    assert travels.after.tolist() == [-1, 0, 0, 0]
    assert travels.start_s.tolist() == approx([0, 2, 5, 5.2]) and travels.end_s.tolist() == approx([1, 5, 5.2, 6.2])
    assert travels.wait_s.tolist() == approx([0, 3, 0, 1])
    assert travels.pushed_m3.tolist() == approx([0, 0, 0, 0.1e-6])
    assert travels.line.tolist() == [2, 4, 5, 6]
    assert path.line.tolist() == [3, 7]


def test_every_second_and_every_drop_is_counted_once():
    path = replay(read_gcode(tube(height_m=0.05), ram_mm(0.06)), Motion(acceleration_m_s2=0.2))
    beads, rest = path.end_s - path.start_s, path.travels.end_s - path.travels.start_s
    assert beads.sum() + rest.sum() == approx(path.duration_s, rel=1e-9)
    assert np.all(path.start_s[1:] >= path.end_s[:-1] - 1e-9)
    assert (path.flow_m3_s * beads).sum() == approx(path.volume_m3.sum(), rel=1e-12)


def test_the_volume_of_a_tubes_path_is_that_of_the_tube_within_2_percent():
    """A wall 2.4 mm thick, 80 mm across its middle and 100 mm high: closed form pi ((r + w/2)^2 - (r - w/2)^2) h."""
    path = replay(read_gcode(tube(height_m=0.1), ram_mm(0.06)))
    closed = math.pi * ((0.04 + 0.0012) ** 2 - (0.04 - 0.0012) ** 2) * 0.1
    assert path.volume_m3.sum() == approx(closed, rel=0.02)
    assert path.volume_m3.sum() == approx(closed, rel=1e-3)


def test_slower_corners_lower_the_flow_and_not_the_volume():
    text = "M83\nG1 F1200\n" + "G1 X10 E1\nG1 Y10 E1\nG1 X0 E1\nG1 Y0 E1\n"
    even, slowed = replayed(text), replayed(text, Motion(acceleration_m_s2=0.1))
    assert np.array_equal(even.volume_m3, slowed.volume_m3)
    assert np.all(slowed.flow_m3_s < even.flow_m3_s)


def test_a_path_that_lays_nothing_is_refused():
    with pytest.raises(Problem, match="lays no bead"):
        replayed("G1 X10 F600\nG1 E5\n")


def test_a_path_slower_than_ten_days_is_refused():
    with pytest.raises(Problem, match=r"would take 69.44 days at the speeds it says, more than the 10 that"):
        replayed("G1 X10 F0.0001 E1\n")


def test_arrays_of_unequal_length_are_refused():
    none, rows = np.zeros(0), np.zeros((2, 3))
    places = np.zeros(2, dtype=np.int64)
    with pytest.raises(DoesNotFit, match="start_s holds 0 entries where there are 2 moves"):
        Travels(
            start_m=rows, end_m=rows, start_s=none, end_s=none, wait_s=none, pushed_m3=none, after=places, line=places
        )
