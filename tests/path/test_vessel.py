"""Form from numbers: gentle enough for the paste, closed as a mesh, one spiral as a path, of one volume."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, NotANumber, NotEnoughEvidence, OutsideRange, Problem
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.mesh_checks import check_closed
from slake.path.replay import replay
from slake.path.sections import cuts_at, level_heights_m, solid_of
from slake.path.series import Series, read_series
from slake.path.shrinking import Direction, Foreseen
from slake.path.softening import Bears, soften
from slake.path.spans import spans_beyond
from slake.path.spiral import Laying, joined, spiral_floor, spiral_wall
from slake.path.vessel import (
    Wished,
    interpolated,
    mesh_lean_deg,
    radius_by_height,
    surface_by_turns,
    vessel_from_numbers,
    wet_of,
)
from slake.path.vessel_mesh import vessel_mesh
from slake.path.writing import write_gcode
from tests.path.test_pieces import PRINTER

WALK = Series(numbers=np.cumsum(np.random.default_rng([5]).normal(size=80)), heading="rain", columns=1)
GENTLE = Series(numbers=np.sin(np.linspace(0, math.pi, 60)), heading="", columns=1)
WISHED = Wished(height_m=0.08, radius_m=0.04, swing_m=0.015)


@pytest.mark.parametrize("follow", [radius_by_height, surface_by_turns(9)], ids=["radius", "surface"])
@pytest.mark.parametrize("series", [WALK, GENTLE], ids=["walk", "gentle"])
@pytest.mark.parametrize("floor", [0, 1, 2])
def test_a_series_becomes_a_closed_mesh_and_one_spiral_of_its_volume(follow, series: Series, floor: int):
    vessel = vessel_from_numbers(series, replace(WISHED, floor_layers=floor), PRINTER, follow=follow)
    body = check_closed(vessel.mesh)
    assert body.closed and body.bodies == 1 and body.flipped == 0 and body.inside_out == 0
    laid = replay(read_gcode(write_gcode([vessel.run], PRINTER, vessel.says).encode(), PRINTER.pushed))
    assert float(laid.volume_m3.sum()) == approx(body.volume_m3, rel=0.02)
    assert vessel.paste_m3 == approx(body.volume_m3, rel=0.02)
    assert set(laid.travels.after.tolist()) == {-1, len(laid.line) - 1}, (
        "travels only before the first and after the last"
    )
    found = layers_of(laid)
    assert found.spiral and found.turn[-1] == approx(vessel.turns + 1, abs=1)
    assert float(laid.end_m[:, 2].max()) == approx(float(vessel.mesh.high_m[2]), abs=1e-6)


@pytest.mark.parametrize("degrees", [15.0, 30.0, 40.0])
@pytest.mark.parametrize("follow", [radius_by_height, surface_by_turns(7)], ids=["radius", "surface"])
def test_every_slope_and_span_stays_within_what_the_paste_bears(follow, degrees: float):
    """Seen from outside: on the path, on the mesh's triangles, and in its level cuts."""
    bears = Bears(lean_deg=Range(low=degrees, mid=degrees, high=degrees))
    vessel = vessel_from_numbers(WALK, replace(WISHED, floor_layers=0), PRINTER, bears, follow)
    assert vessel.lean_deg <= degrees + 1e-6
    assert mesh_lean_deg(vessel) <= degrees + 1.5
    heights, step = level_heights_m(float(vessel.mesh.size_m[2]), PRINTER.layer_height_m, 200)
    spans = spans_beyond(cuts_at(solid_of(vessel.mesh), heights), step, degrees + 1.5)
    assert spans.widest_m <= 0.3 * PRINTER.bead_m and spans.beyond == ()


def test_beads_keep_half_on_the_bead_below_even_where_the_paste_would_bear_more():
    bears = Bears(lean_deg=Range(low=70, mid=75, high=80))
    assert bears.slope(0.0024, 0.0012) == approx(1.0)
    assert Bears().slope(0.0024, 0.0012) == approx(math.tan(math.radians(30)))


def test_what_was_softened_is_said_and_a_gentle_series_is_left_as_it_is():
    wild = vessel_from_numbers(WALK, WISHED, PRINTER)
    assert wild.softened.share > 0.1 and wild.softened.places
    assert any("% of the surface was softened, by up to" in line for line in wild.says)
    assert any("it would hardly need softening" in line for line in wild.says)
    assert np.abs(wild.softened.made_m - wild.softened.wished_m).max() == approx(wild.softened.most_m)
    calm = vessel_from_numbers(GENTLE, replace(WISHED, swing_m=0.005), PRINTER)
    assert calm.softened.most_m < 1e-9 and "nothing had to be softened" in calm.says
    gentler = vessel_from_numbers(WALK, replace(WISHED, swing_m=float(_said_mm(wild.says)) / 1000 * 0.99), PRINTER)
    assert gentler.softened.most_m < 1e-4, "what it advises is so"


