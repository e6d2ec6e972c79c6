"""Waits put into a path, and a slower path."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from slake.ground.problems import DoesNotFit, OutsideRange
from slake.paste.cartridges import Cartridge
from slake.path.cartridge_use import use_cartridges
from slake.path.force_along import force_along
from slake.path.gcode import read_gcode
from slake.path.pausing import changing_cartridges, paused, slowed
from slake.path.pushing import ram_mm
from slake.path.replay import Replayed, replay
from tests.path.paths import rings, tube
from tests.path.test_force import CARTRIDGE, draws


def path_of(content: bytes) -> Replayed:
    return replay(read_gcode(content, ram_mm(0.06)))


def test_a_wait_moves_all_that_comes_after_it_and_nothing_before():
    path = path_of(rings(3))
    late = paused(path, np.array([59, 119]), np.array([100.0, 50.0]))
    shift = late.start_s - path.start_s
    assert shift[:60].tolist() == [0] * 60
    assert shift[60:120] == approx(np.full(60, 100)) and shift[120:] == approx(np.full(60, 150))
    assert late.end_s - late.start_s == approx(path.end_s - path.start_s)
    moved = late.travels.start_s - path.travels.start_s
    assert moved == approx(np.where(path.travels.after < 59, 0, np.where(path.travels.after < 119, 100, 150)))
    assert late.duration_s == approx(path.duration_s + 150)


def test_no_wait_and_once_as_slow_change_nothing():
    path = path_of(rings(2))
    for same in (paused(path, np.zeros(0, dtype=np.int64), np.zeros(0)), slowed(path, 1.0)):
        assert np.array_equal(same.start_s, path.start_s) and same.duration_s == path.duration_s


def test_slower_is_later_and_thinner_and_back_again():
    path = path_of(rings(2))
    slow = slowed(path, 3.0)
    assert slow.flow_m3_s * (slow.end_s - slow.start_s) == approx(path.volume_m3)
    assert slowed(slow, 1 / 3).end_s == approx(path.end_s)


def test_a_pause_makes_stiffening_paste_harder_to_push_and_slowing_makes_it_easier_when_it_does_not_stiffen():
    path = path_of(tube(height_m=0.03))
    use = use_cartridges(path, CARTRIDGE)
    ageing, still = draws(stiffening=1e-4), draws(stiffening=0.0)
    late = paused(path, np.array([len(path.line) // 2]), np.array([3600.0]))
    assert force_along(late, use, ageing).mid_n[-1] > 1.2 * force_along(path, use, ageing).mid_n[-1]
    assert np.all(force_along(slowed(path, 2.0), use, still).mid_n < force_along(path, use, still).mid_n)


def test_changing_cartridges_takes_its_time_at_the_stop_before():
    path = path_of(rings(6))
    small = Cartridge(volume_m3=1.5e-6, fill=1.0, residue_m3=0.0)
    use = use_cartridges(path, small)
    assert use.count == 2 and use.run_outs[0].stop_after is not None
    late = changing_cartridges(path, use, 300.0)
    assert late.duration_s == approx(path.duration_s + 300)
    assert late.start_s[use.run_outs[0].stop_after] == path.start_s[use.run_outs[0].stop_after]
    assert late.start_s[use.run_outs[0].bead] == approx(path.start_s[use.run_outs[0].bead] + 300)


def test_waits_that_cannot_be_are_refused():
    path = path_of(rings(1))
    with pytest.raises(DoesNotFit, match="60 beads"):
        paused(path, np.array([60]), np.array([1.0]))
    with pytest.raises(DoesNotFit, match="as many of each"):
        paused(path, np.array([1, 2]), np.array([1.0]))
    with pytest.raises(OutsideRange, match="wait"):
        paused(path, np.array([1]), np.array([-1.0]))
    with pytest.raises(OutsideRange, match="times as long"):
        slowed(path, 0.0)
