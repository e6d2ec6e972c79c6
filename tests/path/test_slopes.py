"""Slopes, spans and thin walls against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.path.mesh import Mesh, on_the_bed
from slake.path.other_sides import better_side, by_side
from slake.path.sections import Cut, cuts_at, level_heights_m, solid_of
from slake.path.slopes import leans_deg, slopes_beyond
from slake.path.spans import spans_beyond
from slake.path.thin_walls import walls_thinner
from tests.path.solids import ball, bored, box, cone, cylinder, moved, ours, together, turned


def at(degrees: float) -> Range:
    return Range(low=degrees, mid=degrees, high=degrees)


def cut(mesh: Mesh, step_m: float = 0.001) -> tuple[list[Cut], float]:
    heights, step = level_heights_m(float(mesh.size_m[2]), step_m, 200)
    return cuts_at(solid_of(mesh), heights), step


def test_a_cone_on_its_tip_leans_by_its_half_angle_everywhere():
    """Radius 20, height 40: atan(1/2) from the upright; its mantle is pi r sqrt(r2 + h2)."""
    mesh = on_the_bed(ours(turned(cone(20, 40, 2048), 180)))
    lean = leans_deg(mesh)
    half = math.degrees(math.atan(0.5))
    assert float(lean.max()) == approx(half, abs=0.01)
    assert slopes_beyond(mesh, at(half + 0.1)).beyond == ()
    found = slopes_beyond(mesh, at(half - 0.1))
    assert found.beyond_m2 == approx(math.pi * 20 * math.hypot(20, 40) * 1e-6, rel=1e-3)
    assert len(found.beyond) == 1 and found.beyond[0].high_m == approx(0.040)


def test_a_cone_on_its_foot_and_a_cylinder_lean_nowhere():
    for body in (cone(), cylinder(), box()):
        assert slopes_beyond(on_the_bed(ours(body))).worst_deg == 0
        assert float(leans_deg(on_the_bed(ours(body))).max()) == approx(0, abs=1e-6)


@pytest.mark.parametrize("degrees", [20, 30, 45, 60])
def test_a_ball_leans_beyond_a_limit_over_the_cap_below_it(degrees: float):
    """Where sin(lean) = cos of the angle from its foot: a cap of height R (1 - sin limit), area 2 pi R h."""
    found = slopes_beyond(on_the_bed(ours(ball(40, 6))), at(degrees))
    assert found.beyond_m2 == approx(2 * math.pi * 40**2 * (1 - math.sin(math.radians(degrees))) * 1e-6, rel=0.02)
    assert len(found.beyond) == 1
    assert found.beyond[0].high_m == approx(0.040 * (1 - math.sin(math.radians(degrees))), abs=0.0015)


def test_between_the_ends_of_the_limit_it_is_doubtful():
    found = slopes_beyond(on_the_bed(ours(ball(40, 6))), Range(low=20, mid=30, high=45))
    band = 2 * math.pi * 40**2 * (math.sin(math.radians(45)) - math.sin(math.radians(20))) * 1e-6
    assert found.doubtful_m2 == approx(band, rel=0.02)
    for no_limit in (at(0), at(90), at(-5)):
        with pytest.raises(OutsideRange, match="slope a paste bears"):
            slopes_beyond(on_the_bed(ours(ball(40, 2))), no_limit)


def test_a_cone_on_its_tip_is_told_to_stand_on_its_foot():
    """On its foot nothing leans; its foot is pi r2. A ball has no better side, nor has a cube."""
    mesh = on_the_bed(ours(turned(cone(20, 40, 1024), 180)))
    side = better_side(mesh, 20.0)
    assert side is not None and side.words == "turned over" and side.beyond_m2 == 0
    assert side.rests_m2 == approx(math.pi * 400e-6, rel=1e-3)
    assert better_side(mesh, 30.0) is None, "where nothing leans too far, nothing is better"
    assert better_side(on_the_bed(ours(ball(40, 4))), 30.0) is None
    lying = by_side(on_the_bed(ours(turned(cone(20, 40, 1024), 90, (0, 1, 0)))), 30.0)
    assert lying[0].words == "as it stands" and lying[0].beyond_m2 > 0
    assert lying[1].words == "on its left side" and lying[1].beyond_m2 == 0
    with pytest.raises(OutsideRange):
        by_side(mesh, 90.0)


def test_slope_does_not_change_when_it_is_turned_about_the_upright_or_made_larger():
    body = turned(ball(40, 4), 25)
    one = slopes_beyond(on_the_bed(ours(body)))
    other = slopes_beyond(on_the_bed(ours(turned(body, 77, (0, 0, 1)))))
    assert other.beyond_m2 == approx(one.beyond_m2) and other.worst_deg == approx(one.worst_deg)


@pytest.mark.parametrize("side", [8, 14, 20])
def test_a_square_hole_through_a_cube_is_bridged_by_its_width(side: float):
    mesh = on_the_bed(ours(bored(box(40, 40, 40), box(side, 60, side))))
    cuts, step = cut(mesh)
    assert sum(c.area_m2 for c in cuts) * step == approx((40**3 - 40 * side**2) * 1e-9, rel=1e-6)
    found = spans_beyond(cuts, step, 30.0)
    assert found.widest_m == approx(side / 1000, rel=0.02)
    assert len(found.beyond) == (1 if side > 10 else 0)
    if found.beyond:
        (span,) = found.beyond
        assert span.held_both_sides and span.height_m == approx(0.020 + side / 2000, abs=0.001)
        assert span.area_m2 == approx(side * 40e-6, rel=0.1)


def test_a_shelf_sticks_out_and_is_held_on_one_side():
    shelf = box(10, 40, 40).union(moved(box(40, 40, 5), 15, 0, 17.5))
    cuts, step = cut(on_the_bed(ours(shelf)))
    (span,) = spans_beyond(cuts, step, 30.0).beyond
    assert not span.held_both_sides and not span.floats
    assert span.span_m == approx(0.030, rel=0.02) and "sticks out 30 mm" in span.in_words


def test_a_piece_that_begins_in_mid_air_floats():
    cuts, step = cut(on_the_bed(ours(together(box(10, 10, 10), moved(box(10, 10, 10), 30, 0, 20)))))
    spans = spans_beyond(cuts, step, 30.0).beyond
    assert spans[0].floats and "mid-air" in spans[0].in_words


def test_what_a_slope_bears_is_no_span():
    """A cone on its tip of 26.6 degrees where 30 are borne; where 20 are, each layer sticks out beyond."""
    cuts, step = cut(on_the_bed(ours(turned(cone(20, 40), 180))))
    assert spans_beyond(cuts, step, 30.0).widest_m == 0
    assert spans_beyond(cuts, step, 20.0).widest_m > 0


@pytest.mark.parametrize("wall", [0.8, 1.5, 2.2])
def test_a_ring_thinner_than_the_bead_is_found_with_its_thickness(wall: float):
    ring = bored(cylinder(20, 50, 256), cylinder(20 - wall, 60, 256))
    cuts, _ = cut(on_the_bed(ours(ring)), 0.005)
    found = walls_thinner(cuts, 0.0024)
    assert found.thinnest_m == approx(wall / 1000, rel=0.01) and found.layers_share == 1
    assert found.found[0].length_m == approx(2 * math.pi * (20 - wall / 2) / 1000, rel=0.01)
    assert walls_thinner(cuts, wall / 1000).thinnest_m is None


def test_a_thin_fin_on_a_thick_body_is_found_and_corners_are_not():
    body = box(30, 30, 20).union(moved(box(1, 20, 20), 0, 20))
    cuts, _ = cut(on_the_bed(ours(body)), 0.005)
    found = walls_thinner(cuts, 0.0024)
    assert found.thinnest_m == approx(0.001, rel=0.1) and len(found.found) == 4
    assert walls_thinner(cut(on_the_bed(ours(box(30, 30, 20))), 0.005)[0], 0.0024).found == ()


def test_level_cuts_of_bodies_in_one_another_keep_holes_and_islands():
    """A tube with a post in it: ring and disc."""
    tube = bored(cylinder(20, 50, 512), cylinder(15, 60, 512))
    cuts, _ = cut(on_the_bed(ours(together(tube, cylinder(5, 50, 512)))), 0.01)
    for one in cuts:
        assert one.area_m2 == approx(math.pi * (400 - 225 + 25) * 1e-6, rel=1e-3)
        assert one.around_m == approx(2 * math.pi * 0.040, rel=1e-3)
        assert len(one.shape.geoms) == 2
    both, _ = cut(on_the_bed(ours(together(box(10, 10, 10), moved(box(10, 10, 10), 5)))), 0.005)
    assert both[0].area_m2 == approx(150e-6)


def test_layers_are_never_more_than_asked_and_fill_the_height():
    heights, step = level_heights_m(0.1, 0.001, 20)
    assert len(heights) == 20 and step == approx(0.005) and heights[0] == approx(0.0025)
    assert np.diff(heights) == approx(step) and heights[-1] + step / 2 == approx(0.1)