def _said_mm(says: tuple[str, ...]) -> str:
    (line,) = (line for line in says if line.startswith("moved by"))
    return line.split()[2]


def test_no_gentle_surface_is_nearer_to_a_step_than_the_one_made():
    """A step of 10 over nothing, slope 1 with a metre between: the nearest ramp misses it by half of 10 less 1."""
    wished = np.array([[5.0], [5.0], [15.0], [15.0]])
    found = soften(wished, np.arange(4.0), 1.0, (0.0, 100.0))
    assert found.most_m == approx(4.5)
    assert np.abs(np.diff(found.made_m, axis=0)).max() <= 1 + 1e-12
    assert soften(found.made_m, np.arange(4.0), 1.0, (0.0, 100.0)).most_m == approx(0, abs=1e-12)


def test_a_made_surface_is_gentle_round_too_over_its_seam():
    rng = np.random.default_rng([2])
    found = soften(rng.uniform(20, 60, (30, 90)), np.arange(30.0), 0.5, (10.0, 100.0))
    assert np.abs(np.diff(found.made_m, axis=0)).max() <= 0.5 + 1e-9
    around = np.diff(found.made_m, axis=1, append=found.made_m[:, :1])
    assert np.abs(around).max() <= 20 * 2 * math.pi / 90 * 1.05
    held = soften(np.array([[1.0], [200.0]]), np.arange(2.0), 1e9, (10.0, 100.0))
    assert held.made_m.ravel().tolist() == [10, 100]


def test_a_cylinder_and_a_cone_have_their_closed_forms_volume():
    """A tube of radius 30, wall 2, height 40: 2 pi r w h; a cone's ring by the mean radius; a floor pi (r + w/2)^2."""
    heights = np.array([0.0, 0.04])
    tube = interpolated(np.full((2, 1), 0.03), heights)
    cone = interpolated(np.array([[0.03], [0.05]]), heights)
    ring = 2 * math.pi * 0.002 * 0.04
    laying = Laying(bead_m=0.002, layer_height_m=0.001)
    for radius, mean in ((tube, 0.03), (cone, 0.04)):
        mesh = vessel_mesh(radius, 0.04, 0.002, 0.0, 0.0005)
        assert check_closed(mesh).volume_m3 == approx(ring * mean, rel=1e-3)
        run = spiral_wall(radius, 0.04, laying)
        assert float(run.volume_m3.sum()) == approx(ring * mean, rel=2e-3)
    for layers in (1, 2, 3):
        floor = joined(spiral_floor(tube, layers, laying))
        assert float(floor.volume_m3.sum()) == approx(layers * math.pi * 0.031**2 * 0.001, rel=0.01)
        assert floor.points_m[-1].tolist() == approx([0.03, 0, layers * 0.001], abs=1e-9)


def test_the_series_is_followed_from_foot_to_rim_and_wound_round():
    rising = np.linspace(-1, 1, 11)
    assert radius_by_height(rising, np.linspace(0, 1, 21)).ravel() == approx(np.linspace(-1, 1, 21))
    many = radius_by_height(np.linspace(-1, 1, 1000), np.linspace(0, 1, 10)).ravel()
    assert (np.diff(many) > 0).all() and many[0] == approx(-0.9, abs=0.01)
    saw = np.tile(np.linspace(-1, 1, 50, endpoint=False), 4)
    wound = surface_by_turns(4)(saw, np.array([0.5]))
    assert wound.shape == (1, 360) and wound[0, 90] == approx(-0.5, abs=0.15) and wound[0, 270] == approx(0.5, abs=0.15)
    for turns in (0, -3, 10**6):
        with pytest.raises(OutsideRange):
            surface_by_turns(turns)


def test_a_vessel_is_printed_larger_so_that_it_dries_to_the_wished_size():
    plan = Foreseen(direction=Direction.ALONG, shrinkage=Range(low=0.06, mid=0.072, high=0.08), bars=3)
    upright = Foreseen(direction=Direction.UPRIGHT, shrinkage=Range(low=0.08, mid=0.091, high=0.1), bars=3)
    wet = wet_of(WISHED, plan, upright)
    assert (wet.radius_m * (1 - 0.072), wet.height_m * (1 - 0.091)) == approx((0.04, 0.08))
    assert wet.swing_m * (1 - 0.072) == approx(0.015) and wet.floor_layers == WISHED.floor_layers


