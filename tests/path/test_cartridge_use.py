"""Cartridges along a path: how many, which bead from which, and where each runs out."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from slake.ground.problems import OutsideRange, Problem
from slake.paste.cartridges import Cartridge, paste_for_parts
from slake.path.cartridge_use import use_cartridges
from slake.path.gcode import read_gcode
from slake.path.pushing import millilitres
from slake.path.replay import Replayed, replay

HUNDRED = Cartridge(volume_m3=120e-6, fill=1.0, residue_m3=20e-6)
"""Gives 100 mL."""


def beads(text: str) -> Replayed:
    return replay(read_gcode(("M83\nG91\nG1 F600\n" + text).encode(), millilitres()))


def test_a_print_within_one_cartridge():
    use = use_cartridges(beads("G1 X10 E30\n" * 3), HUNDRED)
    assert use.count == 1 and use.run_outs == ()
    assert use.in_barrel_m3.tolist() == approx([120e-6, 90e-6, 60e-6])
    assert use.left_m3 == approx(10e-6) and use.laid_m3 == approx(90e-6)


def test_each_cartridge_runs_out_where_its_paste_is_gone():
    use = use_cartridges(beads("G1 X10 Z1 E30\n" * 8), HUNDRED)
    assert use.count == 3
    assert use.cartridge.tolist() == [1, 1, 1, 1, 2, 2, 2, 3]
    assert [(r.cartridge, r.bead) for r in use.run_outs] == [(1, 3), (2, 6)]
    first, second = use.run_outs
    assert first.share == approx(1 / 3) and second.share == approx(2 / 3)
    assert first.at_s == approx(3 * use_length(1) + use_length(1) / 3)
    assert first.height_m == approx(0.003 + 0.001 / 3)
    assert first.line == 7 and first.stop_after is None
    assert use.left_m3 == approx(60e-6)


def use_length(moves: int) -> float:
    """Seconds of a move of 10 mm across and 1 mm up at 10 mm/s."""
    return moves * np.hypot(10, 1) / 10


def test_the_last_stop_before_it_is_where_to_change():
    use = use_cartridges(beads("G1 X10 E30\n" * 2 + "G0 X5\n" + "G1 X10 E30\n" * 5), HUNDRED)
    assert [r.stop_after for r in use.run_outs] == [1, None]


def test_paste_pushed_on_the_spot_counts_and_pulled_back_does_not():
    use = use_cartridges(beads("G1 E40\nG1 X10 E40\nG1 E-5\nG1 E5\nG1 X10 E40\n"), HUNDRED)
    assert use.pushed_m3 == approx(120e-6) and use.laid_m3 == approx(80e-6)
    assert use.count == 2 and use.run_outs[0].bead == 1 and use.run_outs[0].share == approx(0.5)


def test_grams_by_cartridge_sum_to_the_whole():
    path = beads("G1 X10 E30\n" * 8)
    use = use_cartridges(path, HUNDRED)
    kg = use.kg_per_cartridge(1300.0, path.volume_m3)
    assert kg.tolist() == approx([0.156, 0.117, 0.039]) and kg.sum() == approx(240e-6 * 1300)


def test_as_many_cartridges_as_the_plan_of_paste_says():
    path = beads("G1 X10 E7\n" * 100)
    plan = paste_for_parts(float(path.volume_m3.sum()), HUNDRED, purge_share=0.0)
    assert use_cartridges(path, HUNDRED).count == plan.count == 7


def test_what_is_primed_comes_off_every_cartridge():
    use = use_cartridges(beads("G1 X10 E30\n" * 8), HUNDRED, primed_m3=10e-6)
    assert use.count == 3 and [r.bead for r in use.run_outs] == [2, 5]
    assert use.in_barrel_m3[0] == approx(110e-6)
    with pytest.raises(OutsideRange, match="primed by each cartridge"):
        use_cartridges(beads("G1 X10 E30\n"), HUNDRED, primed_m3=1e-4)
    with pytest.raises(OutsideRange, match="primed by each cartridge"):
        use_cartridges(beads("G1 X10 E30\n"), HUNDRED, primed_m3=float("nan"))


def test_a_path_that_would_take_a_thousand_cartridges_is_refused():
    with pytest.raises(Problem, match="would take 1e\\+05 cartridges: check what its E counts"):
        use_cartridges(beads("G1 X10 E10000000\n"), HUNDRED)
