"""Test pieces: each lays what its mesh holds, knows its reading, fits its label, and stays on the bed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from slake.bench import shelf
from slake.bench.declaration import Raw
from slake.bench.own import declared
from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.path.beads import (
    Printer,
    Run,
    bead,
    circle,
    filled,
    moved,
    pushed_m3,
    to_and_fro,
    usual_bead_m,
    usual_layer_m,
)
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.mesh_checks import check_closed
from slake.path.pieces import Piece, gcode_of, label_of, strip
from slake.path.pieces_all import EVERY_PIECE
from slake.path.pieces_bars import bend_bars, crack_ring, flow_factor, purge_line, shrinkage_bar
from slake.path.pieces_reach import all_at, lean_at, overhang_fan, span_ladder
from slake.path.pieces_standing import failing_tube, failing_wall
from slake.path.pushing import Pushed, filament_mm, millilitres, ram_mm
from slake.path.replay import Replayed, replay
from slake.path.sizes import Bed
from slake.path.slopes import leans_deg
from slake.path.writing import write_gcode

PRINTER = Printer(
    nozzle_m=0.002,
    bead_m=0.0024,
    layer_height_m=0.0012,
    speed_m_s=0.02,
    travel_m_s=0.06,
    bed=Bed(x_m=0.22, y_m=0.22, z_m=0.25),
    pushed=ram_mm(0.06),
)
PIECES = tuple(EVERY_PIECE.values())
COARSE = replace(PRINTER, nozzle_m=0.004, bead_m=0.005, layer_height_m=0.002, pushed=millilitres())
ROUND = replace(PRINTER, bed=Bed(x_m=0.24, y_m=0.24, z_m=0.3, round=True), pushed=filament_mm(0.00175))


def replayed(text: str, pushed: Pushed = PRINTER.pushed) -> Replayed:
    return replay(read_gcode(text.encode(), pushed))


@pytest.mark.parametrize("printer", [PRINTER, COARSE, ROUND], ids=["2 mm", "4 mm in mL", "round bed"])
@pytest.mark.parametrize("make", PIECES, ids=lambda make: make.__name__)
def test_its_gcode_lays_what_its_mesh_holds(make, printer: Printer):
    """Within 2 %, as told in the machine's own E, read back by the room that replays paths."""
    piece = make(printer)
    body = check_closed(piece.mesh)
    laid = replayed(gcode_of(piece, "b7"), printer.pushed)
    assert body.closed and body.volume_m3 is not None and body.hollows == 0
    assert float(laid.volume_m3.sum()) == approx(body.volume_m3, rel=0.02)
    assert float(laid.volume_m3.sum()) == approx(piece.paste_m3, rel=1e-3)
    assert (laid.volume_m3 > 0).all()
    half = printer.bead_m / 2
    low, high = laid.end_m.min(axis=0), laid.end_m.max(axis=0)
    assert low[:2].tolist() == approx(piece.mesh.low_m[:2].tolist(), abs=1.5 * half)
    assert high[:2].tolist() == approx(piece.mesh.high_m[:2].tolist(), abs=1.5 * half)
    assert float(laid.end_m[:, 2].max()) == approx(float(piece.mesh.high_m[2]), abs=1e-5)


@pytest.mark.parametrize("make", PIECES, ids=lambda make: make.__name__)
def test_it_knows_its_reading_and_its_label(make):
    piece = make(PRINTER)
    if piece.reading:
        test = shelf.test_named(piece.reading)
        names = {item.name for item in test.inputs}
        names |= {column.name for column in test.rows.columns} if test.rows else set()
        assert set(piece.already) <= names, "what it already knows are inputs of that test"
    else:
        assert piece.own is not None and piece.own.key not in shelf.all_tests()
        assert declared(piece.own).quick(5.0).numbers[piece.own.key] > 0
    lines = label_of(piece, "batch 12 of 3 May", 2)
    assert lines[0] == f"{piece.title} 2, batch 12 of 3 May" and "nozzle 2, bead 2.4, layer 1.2 mm" in lines
    assert lines[-1] == f"reads: {piece.reads.replace('_', ' ')}"
    assert all(len(line) <= 60 for line in lines)
    text = gcode_of(piece, "b(1);\nM112")
    assert "crushes" in text
    assert not any("M112" in line for line in text.splitlines() if not line.startswith("; "))


def test_what_the_wall_already_knows_makes_a_whole_reading():
    wall = failing_wall(PRINTER)
    test = shelf.test_named("layers_stood")
    raw = test.quick(9)
    assert wall.already == {"layer_height_mm": approx(1.2)}
    assert raw.numbers["layer_height_mm"] == approx(0.0012)