def test_a_series_of_one_value_is_a_cylinder():
    vessel = vessel_from_numbers(Series(numbers=np.full(10, 7.0), heading="", columns=1), WISHED, PRINTER)
    assert vessel.softened.made_m.ravel() == approx(0.04) and vessel.lean_deg == 0


@pytest.mark.parametrize(
    ("wished", "says"),
    [
        ({"height_m": 0.3}, "there is room for 220 and 250 mm"),
        ({"radius_m": 0.2}, "mm wide and"),
        ({"radius_m": 0.016, "swing_m": 0.015}, "make it wider"),
    ],
)
def test_vessels_that_do_not_fit_are_refused_in_one_sentence(wished: dict[str, float], says: str):
    with pytest.raises(Problem, match=says):
        vessel_from_numbers(WALK, replace(WISHED, **wished), PRINTER)


def test_bad_wishes_and_bad_limits_are_refused():
    for bad in ({"height_m": 0}, {"radius_m": math.nan}, {"swing_m": 0.05}, {"swing_m": -1}, {"floor_layers": 99}):
        with pytest.raises(OutsideRange):
            replace(WISHED, **bad)
    for low, mid, high in ((0, 1, 2), (80, 90, 95), (-3, -2, -1)):
        with pytest.raises(OutsideRange):
            Bears(lean_deg=Range(low=low, mid=mid, high=high))
    with pytest.raises(OutsideRange):
        Laying(bead_m=0.002, layer_height_m=0)


@pytest.mark.parametrize(
    ("text", "numbers", "heading"),
    [
        ("1\n2\n3\n", [1, 2, 3], ""),
        ("rain (mm)\n1,5\n2\n3,25\n", [1.5, 2, 3.25], "rain (mm)"),
        ("day;rain\n2024-05-01;1,5\n2024-05-02;0\n2024-05-03;7\n", [1.5, 0, 7], "rain"),
        ("day,t,rain\n1,20,4\n2,21,5\n3,22,6\n", [4, 5, 6], "rain"),
        ("\ufeffa\tb\n1\t-2e1\n\n1\t3\n1\t4\n", [-20, 3, 4], "b"),
        ('"a";"b"\n"1";"2"\n"1";"3"\n"1";"4"\n', [2, 3, 4], "b"),
    ],
)
def test_a_table_is_read_as_the_bench_types_numbers(text: str, numbers: list[float], heading: str):
    found = read_series(text.encode())
    assert found.numbers.tolist() == numbers and found.heading == heading


def test_a_column_can_be_asked_for():
    content = b"day;rain;note\n1;5;x\n2;6;y\n3;7;z\n"
    assert read_series(content, 1).numbers.tolist() == [1, 2, 3]
    assert read_series(content).heading == "rain"
    with pytest.raises(OutsideRange, match="column is 9"):
        read_series(content, 9)
    with pytest.raises(NotANumber, match="line 2, column 3"):
        read_series(content, 3)


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"", NotEnoughEvidence),
        (b"1\n2\n", NotEnoughEvidence),
        (b"a\nb\nc\nd\n", NotANumber),
        (b"1\n2\nthree\n4\n", NotANumber),
        (b"1\n2\nnan\n4\n", NotANumber),
        (b"1\n2\n1e30\n4\n", OutsideRange),
        (b"1\0\n2\n3\n", Problem),
        (b"1\n" * 200_000, OutsideRange),
        (b"1" * 6_000_000, Problem),
    ],
)
def test_tables_that_are_none_are_one_sentence(content: bytes, kind: type[Problem]):
    with pytest.raises(kind) as found:
        read_series(content)
    assert "\n" not in str(found.value) and len(str(found.value)) < 250


def test_an_unlike_radius_is_refused_before_a_path_is_made():
    with pytest.raises(OutsideRange):
        spiral_wall(lambda turn, height: np.full(turn.shape, np.nan), 0.01, Laying(bead_m=0.002, layer_height_m=0.001))
    with pytest.raises(OutsideRange, match="stretches of the path"):
        spiral_wall(
            lambda turn, height: np.full(turn.shape, 0.5),
            2.0,
            Laying(bead_m=0.002, layer_height_m=0.0005, stretch_m=1e-4),
        )
    with pytest.raises(DoesNotFit):
        vessel_from_numbers(WALK, replace(WISHED, height_m=0.24, floor_layers=20), PRINTER)
