"""From beads to layers that carry: rings, squares, walls, cones, gaps and spirals made by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.strength_by_age import steady
from slake.path.carrying import stack_from
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.replay import Replayed, Travels, replay
from slake.path.series import Series
from slake.path.standing import Plain, Stack, laid_of_yield_stress, stack_of
from slake.path.stands_answer import stands
from slake.path.vessel import Wished, vessel_from_numbers
from slake.path.writing import write_gcode
from tests.path.test_pieces import PRINTER

HIGH, WIDE, SPEED = 0.0012, 0.003, 0.02


def replayed(start: np.ndarray, end: np.ndarray) -> Replayed:
    """Beads of one width and height, laid one after the other at one speed."""
    length = np.linalg.norm(end - start, axis=1)
    done = np.cumsum(length / SPEED)
    volume = length * WIDE * HIGH
    none, places = np.zeros(0), np.zeros(0, dtype=np.int64)
    travels = Travels(
        start_m=np.zeros((0, 3)),
        end_m=np.zeros((0, 3)),
        start_s=none,
        end_s=none,
        wait_s=none,
        pushed_m3=none,
        after=places,
        line=places,
    )
    return Replayed(
        start_m=start,
        end_m=end,
        start_s=done - length / SPEED,
        end_s=done,
        flow_m3_s=np.full(len(length), SPEED * WIDE * HIGH),
        volume_m3=volume,
        line=np.arange(len(length)) + 1,
        travels=travels,
        duration_s=float(done[-1]),
    )


def layered(outlines: list[np.ndarray]) -> Replayed:
    """Each outline (k, 2) one layer higher than the one before."""
    starts, ends = [], []
    for k, outline in enumerate(outlines):
        points = np.column_stack([outline, np.full(len(outline), (k + 1) * HIGH)])
        starts.append(points[:-1])
        ends.append(points[1:])
    return replayed(np.concatenate(starts), np.concatenate(ends))


def circle(radius: float, beads: int = 72) -> np.ndarray:
    turn = np.linspace(0, 2 * math.pi, beads + 1)
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


SQUARE = 0.06 * np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]], dtype=float)


def carried(path: Replayed, beads_across: int = 1) -> Stack:
    return stack_from(path, layers_of(path), beads_across)


def test_a_cylinder_is_the_ring_it_is() -> None:
    stack = carried(layered([circle(0.03)] * 12))
    assert stack.closed.all() and stack.radius_m == pytest.approx(np.full(12, 0.03), rel=0.01)
    assert stack.lean_deg == pytest.approx(np.zeros(12), abs=0.5) and not stack.span_m.any()
    assert stack.thickness_m == pytest.approx(np.full(12, HIGH))
    assert stack.area_m2 == pytest.approx(np.full(12, WIDE * HIGH), rel=1e-9)
    assert stack.contact_m[3] == pytest.approx(WIDE - math.pi / 4 * HIGH)
    assert stack.done_s[-1] == pytest.approx(12 * 2 * math.pi * 0.03 / SPEED, rel=0.01)


def test_a_path_and_the_same_ring_in_plain_words_get_one_answer() -> None:
    path = carried(layered([circle(0.03, 200)] * 60))
    plain = Plain(
        layers=60,
        layer_height_m=HIGH,
        layer_s=float(path.done_s[0]),
        wall_m=float(path.wall_m[0]),
        contact_m=float(path.contact_m[0]),
        radius_m=0.03,
        closed=True,
    )
    laid = laid_of_yield_stress(steady(600.0, 0.1), np.array([200.0]), np.array([1500.0]))
    one, other = stands(path, laid), stands(stack_of(plain), laid)
    assert one.earliest.layers == pytest.approx(other.earliest.layers, rel=0.01)
    assert one.latest.layers == pytest.approx(other.latest.layers, rel=0.01)


def test_a_square_box_has_straight_sides_of_its_length() -> None:
    stack = carried(layered([SQUARE] * 5))
    assert stack.closed.all() and np.all(np.isinf(stack.radius_m))
    assert stack.plan_m == pytest.approx(np.full(5, 0.06), rel=0.01)


def test_a_straight_wall_laid_to_and_fro_is_open() -> None:
    there, back = np.array([[0.0, 0.0], [0.1, 0.0]]), np.array([[0.1, 0.0], [0.0, 0.0]])
    stack = carried(layered([there, back, there, back]))
    assert not stack.closed.any() and np.all(np.isinf(stack.radius_m))
    assert stack.plan_m == pytest.approx(np.full(4, 0.1))


@pytest.mark.parametrize("lean", [-25.0, 20.0, 35.0])
def test_a_cone_leans_as_drawn(lean: float) -> None:
    radii = 0.04 + HIGH * math.tan(math.radians(lean)) * np.arange(10)
    stack = carried(layered([circle(r, 144) for r in radii]))
    assert stack.lean_deg[1:] == pytest.approx(np.full(9, lean), abs=1.0)


def test_a_bridge_is_a_span() -> None:
    """A wall with a door 20 mm wide in its three lowest layers, bridged by the fourth."""
    left = np.array([[0.0, 0.0], [0.04, 0.0]])
    path = layered([left, left, left, np.array([[0.0, 0.0], [0.06, 0.0]])])
    stack = carried(path)
    half = (stack.contact_m[2] + stack.wall_m[3]) / 2
    assert stack.span_m[3] == pytest.approx(0.02 - half, abs=0.002)
    assert not stack.span_m[:3].any()


def test_a_spiral_is_turns_of_a_ring() -> None:
    turn = np.linspace(0, 2 * math.pi * 10, 721)
    points = np.column_stack([0.03 * np.cos(turn), 0.03 * np.sin(turn), HIGH * turn / (2 * math.pi)])
    stack = carried(replayed(points[:-1], points[1:]))
    assert len(stack.done_s) == 10 and stack.closed.all()
    assert stack.radius_m == pytest.approx(np.full(10, 0.03), rel=0.02)
    assert stack.lean_deg == pytest.approx(np.zeros(10), abs=3.0)


def test_the_rest_of_a_turn_at_the_top_of_a_spiral_is_left_out() -> None:
    turn = np.linspace(0, 2 * math.pi * 10.1, 728)
    points = np.column_stack([0.03 * np.cos(turn), 0.03 * np.sin(turn), HIGH * turn / (2 * math.pi)])
    stack = carried(replayed(points[:-1], points[1:]))
    assert len(stack.done_s) == 10


def test_a_floor_carries_as_the_wall_on_it() -> None:
    """Two filled layers under a ring: still a ring, and as strong as the ring alone but for its height."""
    rows = np.arange(-0.032, 0.033, 0.003)
    to_and_fro = [[side * (-1) ** i, y] for i, y in enumerate(rows) for side in (-0.032, 0.032)]
    stack = carried(layered([np.array(to_and_fro)] * 2 + [circle(0.03)] * 10))
    assert stack.closed.all() and stack.radius_m == pytest.approx(np.full(12, 0.03), rel=0.01)
    assert not stack.span_m.any()


def test_two_walls_in_one_layer_are_not_joined_by_the_travel_between() -> None:
    """The travel bears nothing: a bridge laid above it is a span."""
    left, right = np.array([[0.0, 0.0], [0.04, 0.0]]), np.array([[0.07, 0.0], [0.11, 0.0]])
    bridge = np.array([[0.0, 0.0], [0.11, 0.0]])
    parts, tops = [left, right] * 3 + [bridge], [1, 1, 2, 2, 3, 3, 4]
    points = [np.column_stack([p, np.full(2, t * HIGH)]) for p, t in zip(parts, tops, strict=True)]
    stack = carried(replayed(np.stack([p[0] for p in points]), np.stack([p[1] for p in points])))
    reach = stack.contact_m[2] + stack.wall_m[3]
    assert len(stack.done_s) == 4 and not stack.closed.any()
    assert stack.span_m[3] == pytest.approx(0.03 - reach, abs=0.004)


def test_short_beads_are_read_as_long_ones() -> None:
    long, short = carried(layered([circle(0.03, 60)] * 5)), carried(layered([circle(0.03, 3000)] * 5))
    assert short.radius_m == pytest.approx(long.radius_m, rel=0.01)
    assert short.lean_deg == pytest.approx(long.lean_deg, abs=0.5)
    cones = [carried(layered([circle(0.03 + 0.0004 * k, n) for k in range(5)])).lean_deg[1:] for n in (144, 3000)]
    assert cones[0] == pytest.approx(cones[1], abs=0.6)


def test_beads_side_by_side_make_a_wider_wall() -> None:
    path = layered([circle(0.03)] * 3)
    assert carried(path, 2).area_m2 == pytest.approx(2 * carried(path).area_m2)
    assert carried(path, 2).contact_m[0] > 2 * carried(path).contact_m[0]


@pytest.mark.parametrize("bad", [0, -1, 1000])
def test_beads_across_that_cannot_be_are_refused(bad: int) -> None:
    with pytest.raises(OutsideRange):
        carried(layered([circle(0.03)] * 3), bad)


def test_a_layer_without_paste_is_refused_in_a_sentence() -> None:
    path = layered([circle(0.03)] * 3)
    path.volume_m3[72:144] = 0.0
    with pytest.raises(DoesNotFit, match="no paste"):
        carried(path)


def test_a_vessel_made_from_numbers_stands_on_its_floor_with_nothing_over_nothing() -> None:
    """Its wall starts with a quarter of a turn that does not climb: that is no layer of its own."""
    numbers = Series(numbers=np.ones(5), heading="", columns=1)
    made = vessel_from_numbers(numbers, Wished(height_m=0.05, radius_m=0.03, swing_m=0.0), PRINTER)
    path = replay(read_gcode(write_gcode([made.run], PRINTER).encode(), PRINTER.pushed))
    found = layers_of(path)
    assert found.spiral and found.height_m[:3] * 1e3 == pytest.approx([1.2, 2.4, 3.6], abs=0.01)
    stack = stack_from(path, found)
    assert not stack.span_m.any() and np.all(np.abs(stack.lean_deg) < 0.5)
    wide = stack.wall_m[:-1]
    assert wide == pytest.approx(np.full(len(wide), wide[10]), rel=0.01), "but the rim, which runs out"
    assert stack.radius_m[5:] == pytest.approx(np.full(len(stack.radius_m) - 5, 0.03), rel=0.01)
