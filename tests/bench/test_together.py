"""Readings put together: scatter averages out, calibration does not; planted causes are named, agreement is silent."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from slake.bench import fall_cone, slump
from slake.bench.causes import Cause
from slake.bench.declaration import Context
from slake.bench.disagreeing import disagreement
from slake.bench.together import Look, at_comparable_age, of_one_property, together
from slake.ground.evidence import Kind


def cone(depth_mm: float, *, minutes: float | None = 60, mass_g: float = 30, angle: str = "30") -> Look:
    typed = {"cone_depth_mm": f"{depth_mm:g}", "cone_mass_g": f"{mass_g:g}", "cone_angle": angle}
    age_s = None if minutes is None else minutes * 60
    return Look(
        called=f"cone {depth_mm:g} mm",
        test=fall_cone.TEST,
        raw=fall_cone.TEST.read(typed),
        context=Context(age_s=age_s),
    )


def slumped(mm: float, *, minutes: float | None = 60, height_mm: float = 50) -> Look:
    typed = {"slump_mm": f"{mm:g}", "mould": "cylinder", "cylinder_height_mm": f"{height_mm:g}"}
    age_s = None if minutes is None else minutes * 60
    return Look(called=f"slump {mm:g} mm", test=slump.TEST, raw=slump.TEST.read(typed), context=Context(age_s=age_s))


def test_scatter_averages_out_and_the_cone_factor_does_not():
    one, four = together([cone(15)]), together([cone(15)] * 4)
    assert one.range80 and four.range80
    common = math.hypot(*cone(15).evidence.shared.values())
    width = math.log(four.range80.high / four.range80.low)
    assert width < math.log(one.range80.high / one.range80.low)
    assert width > 2 * 1.2815 * common * 0.999


def test_two_readings_of_equal_weight_meet_in_the_middle():
    found = together([cone(10), cone(12)])
    a, b = cone(10).evidence.low, cone(12).evidence.low
    weight_a, weight_b = 1 / (2 * 0.5 / 10) ** 2, 1 / (2 * 0.5 / 12) ** 2
    middle = math.exp((weight_a * math.log(a) + weight_b * math.log(b)) / (weight_a + weight_b))
    assert found.range80 and found.range80.mid == pytest.approx(middle, rel=2e-3)


def test_a_blind_slump_cuts_the_range_from_below_and_alone_gives_none():
    assert together([slumped(0)]).range80 is None
    with_it, without = together([cone(20), slumped(0)]), together([cone(20)])
    assert with_it.range80 and without.range80
    assert with_it.range80.low > without.range80.low


def test_only_what_is_of_one_property_and_age_is_put_together():
    groups = of_one_property([cone(15), slumped(5)])
    assert [len(group) for group in groups] == [2]
    ages = at_comparable_age(
        [cone(15, minutes=60), cone(14, minutes=70), cone(11, minutes=240), cone(15, minutes=None)]
    )
    assert [len(group) for group in ages] == [2, 1, 1]


@pytest.mark.parametrize("seed", range(40))
def test_readings_that_agree_raise_nothing(seed):
    """One paste read twice with one cone, with the scatter the test declares."""
    rng = np.random.default_rng(seed)
    depth = 15 * math.exp(0.5 * rng.normal(0, 0.02))
    first, second = (float(np.clip(depth + rng.normal(0, 0.35), 7, 20)) for _ in range(2))
    assert disagreement([cone(first), cone(second)]) is None


def test_a_cone_and_a_slump_of_one_paste_raise_nothing():
    paste_pa = 200.0
    depth = fall_cone.TEST.forward(paste_pa, Context())
    height = slump.TEST.forward(paste_pa, Context())
    assert disagreement([cone(round(depth, 1)), slumped(round(height, 1))]) is None


def test_a_stiff_paste_that_does_not_slump_does_not_contradict_its_cone():
    assert slumped(0).evidence.kind is Kind.ABOVE
    assert disagreement([cone(12), slumped(0)]) is None


def test_age_is_named():
    found = disagreement([cone(16, minutes=10), cone(11.5, minutes=130)])
    assert found and found.cause is Cause.AGE and "120 min apart" in found.words


def test_the_same_difference_at_one_age_is_not_age():
    found = disagreement([cone(16, minutes=60), cone(10, minutes=60)])
    assert found and found.cause is not Cause.AGE


def test_out_of_range_is_named():
    found = disagreement([cone(10), slumped(2.0)])
    assert found and found.cause is Cause.OUT_OF_RANGE
    assert found.odd and found.odd.test is slump.TEST


@pytest.mark.parametrize("depth", [12.5, 15.0, 18.0, 20.0])
def test_a_wrong_cone_factor_is_named(depth):
    """The 60 deg cone was used and the 30 deg one written down: its depth is that of another factor."""
    really = depth * math.sqrt(0.27 / 0.80)
    found = disagreement([cone(depth), cone(round(really, 1))])
    assert found and found.cause is Cause.WRONG_INSTRUMENT and "60 deg" in found.words


def test_a_slip_by_ten_is_named():
    found = disagreement([cone(12), cone(12.2, mass_g=300)])
    assert found and found.cause is Cause.SLIP_BY_TEN
    assert found.odd and found.odd.raw.numbers["cone_mass_g"] == pytest.approx(0.3)
    assert "30 g and not 300" in found.words


def test_a_slip_in_the_depth_is_named():
    found = disagreement([cone(15.2), cone(15.0), cone(1.5)])
    assert found and found.cause is Cause.SLIP_BY_TEN
    assert found.odd and found.odd.called == "cone 1.5 mm"


@pytest.mark.parametrize("paste_pa", [120.0, 180.0, 250.0])
def test_a_wrong_cone_factor_is_named_against_another_test_too(paste_pa):
    """A 60 deg cone written down as a 30 deg one, beside a slump of the same paste."""
    depth = fall_cone.TEST.forward(paste_pa, Context(instrument={"cone_mass_g": 0.03, "cone_angle": "60"}))
    found = disagreement([cone(round(depth, 1)), slumped(round(slump.TEST.forward(paste_pa, Context()), 1))])
    assert found and found.cause is Cause.WRONG_INSTRUMENT and "60 deg" in found.words


def test_another_cone_of_the_bench_is_named():
    heavy = {"cone_mass_g": 0.08, "cone_angle": "30"}
    really = 10.0 * math.sqrt(80 / 30)
    found = disagreement([cone(10), cone(round(really, 1))], {"the heavy cone": heavy})
    assert found and found.cause is Cause.WRONG_INSTRUMENT and "the heavy cone" in found.words


def test_a_scatter_learned_here_is_used():
    wild = [replace(cone(12), scatter=0.5), replace(cone(16), scatter=0.5)]
    assert disagreement([cone(12), cone(16)]) is not None
    assert disagreement(wild) is None