def test_the_bar_is_of_whole_beads_and_layers_and_full():
    """120 x 14.4 x 6 mm: six beads of 2.4, five layers of 1.2."""
    bar = shrinkage_bar(PRINTER)
    assert bar.mesh.size_m.tolist() == approx([0.12, 0.0144, 0.006])
    assert bar.paste_m3 == approx(0.12 * 0.0144 * 0.006, rel=1e-9)
    assert len(layers_of(replayed(gcode_of(bar))).height_m) == 5
    assert bar.already == {"wet_across_mm": approx(14.4), "wet_height_mm": approx(6)}
    six = bend_bars(PRINTER)
    assert check_closed(six.mesh).bodies == 6 and six.paste_m3 == approx(6 * 0.08 * 0.0096 * 0.006, rel=1e-9)


def test_wall_and_tube_go_on_until_they_fail():
    """One bead in every layer; the tube is one spiral that never travels."""
    wall = layers_of(replayed(gcode_of(failing_wall(PRINTER, 0.1))))
    assert len(wall.height_m) == 83 and wall.thickness_m == approx(0.0012, abs=1e-6)
    assert wall.width_m == approx(0.0024, rel=1e-3)
    laid = replayed(gcode_of(failing_tube(PRINTER, 0.06)))
    tube = layers_of(laid)
    assert tube.spiral and (laid.travels.after[:-1] < 0).all() and tube.turn[-1] == approx(51, abs=0.3)
    assert float(np.hypot(*laid.end_m[:, :2].T).min()) == approx(0.03, abs=1e-5)
    low = failing_wall(replace(PRINTER, bed=Bed(x_m=0.22, y_m=0.22, z_m=0.05)))
    assert low.mesh.size_m[2] == approx(0.05 - 6 * 0.0012, abs=0.0012)


def test_the_fan_leans_from_ten_to_sixty_degrees_as_it_says():
    """At 60 degrees of lean the collar's rim is further out than at 10 by height x (tan 60 - tan 10)."""
    assert lean_at(np.array([0.0, math.pi * 5 / 3, 2 * math.pi - 1e-9])) == approx([10, 60, 10], abs=1e-4)
    fan = overhang_fan(PRINTER)
    rim = fan.mesh.corners_m[fan.mesh.corners_m[:, 2] > fan.mesh.high_m[2] - 1e-6]
    out = np.hypot(rim[:, 0], rim[:, 1])
    high = float(fan.mesh.high_m[2])
    apart = high * (math.tan(math.radians(60)) - math.tan(math.radians(10)))
    assert out.max() - out.min() == approx(apart + PRINTER.bead_m, rel=0.03)
    assert float(leans_deg(fan.mesh).max()) == approx(60, abs=3)
    assert "20 at 60, 30 at 120, 40 at 180, 50 at 240" in fan.how[1]


def test_the_ladder_has_rungs_of_the_spans_it_says():
    """Where the rungs lie over the rails, the gap between the rails is the span; the last rung spans 30 mm."""
    ladder = span_ladder(PRINTER)
    rungs = ladder.runs[-1]
    ends = rungs.points_m.reshape(-1, 2, 3)
    spans = np.abs(ends[:, 1, 0] - ends[:, 0, 0]) - 2 * PRINTER.bead_m
    assert spans * 1000 == approx([4, 6, 8, 10, 12, 15, 18, 22, 26, 30])
    assert len(layers_of(replayed(gcode_of(ladder))).height_m) == 6


def test_a_weighed_purge_line_says_what_to_multiply_by():
    """300 mm of 2.4 x 1.2 mm is 0.864 mL, 1.296 g at 1.5 g/mL; 1.2 g weighed: push 1.08 times as much."""
    line = purge_line(PRINTER)
    assert line.paste_m3 == approx(0.864e-6)
    found = flow_factor(0.0012, line, Range(low=1450, mid=1500, high=1550))
    assert found.mid == approx(1.08) and found.low < found.mid < found.high
    assert float(np.concatenate([run.length_m for run in line.runs]).sum()) == approx(0.3)
    for weight in (0.0, -1.0, math.nan):
        with pytest.raises(OutsideRange):
            flow_factor(weight, line, Range(low=1450, mid=1500, high=1550))


