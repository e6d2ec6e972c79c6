"""A file followed from its first line to its last bead."""

from __future__ import annotations

import time

import numpy as np
import pytest
from pytest import approx

from slake.ground.evidence import Range
from slake.path.followed import Press, follow
from slake.path.pushing import Motion, Pushed, filament_mm, ram_mm
from tests.path.paths import WALL_M, rings, tube
from tests.path.test_force import BARREL, CARTRIDGE, draws


def press(**changed: object) -> Press:
    asked = {
        "pushed": ram_mm(0.06),
        "cartridge": CARTRIDGE,
        "draws": draws(),
        "air_fraction": Range(low=0.01, mid=0.02, high=0.03),
        "density_kg_m3": Range(low=1200.0, mid=1300.0, high=1400.0),
        "motion": Motion(acceleration_m_s2=0.5),
    }
    return Press(**(asked | changed))  # type: ignore[arg-type]


def test_everything_a_path_says_has_one_entry_per_bead():
    found = follow(rings(20, ((60, 60), (120, 60))), press())
    beads = len(found.replayed.line)
    assert beads == 20 * 2 * 60
    for values in (found.layers.layer, found.use.cartridge, found.force.margin, found.force.chance):
        assert len(values) == beads
    assert len(found.stops.after) == len(found.oozing.mid_kg) == 39
    assert found.oozing.total_kg.low < found.oozing.total_kg.mid < found.oozing.total_kg.high
    assert 0 < found.oozing.total_kg.mid < found.use.laid_m3 * 1300
    assert found.toolpath.notes == ()


def test_a_spiral_needs_no_stop_and_more_than_one_cartridge_when_it_is_tall():
    found = follow(tube(height_m=0.9, points=60), press())
    assert found.layers.spiral and len(found.stops.after) == 0 and found.oozing.total_kg.mid == 0
    assert found.use.count == 1 + int(found.use.pushed_m3 / CARTRIDGE.usable_m3) > 1
    assert found.layers.width_m[1:-1] == approx(np.full(len(found.layers.width_m) - 2, WALL_M), rel=0.03)
    out = found.use.run_outs[0]
    assert found.layers.turn[out.bead] == approx(out.height_m / 0.0012, abs=0.05)
    assert found.force.mid_n[out.bead + 1] > found.force.mid_n[out.bead]


def test_a_start_is_late_by_what_the_air_takes_up_and_every_cartridge_starts():
    found = follow(tube(height_m=0.9, points=60), press())
    assert len(found.starts) == found.use.count == found.late_s.shape[1]
    assert found.starts[0] == 0 and found.use.cartridge[found.starts[1]] == 2
    low, mid, high = found.late_s[:, 0]
    assert low == approx(mid / 2, rel=1e-3) and high == approx(mid * 1.5, rel=1e-3), "it gathers speed at first"
    first = found.force.pressure_pa[0]
    stored = 0.02 * found.use.in_barrel_m3[0] * (1 - 101325 / (101325 + first))
    assert found.late_s[1, 0] == approx(stored / float(np.median(found.replayed.flow_m3_s)), rel=0.01)


def test_a_thin_first_bead_makes_a_start_no_later_than_the_paste_pushed_after_it():
    even = follow(tube(height_m=0.05, points=60), press())
    lines = tube(height_m=0.05, points=60).split(b"\n")
    place = next(n for n, line in enumerate(lines) if b" E" in line)
    head, _, pushed = lines[place].partition(b" E")
    lines[place] = head + b" E%.9f" % (float(pushed) / 1000)
    thin = follow(b"\n".join(lines), press())
    first = float(thin.replayed.end_s[0])
    assert thin.force.pressure_pa[0] < even.force.pressure_pa[0]
    assert first < thin.late_s[1, 0] <= even.late_s[1, 0] + first


def test_the_wrong_meaning_of_e_is_doubted_and_the_right_one_named():
    content = rings(5)
    assert follow(content, press()).doubt is None
    doubt = follow(content, press(pushed=filament_mm(0.00175))).doubt
    assert doubt is not None
    assert doubt.startswith(
        "the beads would be 0.002 mm wide under a nozzle of 2 mm, so E likely counts something else"
    )
    assert "than mm of filament: as mm of ram they would be 2.4 mm, as mL of paste" in doubt
    nothing = follow(content, press(pushed=Pushed(m3_per_e=2.83e-6 * 1e-5, by_length=True, words="sand"))).doubt
    assert nothing is not None and "than sand: as mm of ram" in nothing


def test_the_margin_is_the_same_whatever_the_file_is_cut_into(monkeypatch: pytest.MonkeyPatch):
    content = rings(5)
    whole = follow(content, press())
    monkeypatch.setattr("slake.path.gcode.PIECE", 997)
    assert np.array_equal(follow(content, press()).force.margin, whole.force.margin)


def test_fifty_thousand_moves_take_under_a_second():
    content = tube(height_m=0.3)
    assert content.count(b"\nG1 X") == 50_000
    follow(tube(height_m=0.01), press())
    begun = time.perf_counter()
    found = follow(content, press())
    assert time.perf_counter() - begun < 1.0
    assert len(found.replayed.line) == 50_000 and found.force.pressure_pa.max() < 1e6
    assert BARREL.area_m2 * found.force.pressure_pa.max() < found.force.high_n.max()
