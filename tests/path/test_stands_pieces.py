"""slake's own test pieces, through their G-code: the wall and the tube are what they were drawn as."""

from __future__ import annotations

import numpy as np
import pytest

from slake.ground.evidence import Range
from slake.path.beads import Printer
from slake.path.carrying import stack_from
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.pieces import Piece, gcode_of
from slake.path.pieces_reach import overhang_fan, span_ladder
from slake.path.pieces_standing import failing_tube, failing_wall
from slake.path.pushing import ram_mm
from slake.path.replay import replay
from slake.path.sizes import Bed
from slake.path.standing import Stack
from slake.path.stands_answer import stands
from slake.path.stands_paste import PasteRanges, laid_of_ranges

PRINTER = Printer(
    nozzle_m=0.002,
    bead_m=0.0024,
    layer_height_m=0.0012,
    speed_m_s=0.02,
    travel_m_s=0.06,
    bed=Bed(x_m=0.22, y_m=0.22, z_m=0.25),
    pushed=ram_mm(0.06),
)
PASTE = laid_of_ranges(
    PasteRanges(yield_stress_pa=Range(low=800, mid=1000, high=1300)),
    np.random.default_rng(8).standard_normal((60, 4)),
)


def stack_of_piece(piece: Piece) -> Stack:
    path = replay(read_gcode(gcode_of(piece).encode(), PRINTER.pushed))
    return stack_from(path, layers_of(path))


def test_the_wall_until_it_falls_is_an_open_wall_and_falls() -> None:
    stack = stack_of_piece(failing_wall(PRINTER))
    assert not stack.closed.any() and np.all(np.isinf(stack.radius_m))
    assert stack.plan_m == pytest.approx(np.full(len(stack.plan_m), 0.15), rel=0.02)
    assert stack.area_m2 == pytest.approx(np.full(len(stack.area_m2), 0.0024 * 0.0012), rel=0.05)
    found = stands(stack, PASTE)
    assert found.latest.falls and found.latest.name == "wall folds"


def test_the_tube_until_it_falls_is_a_ring_and_stands_higher_than_the_wall() -> None:
    stack = stack_of_piece(failing_tube(PRINTER))
    assert stack.closed.all() and stack.radius_m == pytest.approx(np.full(len(stack.radius_m), 0.03), rel=0.03)
    assert np.all(np.abs(stack.lean_deg) < 3) and not stack.span_m.any()
    tube, wall = stands(stack, PASTE), stands(stack_of_piece(failing_wall(PRINTER)), PASTE)
    assert tube.earliest.height_m >= wall.earliest.height_m * 0.99
    assert tube.latest.height_m > 1.5 * wall.latest.height_m


@pytest.mark.parametrize("piece", [overhang_fan, span_ladder])
def test_pieces_that_reach_out_are_answered(piece) -> None:
    found = stands(stack_of_piece(piece(PRINTER)), PASTE)
    assert found.earliest.layers <= found.latest.layers


def test_a_ladder_of_spans_has_its_widest_span() -> None:
    stack = stack_of_piece(span_ladder(PRINTER))
    assert stack.span_m.max() > 0.004


def test_a_widest_span_that_the_paste_cannot_bridge_sags() -> None:
    """Spans of the ladder reach further than 1 kPa bears at both ends: the beads on it sag, nothing leans."""
    found = stands(stack_of_piece(span_ladder(PRINTER)), PASTE)
    assert found.earliest.name == "span sags" and found.earliest.falls