def test_rounding_of_e_never_adds_up():
    """A thousand beads that each push a third of the last digit of E."""
    tiny = 1e-6 / 3 * PRINTER.pushed.m3_per_e
    points = np.stack([np.arange(1001) * 1e-4, np.zeros(1001), np.full(1001, 0.001)], axis=1)
    text = write_gcode([Run(points_m=points, volume_m3=np.full(1000, tiny))], PRINTER)
    pushed = sum(
        float(word[1:]) for line in text.splitlines() for word in line.split() if line[:2] == "G1" and word[0] == "E"
    )
    assert pushed * PRINTER.pushed.m3_per_e == approx(1000 * tiny, rel=2e-3)


def test_a_machine_that_counts_from_a_corner_prints_in_the_middle_of_its_bed():
    corner = replace(PRINTER, from_corner=True)
    laid = replayed(gcode_of(shrinkage_bar(corner)))
    middle = (laid.end_m.min(axis=0) + laid.end_m.max(axis=0)) / 2
    assert middle[:2].tolist() == approx([0.11, 0.11], abs=1e-6)
    assert float(laid.end_m.min()) >= 0


def test_every_piece_is_found_by_its_key_and_usual_sizes_follow_the_nozzle():
    assert {key: make(PRINTER).key for key, make in EVERY_PIECE.items()} == {key: key for key in EVERY_PIECE}
    assert len(EVERY_PIECE) == 8
    assert usual_bead_m(0.002) == approx(0.0024) and usual_layer_m(0.002) == approx(0.0012)


def test_several_pieces_lie_at_their_own_places():
    runs = all_at([shrinkage_bar(PRINTER), purge_line(PRINTER)], [(0, -0.05), (0, 0.05)])
    assert len(replayed(write_gcode(runs, PRINTER)).line) > 50
    with pytest.raises(DoesNotFit, match="give one for each"):
        all_at([purge_line(PRINTER)], [])


def test_beds_too_small_and_sizes_that_are_none_are_refused():
    small = replace(PRINTER, bed=Bed(x_m=0.05, y_m=0.05, z_m=0.25))
    for make in (shrinkage_bar, bend_bars):
        with pytest.raises(DoesNotFit, match="more bed"):
            gcode_of(make(small))
    for make in (span_ladder, purge_line, failing_tube, crack_ring):
        with pytest.raises(Problem):
            gcode_of(make(replace(small, bed=Bed(x_m=0.02, y_m=0.02, z_m=0.25))))
    with pytest.raises(OutsideRange, match="height of the bed"):
        failing_wall(replace(PRINTER, bed=Bed(x_m=0.2, y_m=0.2, z_m=0.002)))
    for name in ("nozzle_m", "bead_m", "layer_height_m", "speed_m_s", "travel_m_s"):
        for value in (0.0, -1.0, math.nan, math.inf):
            with pytest.raises(OutsideRange):
                replace(PRINTER, **{name: value})
    with pytest.raises(OutsideRange, match="layer height per bead width"):
        replace(PRINTER, layer_height_m=0.003)
    with pytest.raises(DoesNotFit):
        write_gcode([], PRINTER)


def test_beads_are_checked_when_they_are_made():
    points = np.array([[0, 0, 1], [1, 0, 1.0]])
    for bad in (
        (points, np.zeros(2)),
        (points[:1], np.zeros(0)),
        (points, np.array([np.nan])),
        (points + np.inf, [1.0]),
    ):
        with pytest.raises(DoesNotFit):
            Run(points_m=np.asarray(bad[0]), volume_m3=np.asarray(bad[1]))
    line = bead(points, 0.002, 0.001)
    assert pushed_m3(filled([line, line], 5e-6)) == approx(5e-6)
    assert moved(line, (1, 2)).points_m[0].tolist() == [1, 2, 1]


def test_a_strip_in_plan_has_the_area_of_width_times_length_round_corners_too():
    way = np.array([[0, 0, 0], [0.05, 0, 0], [0.05, 0.03, 0], [0.01, 0.04, 0]])
    length = float(np.linalg.norm(np.diff(way, axis=0), axis=1).sum())
    assert strip(way, 0.002).area == approx(length * 0.002 * 1e6, rel=1e-6)
    ring = circle(0.03, 0.0)
    assert strip(ring, 0.002).area == approx(2 * math.pi * 0.03 * 0.002 * 1e6, rel=1e-3)
    assert (
        to_and_fro((0.1, 0.01), 4, 0.001, back=True)[0].tolist()
        == to_and_fro((0.1, 0.01), 4, 0.001, back=False)[-1].tolist()
    )


def test_a_piece_produces_one_reading():
    line = purge_line(PRINTER)
    with pytest.raises(DoesNotFit, match="one reading"):
        replace(line, reading="fall_cone")
    assert isinstance(line, Piece) and isinstance(shelf.test_named("layers_stood").quick(3), Raw)
