"""Closed or where it is open, which side is out, how many bodies: against bodies of known volume."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from pytest import approx

from slake.ground.problems import Problem
from slake.path.mesh import Mesh, areas_m2, merged, on_the_bed, volume_m3
from slake.path.mesh_checks import check_closed
from slake.path.sections import joined_m3
from tests.path.solids import ball, bored, box, cone, cylinder, moved, ours, together, turned


@pytest.mark.parametrize(
    ("body", "litres"),
    [
        (box(10, 20, 30), 6000),
        (cylinder(20, 50, 2048), np.pi * 400 * 50),
        (cone(20, 40, 2048), np.pi * 400 * 40 / 3),
        (ball(40, 6), 4 / 3 * np.pi * 40**3),
        (bored(box(40, 40, 40), cylinder(10, 60, 2048)), 40**3 - np.pi * 100 * 40),
        (bored(ball(40, 6), moved(box(100, 100, 100), z=70)), None),
    ],
    ids=["box", "cylinder", "cone", "ball", "cube with a hole", "ball without its cap"],
)
def test_volume_is_the_closed_forms(body, litres):
    """In mm3, to what the facets of the round ones leave: under 0.1 %. A cap of height h has pi h^2 (R - h/3)."""
    cap = np.pi * 20**2 * (40 - 20 / 3)
    expected = 4 / 3 * np.pi * 40**3 - cap if litres is None else litres
    found = check_closed(ours(body))
    assert found.closed and found.bodies == 1 and found.openings_count == 0
    assert found.volume_m3 == approx(expected * 1e-9, rel=1e-3)


def test_volume_moves_with_nothing_but_size():
    body = ours(turned(moved(cone(), 300, -20, 7), 37, (1, 2, 3)))
    assert volume_m3(body) == approx(volume_m3(ours(cone())), rel=1e-9)
    assert volume_m3(replace(body, corners_m=body.corners_m * 2)) == approx(8 * volume_m3(body))
    assert float(areas_m2(ours(box(10, 20, 30))).sum()) == approx(2200e-6)


def test_it_says_where_it_is_open_and_how_many_times():
    """A cube without its roof is open 4 x 40 mm round, at its height; without roof and floor twice."""
    whole = ours(box(40, 40, 40))
    normals = np.cross(whole.points_m[:, 1] - whole.points_m[:, 0], whole.points_m[:, 2] - whole.points_m[:, 0])
    roof, floor = normals[:, 2] > 1e-9, normals[:, 2] < -1e-9
    found = check_closed(replace(whole, triangles=whole.triangles[~roof]))
    assert not found.closed and found.volume_m3 is None and found.openings_count == 1
    (opening,) = found.openings
    assert opening.around_m == approx(0.160) and opening.edges == 4
    assert opening.middle_m.tolist() == approx([0, 0, 0.020])
    assert opening.in_words == "at x 0, y 0, z 20 mm, 160 mm round"
    both = check_closed(replace(whole, triangles=whole.triangles[~roof & ~floor]))
    assert both.openings_count == 2 and [o.around_m for o in both.openings] == approx([0.160, 0.160])


def test_flipped_triangles_are_counted_and_turned_back():
    good = ours(ball(40, 3))
    triangles = good.triangles.copy()
    triangles[::9] = triangles[::9, ::-1]
    found = check_closed(replace(good, triangles=triangles))
    assert found.flipped == len(triangles[::9]) and found.closed
    assert found.volume_m3 == approx(volume_m3(good))
    assert volume_m3(found.mesh) == approx(volume_m3(good))


def test_a_body_inside_out_is_turned_and_a_hollow_is_left():
    body, hole = ball(40, 4), ball(20, 3)
    hole.invert()
    hollow = check_closed(ours(together(body, hole)))
    assert (hollow.bodies, hollow.hollows, hollow.inside_out) == (1, 1, 0)
    assert hollow.volume_m3 == approx((body.volume - abs(hole.volume)) * 1e-9)
    other = moved(box(), 200)
    other.invert()
    beside = check_closed(ours(together(body, other)))
    assert (beside.bodies, beside.hollows, beside.inside_out) == (2, 0, 1)
    assert beside.volume_m3 == approx((body.volume + 6000) * 1e-9)


def test_bodies_that_overlap_count_once_when_joined():
    """Two boxes of 6000 mm3, half of each in the other."""
    two = check_closed(ours(together(box(), moved(box(), 5))))
    assert two.bodies == 2 and two.volume_m3 == approx(12000e-9)
    assert joined_m3(two.mesh) == approx(9000e-9)


def test_a_band_with_a_half_twist_has_one_side_only():
    steps = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    corners = [
        [(5 + w * np.cos(a / 2)) * np.cos(a), (5 + w * np.cos(a / 2)) * np.sin(a), w * np.sin(a / 2)]
        for a in steps for w in (-1, 1)
    ]  # fmt: skip
    ends = [(2 * at, 2 * at + 1) for at in range(40)] + [(1, 0)]
    faces = [f for (a, b), (c, d) in pairwise(ends) for f in ((a, b, c), (b, d, c))]
    found = check_closed(Mesh(corners_m=np.array(corners), triangles=np.array(faces, dtype=np.int64)))
    assert found.one_sided == 1 and not found.closed


def test_an_edge_of_more_than_two_triangles_is_no_skin():
    """Two boxes that share an edge: four triangles meet there."""
    touching = ours(together(box(10, 10, 10), moved(box(10, 10, 10), 10, 10)))
    corners, triangles, _ = merged(touching.corners_m, touching.triangles)
    found = check_closed(Mesh(corners_m=corners, triangles=triangles))
    assert found.shared == 1 and not found.closed


def test_many_loose_triangles_are_many_bodies_and_only_the_widest_openings_are_shown():
    corners = np.random.default_rng([7]).random((30_000, 3))
    found = check_closed(Mesh(corners_m=corners, triangles=np.arange(30_000).reshape(-1, 3)))
    assert found.bodies == 10_000 == found.openings_count and len(found.openings) == 12
    assert found.openings[0].around_m >= found.openings[-1].around_m


def test_corners_at_one_place_become_one_and_triangles_without_area_go():
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1e-12, 0], [0, 1, 0], [1, 1, 0.0]])
    kept, triangles, dropped = merged(corners, np.array([[0, 1, 2], [3, 5, 4], [1, 3, 5]]))
    assert len(kept) == 4 and len(triangles) == 2 and dropped == 1


def test_a_mesh_is_put_on_the_bed_in_its_middle():
    stood = on_the_bed(ours(moved(box(10, 20, 30), 400, 50, -90)))
    assert stood.low_m.tolist() == approx([-0.005, -0.01, 0]) and stood.high_m.tolist() == approx([0.005, 0.01, 0.03])


def test_no_mesh_without_triangles_or_with_numbers_that_are_none():
    for corners, triangles in (
        (np.zeros((3, 3)), np.empty((0, 3), dtype=np.int64)),
        (np.full((3, 3), np.nan), np.array([[0, 1, 2]])),
        (np.zeros((3, 2)), np.array([[0, 1, 2]])),
        (np.zeros((3, 3)), np.array([[0, 1, 3]])),
        (np.zeros((3, 3)), np.array([[0, 1, -1]])),
    ):
        with pytest.raises(Problem):
            Mesh(corners_m=corners, triangles=triangles)
