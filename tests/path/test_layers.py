"""Layers found from heights alone, and turns of a spiral, against how the path was made."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from slake.path.gcode import read_gcode
from slake.path.layers import Layers, layers_of, turns_of
from slake.path.pushing import millilitres, ram_mm
from slake.path.replay import Replayed, replay
from slake.path.series import Series
from slake.path.vessel import Wished, vessel_from_numbers
from slake.path.writing import write_gcode
from tests.path.paths import LAYER_M, WALL_M, rings, tube
from tests.path.test_pieces import PRINTER


def path_of(content: bytes) -> Replayed:
    return replay(read_gcode(content, ram_mm(0.06)))


def layers(content: bytes) -> Layers:
    return layers_of(path_of(content))


def test_rings_come_out_layer_by_layer():
    found = layers(rings(5, ((60, 60), (120, 60))))
    assert not found.spiral and len(found.height_m) == 5
    assert found.height_m.tolist() == approx([LAYER_M * n for n in range(1, 6)])
    assert found.thickness_m.tolist() == approx([LAYER_M] * 5)
    assert found.length_m.tolist() == approx([2 * 60 * 2 * 20e-3 * math.sin(math.pi / 60)] * 5, rel=1e-4)
    assert np.bincount(found.layer).tolist() == [120] * 5
    assert found.width_m.tolist() == approx([WALL_M] * 5, rel=0.01)
    assert np.all(found.end_s > found.start_s) and np.all(np.diff(found.start_s) > 0)


def test_layers_printed_one_part_after_the_other_are_found_by_height():
    lower, upper = rings(4), rings(4, ((120, 60),))
    found = layers(lower + upper)
    assert found.height_m.tolist() == approx([LAYER_M * n for n in range(1, 5)])
    assert np.bincount(found.layer).tolist() == [120] * 4
    assert found.layer[240] == 0


def test_heights_within_ten_micrometres_are_one_layer():
    text = "M83\nG1 F600\n" + "".join(
        f"G0 Z{z}\nG1 X{10 * (n % 2)} E1\n" for n, z in enumerate([1, 1.004, 2, 2.0, 3.5], 1)
    )
    found = layers_of(replay(read_gcode(text.encode(), millilitres())))
    assert found.height_m.tolist() == approx([0.001004, 0.002, 0.0035])


def test_a_spiral_reports_its_turns_and_heights():
    path = path_of(tube(height_m=0.06))
    found = layers_of(path)
    assert found.spiral and len(found.height_m) == 50
    assert found.turn[-1] == approx(50, abs=0.02)
    assert found.turn == approx(np.arange(1, len(found.turn) + 1) / 200, abs=0.01)
    assert found.height_m[1:] == approx(np.arange(2, 51) * LAYER_M, abs=0.01 * LAYER_M)
    assert found.width_m[1:] == approx(np.full(49, WALL_M), rel=0.02)


def test_a_spiral_whose_heights_are_written_too_coarsely_is_still_one():
    """Heights to a tenth of a millimetre: most beads are flat, and every step up is a bead's."""
    text = "M83\nG1 F600\n" + "".join(
        f"G1 X{20 * math.cos(n / 20):.4f} Y{20 * math.sin(n / 20):.4f} Z{1.2 * n / 125.66:.1f} E0.01\n"
        for n in range(1, 1260)
    )
    found = layers_of(replay(read_gcode(text.encode(), millilitres())))
    assert found.spiral and len(found.height_m) in (10, 11)


def test_waves_up_and_down_in_a_layer_are_no_spiral():
    text = "M83\nG1 F600 Z1\n" + "".join(f"G1 X{n} Z{1 + 0.1 * (n % 2)} E0.1\n" for n in range(1, 40))
    assert not layers_of(replay(read_gcode(text.encode(), millilitres()))).spiral


def test_turns_do_not_ask_where_the_middle_is():
    """A square that wanders far sideways as it rises, and a star: each round is one turn, either way round."""
    for way in (1, -1):
        for corners in (
            [(0, 0), (9, 0), (9, 9), (0, 9)],
            [(0, 0), (20, 9), (40, 0), (31, 20), (40, 40), (20, 31), (0, 40), (9, 20)],
        ):
            points = [(x + 3 * turn, y) for turn in range(10) for x, y in corners[::way]]
            ends = np.array([*points[1:], (30 + points[0][0], points[0][1])], dtype=float)
            starts = np.array(points, dtype=float)
            assert turns_of(starts, ends)[-1] == approx(10, abs=0.4)


def test_a_spiral_on_a_flat_bottom_counts_bottom_layers_first():
    rows = b"".join(b"G0 Y%d\nG1 X%d E0.01\n" % (row, 30 * (row % 2)) for row in range(1, 20))
    ramp = b"G21\nG90\nM83\nG1 F1200\nG0 X-20 Y-20\nG1 X0 Z0.3 E0.01\n"
    bottom = ramp + b"G0 X0 Y0 Z1.2\n" + rows
    spiral = "".join(
        f"G1 X{20 * math.cos(n / 10):.4f} Y{20 * math.sin(n / 10):.4f} Z{1.2 + 1.2 * n / 62.83:.5f} E0.002\n"
        for n in range(1, 629)
    )
    found = layers(bottom + b"G0 X20 Y0\n" + spiral.encode())
    assert found.spiral
    assert found.layer[:20].tolist() == [0] + [1] * 19 and found.turn[:20].tolist() == [0] * 20
    assert int(found.layer.max()) in (11, 12)
    assert found.height_m[:2].tolist() == approx([0.0003, 0.0012])
    assert found.turn[-1] == approx(10, abs=0.1)


def test_a_bed_at_another_height():
    found = layers_of(path_of(rings(2)), bed_m=-0.001)
    assert found.height_m.tolist() == approx([0.0022, 0.0034]) and found.thickness_m[0] == approx(0.0022)


@pytest.mark.parametrize("floor", [0, 2])
def test_a_foot_laid_flat_before_the_wall_climbs_is_of_the_first_turn(floor: int):
    """A made tube begins a quarter of a turn at one height: on the bed, or a step above its floor."""
    made = vessel_from_numbers(
        Series(numbers=np.ones(5), heading="", columns=1),
        Wished(height_m=0.03, radius_m=0.03, swing_m=0.0, floor_layers=floor),
        PRINTER,
    )
    found = layers_of(replay(read_gcode(write_gcode([made.run], PRINTER).encode(), PRINTER.pushed)))
    assert found.spiral and found.thickness_m[:-1] == approx(np.full(len(found.thickness_m) - 1, 0.0012), rel=0.01)
    assert float(found.turn[found.layer < floor].max(initial=0.0)) == 0.0


def test_a_whole_ring_under_a_spiral_stays_a_layer():
    lines = [b"G21", b"G90", b"M83", b"G1 F1200", b"G0 X40 Y0 Z1.2"]
    turn = [2 * math.pi * place / 60 for place in range(1, 61)]
    lines += [b"G1 X%.4f Y%.4f E0.004" % (40 * math.cos(a), 40 * math.sin(a)) for a in turn]
    lines += [
        b"G1 X%.4f Y%.4f Z%.4f E0.004" % (40 * math.cos(a), 40 * math.sin(a), 1.2 + 1.2 * (k + a / (2 * math.pi)))
        for k in range(6)
        for a in turn
    ]
    found = layers_of(replay(read_gcode(b"\n".join([*lines, b""]), ram_mm(0.06))))
    assert found.spiral and found.height_m[0] == approx(0.0012) and len(found.height_m) in (7, 8)
