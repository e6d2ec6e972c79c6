"""Stops and what oozes at them: the model's limits, Boyle's law by hand, kinds and what mends them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pytest import approx

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.oozing import Oozing, Running, oozed_m3, oozing, stored_from_ooze_m3
from slake.path.pushing import ram_mm
from slake.path.replay import replay
from slake.path.stops import BESIDE, NEXT_LAYER, PIECES, WAIT, Stops, stops_of
from tests.path.paths import rings, tube

ONE_PERCENT = Range(low=0.01, mid=0.01, high=0.01)
DENSITY = Range(low=1000.0, mid=1000.0, high=1000.0)


def stops(content: bytes) -> Stops:
    path = replay(read_gcode(content, ram_mm(0.06)))
    return stops_of(path, layers_of(path))


def running(count: int, pressure_pa: float = 100e3, still_pa: float = 0.0) -> Running:
    return Running(
        pressure_pa=np.full(count, pressure_pa),
        still_pa=np.full(count, still_pa),
        in_barrel_m3=np.full(count, 500e-6),
        flow_m3_s=np.full(count, 0.0576e-6),
    )


def stop(lasts_s: float, pulled_m3: float = 0.0, kind: int = PIECES) -> Stops:
    one = np.zeros(1, dtype=np.int64)
    return Stops(
        after=one,
        layer=one,
        layers=1,
        kind=one + kind,
        lasts_s=np.array([lasts_s]),
        gap_m=np.array([0.05]),
        pulled_m3=np.array([pulled_m3]),
        line=one + 1,
    )


def ooze(which: Stops, press: Running) -> Oozing:
    return oozing(which, press, ONE_PERCENT, DENSITY)


def test_a_short_stop_oozes_flow_times_time_and_a_long_one_all_that_was_stored():
    stored, flow = np.array([2.5e-6]), np.array([0.05e-6])
    assert oozed_m3(stored, flow, np.array([0.01]))[0] == approx(0.05e-6 * 0.01, rel=1e-3)
    assert oozed_m3(stored, flow, np.array([1e6]))[0] == approx(2.5e-6)
    assert oozed_m3(stored, flow, np.array([50.0]))[0] == approx(2.5e-6 * (1 - math.exp(-1)))
    assert oozed_m3(np.zeros(1), flow, np.array([50.0]))[0] == 0


def test_one_percent_of_air_in_half_a_litre_at_100_kpa_stores_two_and_a_half_millilitres():
    """2.48 mL, and 43 s at the flow of a 2.4 x 1.2 mm bead at 20 mm/s: the bench's own check numbers."""
    found = ooze(stop(1e6), running(1))
    assert found.mid_kg[0] * 1000 == approx(2.48, abs=0.005)
    assert found.late_s[0] == approx(43, abs=0.5)


def test_yield_stress_holds_back_what_it_takes_to_move_at_all():
    held, free = ooze(stop(1e6), running(1, still_pa=100e3)), ooze(stop(1e6), running(1, still_pa=0.0))
    assert held.low_kg[0] == 0 and held.high_kg[0] == approx(free.high_kg[0])
    assert held.mid_kg[0] == approx(free.mid_kg[0] / 2)
    assert free.low_kg[0] == approx(free.high_kg[0])


@pytest.mark.parametrize("stored_ml", [0.01, 0.3, 2.5, 6.0])
def test_a_weighed_stop_says_what_was_stored(stored_ml: float):
    oozed = float(oozed_m3(np.array([stored_ml * 1e-6]), np.array([0.0576e-6]), np.array([60.0]))[0])
    assert stored_from_ooze_m3(oozed, 0.0576e-6, 60.0) == approx(stored_ml * 1e-6, rel=1e-9)


def test_a_stop_too_short_to_tell_is_refused():
    with pytest.raises(OutsideRange, match="too short to tell"):
        stored_from_ooze_m3(0.98e-6, 1e-6, 1.0)
    with pytest.raises(OutsideRange):
        stored_from_ooze_m3(float("nan"), 1e-6, 1.0)


def test_no_air_oozes_nothing_and_pulling_back_takes_what_it_pulls():
    none = Range(low=0.0, mid=0.0, high=0.0)
    assert oozing(stop(100), running(1), none, DENSITY).total_kg.mid == 0
    assert ooze(stop(1e6, pulled_m3=1e-6), running(1)).mid_kg[0] * 1000 == approx(1.48, abs=0.005)
    assert ooze(stop(1e6, pulled_m3=5e-6), running(1)).mid_kg[0] == 0


def test_two_rings_side_by_side_stop_between_them_and_at_each_layer():
    found = stops(rings(3, ((60, 60), (120, 60))))
    assert found.kind.tolist() == [PIECES, NEXT_LAYER, PIECES, NEXT_LAYER, PIECES]
    assert found.gap_m == approx(np.full(5, 0.06), abs=1e-5)
    assert found.lasts_s[0] == approx(60 / 50, abs=0.01)


def test_a_pause_a_close_bead_and_a_pull_are_told_apart():
    begins, pulls = b"M83\nG1 X20 Z1 F600 E0.01\nG4 S5\nG1 X40 E0.01\n", b"G1 E-0.1 F60\nG0 Y3 F600\nG1 E0.1 F60\n"
    found = stops(b"G90\n" + begins + pulls + b"G1 X20 F600 E0.01\n")
    assert found.kind.tolist() == [WAIT, BESIDE]
    assert found.lasts_s.tolist() == approx([5, 0.1 + 0.3 + 0.1])
    assert found.pulled_m3.tolist() == approx([0, 0.1e-3 * math.pi * 0.03**2])
    assert found.line.tolist() == [4, 6]


def test_parts_that_lie_apart_in_few_layers_are_joined_and_close_beads_thickened():
    which = stops(rings(10) + rings(1, ((60, 60), (120, 60))).replace(b"Z1.200", b"Z13.200"))
    change = {cost.words: cost.change for cost in ooze(which, running(len(which.after))).costs}
    assert change["over a gap to another part"].startswith("join the parts")
    near = stops(rings(10, ((60, 60), (64, 60))))
    assert near.kind.tolist().count(BESIDE) == 10
    assert {cost.change.split()[0] for cost in ooze(near, running(len(near.after))).costs} == {"thicken", "draw"}


def test_a_continuous_spiral_has_no_stop():
    found = stops(tube(height_m=0.02))
    assert len(found.after) == 0
    assert ooze(found, running(0)).costs == ()


def test_the_dearest_kind_comes_first_with_what_removes_it():
    which = stops(rings(10, ((60, 60), (120, 60)), extra="G4 S20"))
    found = ooze(which, running(len(which.after)))
    assert [cost.count for cost in found.costs] == [10, 9]
    assert found.costs[0].share + found.costs[1].share == approx(1)
    assert found.total_kg.mid == approx(sum(cost.oozed_kg.mid for cost in found.costs))
    assert {cost.words for cost in found.costs} == {"over a gap to another part", "up to the next layer"}
    by_words = {cost.words: cost.change for cost in found.costs}
    assert by_words["over a gap to another part"].startswith("print the parts as two")
    assert "one continuous spiral" in by_words["up to the next layer"]
    assert found.mid_kg[found.dearest[0]] == found.mid_kg.max()


@pytest.mark.parametrize("longer", [2.0, 10.0])
def test_a_longer_stop_oozes_more_and_never_more_than_was_stored(longer: float):
    short, long = ooze(stop(1.0), running(1)), ooze(stop(longer), running(1))
    assert short.mid_kg[0] < long.mid_kg[0] <= 2.49e-3
