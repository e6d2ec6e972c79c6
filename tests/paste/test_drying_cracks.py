"""Crack grades and warp: closed limits, grades read, and causes that grow what they should."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.paste import drying_cracks as cr
from slake.paste.drying_run import Way, drawn, long_enough_s, run
from slake.paste.drying_unknowns import FAN_M_S
from slake.paste.uneven_drying import water_ahead_kg_m3
from tests.paste.drying_cases import SCORES, about, drying, in_room, of_paste

H = 3600.0


def driven(asked, freed_h=1e6, covered_h=0.0):
    found = drawn(asked, SCORES)
    way = Way(covered_s=covered_h * H, freed_s=freed_h * H)
    done = run(asked, found, way, long_enough_s(asked, found))
    return cr.drive(asked, found, done, way), found, done


def test_held_for_good_the_bed_keeps_its_grip_of_the_whole_shrinkage():
    found_drive, found, _ = driven(drying(base=True))
    assert found_drive.held == pytest.approx(found.also["grips"] * found.shrinkage, rel=1e-6)


def test_freed_sooner_less_is_held():
    held = [np.median(driven(drying(base=True), freed_h=h)[0].held) for h in (0.5, 3, 10, 100)]
    assert held == sorted(held) and held[0] < 0.2 * held[-1]


def test_uneven_drying_goes_with_rate_and_wall_as_the_closed_form_says():
    """While the parabola stands, faces lag by two thirds of J L / 2D; strain follows until the face has shrunk out."""
    asked = of_paste(
        drying(wall_mm=2.0), shrinkage=about(0.15, 1.01), diffusivity_m2_s=about(2e-9, 1.01),
        water_per_dry=about(2.0, 1.01), half_humid=about(0.01, 1.01), density_kg_m3=about(1120, 1.01),
    )  # fmt: skip
    strain, found, _ = driven(asked)
    inner = found.face.flux
    ahead = 2 / 3 * water_ahead_kg_m3(float(np.median(inner)), 0.001, 2e-9) / float(np.median(found.solids_kg_m3))
    assert np.median(strain.uneven) == pytest.approx(ahead * np.median(found.strain_per_water), rel=0.25)


@pytest.mark.parametrize(
    ("change", "sign"),
    [
        (lambda q: in_room(q, speed_m_s=FAN_M_S), 1),
        (lambda q: of_paste(q, diffusivity_m2_s=about(1e-9, 1.5)), -1),
        (lambda q: drying(wall_mm=8.0), 1),
        (lambda q: in_room(q, humidity=Range(low=0.7, mid=0.72, high=0.74)), -1),
    ],
    ids=["fan", "water moves easily", "thicker", "damper"],
)
def test_uneven_drying_moves_the_right_way(change, sign):
    before, after = driven(drying())[0].uneven, driven(change(drying()))[0].uneven
    for quantile in (0.1, 0.5, 0.9):
        assert sign * (np.quantile(after, quantile) - np.quantile(before, quantile)) > 0


def test_a_cover_keeps_faces_nearer_to_the_middle():
    openly, under = driven(drying())[0].uneven, driven(drying(), covered_h=1e5)[0].uneven
    assert np.all(np.quantile(under, (0.1, 0.5, 0.9)) < np.quantile(openly, (0.1, 0.5, 0.9)))


def test_no_face_shrinks_more_than_the_paste_does():
    found_drive, found, _ = driven(drying(wall_mm=12.0))
    assert np.all(found_drive.uneven <= found.shrinkage * (1 + 1e-9))


def test_grades_run_from_none_to_broken():
    tolerance = np.ones(6)
    grades = cr.grades_of(np.array([0.1, 1.0, 1.5, 2.5, 4.0, 20.0]), tolerance)
    assert grades == pytest.approx([0.0, 0.5, 1.5, 2.5, 3.5, 5.0])


def test_grades_read_weigh_the_draws_that_foretold_them():
    weights = cr.grade_weights(np.array([0.0, 2.0, 4.0]), (2.0,))
    assert weights.sum() == pytest.approx(1) and weights[1] == weights.max() and weights[0] == pytest.approx(weights[2])
    assert cr.grade_weights(np.array([0.0, 2.0, 4.0]), ()) == pytest.approx([1 / 3] * 3)
    with pytest.raises(OutsideRange, match="grade it from 0 to 5"):
        cr.grade_weights(np.array([1.0]), (7.0,))


def test_weighted_ranges_of_equal_draws_are_quantiles():
    values = np.linspace(0, 1, 1001)
    found = cr.weighted_range(values, np.full(1001, 1 / 1001))
    assert (found.low, found.mid, found.high) == pytest.approx((0.1, 0.5, 0.9), abs=1e-3)


def test_warp_grows_with_the_square_of_the_length():
    asked = drying(base=True)
    long = replace(asked, piece=replace(asked.piece, across_m=0.2))
    short, twice = (cr.warp(q, found, done) for q, (_, found, done) in ((asked, driven(asked)), (long, driven(long))))
    assert short is not None and twice is not None
    assert twice.middle_m.mid == pytest.approx(4 * short.middle_m.mid)


def test_warp_of_a_known_bend_is_the_arc_over_its_chord():
    """k l^2 / 8 against the exact rise of an arc, for a bend of 1 per metre over 100 mm."""
    radius, chord = 1.0, 0.1
    assert chord**2 / 8 / radius == pytest.approx(radius - (radius**2 - chord**2 / 4) ** 0.5, rel=1e-3)


def test_a_base_turned_in_time_warps_less_than_one_left_lying():
    asked = drying(base=True)
    turned, left = (cr.warp(asked, found, done) for _, found, done in (driven(asked, freed_h=2), driven(asked)))
    assert turned is not None and left is not None and turned.middle_m.mid < left.middle_m.mid
    assert turned.good_chance >= left.good_chance


def test_no_draw_shrinks_by_more_than_its_water():
    asked = of_paste(drying(), water_per_dry=about(0.1, 1.05), shrinkage=Range(low=0.01, mid=0.06, high=0.3))
    found = drawn(asked, SCORES)
    lost = 1 - (1 - found.shrinkage) ** 3
    assert np.all(lost <= found.solids_kg_m3 * found.water / 998.2 + 1e-12)
