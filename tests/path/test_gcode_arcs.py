"""Arcs against the closed forms of circles and helices, and arcs that cannot be."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from slake.path.gcode import Toolpath, read_gcode
from slake.path.gcode_words import LineProblem
from slake.path.pushing import millilitres


def read(text: str) -> Toolpath:
    return read_gcode(("G1 X10 Y0 F600\n" + text).encode(), millilitres())


def lengths_mm(path: Toolpath) -> np.ndarray:
    return 1000 * np.sqrt(((path.end_m - path.start_m) ** 2).sum(axis=1))[1:]


def length_mm(path: Toolpath) -> float:
    return float(lengths_mm(path).sum())


CHORD = 3e-4
"""Chords within 5 um of a 10 mm circle are shorter than it by less than this share."""


@pytest.mark.parametrize(
    ("line", "angle", "end"),
    [
        ("G3 X0 Y10 I-10 J0", math.pi / 2, (0, 10)),
        ("G2 X0 Y10 I-10 J0", 3 * math.pi / 2, (0, 10)),
        ("G2 X0 Y-10 I-10", math.pi / 2, (0, -10)),
        ("G3 I-10", 2 * math.pi, (10, 0)),
        ("G2 I-10 J0", 2 * math.pi, (10, 0)),
        ("G3 X-10 Y0 R10", math.pi, (-10, 0)),
        ("G3 X0 Y10 R10", math.pi / 2, (0, 10)),
        ("G3 X0 Y10 R-10", 3 * math.pi / 2, (0, 10)),
        ("G2 X0 Y10 R10", math.pi / 2, (0, 10)),
        ("G2 X0 Y10 R-10", 3 * math.pi / 2, (0, 10)),
        ("G20\nG3 X0 Y0.3937007874 I-0.3937007874", math.pi / 2, (0, 10)),
        ("G91\nG3 X-10 Y10 I-10", math.pi / 2, (0, 10)),
    ],
)
def test_an_arc_is_as_long_as_its_circle_says_and_ends_where_it_says(line: str, angle: float, end: tuple[float, float]):
    path = read(line + " E2\n")
    assert length_mm(path) == approx(10 * angle, rel=CHORD)
    assert length_mm(path) < 10 * angle
    assert (path.end_m[-1, :2] * 1000).tolist() == approx(end, abs=1e-6)
    assert np.array_equal(path.start_m[1:], path.end_m[:-1])
    assert path.pushed_m3.sum() == approx(2e-6)
    assert set(path.line[1:].tolist()) == {int(path.line[-1])}


def test_every_point_of_an_arc_lies_on_its_circle_and_its_chords_within_5_um():
    path = read("G3 X0 Y10 I-10 J0 E2\n")
    ends = path.end_m[1:, :2] * 1000
    assert np.hypot(*ends.T) == approx(np.full(len(ends), 10.0), abs=1e-9)
    middles = (path.start_m[1:, :2] + path.end_m[1:, :2]) * 500
    assert 10 - np.hypot(*middles.T).min() < 0.005


def test_a_helix_rises_evenly_and_lays_evenly():
    path = read("G3 X10 Y0 Z5 I-10 E3\n")
    assert length_mm(path) == approx(math.hypot(2 * math.pi * 10, 5), rel=CHORD)
    rise = np.diff(path.end_m[:, 2]) * 1000
    assert rise == approx(np.full(len(rise), 5 / len(rise)), rel=1e-6)
    assert np.ptp(path.pushed_m3[1:]) < 1e-18


def test_the_way_round_is_clockwise_for_g2():
    left = read("G3 X-10 Y0 I-10 E1\n")
    right = read("G2 X-10 Y0 I-10 E1\n")
    assert left.end_m[len(left.end_m) // 2, 1] > 0.009 and right.end_m[len(right.end_m) // 2, 1] < -0.009


def test_arcs_and_lines_in_turn_keep_their_order():
    path = read("G3 X0 Y10 I-10 E1\nG1 X0 Y20 E2\nG4 S1\nG2 X10 Y20 R5 E3\n")
    assert np.array_equal(path.start_m[1:], path.end_m[:-1])
    assert np.all(np.diff(path.line) >= 0)
    assert (path.end_m[-1] * 1000).tolist() == approx([10, 20, 0])
    assert float(path.still_s.sum()) == approx(1)


def test_small_circles_have_at_least_twelve_chords_and_large_ones_stay_bounded():
    assert len(lengths_mm(read("G2 I-0.01 E1\n"))) >= 12
    assert len(lengths_mm(read("G2 I-4000 E1\n"))) <= 720


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("G2 X5 Y5 E1", "line 2: an arc needs I and J, or R: add them"),
        ("G3 X0 Y10 R4 E1", "line 2: R is less than half the way to its end: mend R"),
        ("G3 X10 Y0 R4 E1", "line 2: a whole circle cannot be told by R: give I and J"),
        ("G3 X0 Y12 I-10 J0 E1", "line 2: its start and its end are not equally far from its centre: mend I and J"),
        ("G3 X0 Y10 I0 J0 E1", "line 2: its centre gives no circle: mend I and J, or R"),
        ("G3 X0 Y10 I-99999 E1", "line 2: its centre gives no circle: mend I and J, or R"),
        ("G3 X0 Y10 R0 E1", "line 2: R is less than half the way to its end: mend R"),
        (f"G3 X0 Y10 I{'9' * 350} E1", "line 2: its centre gives no circle: mend I and J, or R"),
    ],
)
def test_an_arc_that_cannot_be_is_refused(line: str, words: str):
    with pytest.raises(LineProblem) as fault:
        read(line + "\n")
    assert str(fault.value) == words
