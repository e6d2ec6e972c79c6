"""Moisture of a lot from weighings, and when it counts as constant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.paste.ingredients import HowKnown, Known, catalogue
from slake.paste.lot import (
    after_one_weighing,
    at_least,
    moisture_dry_basis,
    moisture_from_dry_basis,
    moisture_wet_basis,
    oven_moisture,
    prints_from_lot,
    stated_moisture,
    usual_moisture,
)


@given(st.floats(0, 0.5), st.floats(0.001, 1), st.floats(0, 0.95))
def test_the_moisture_put_in_comes_out(tare: float, sample: float, wb: float) -> None:
    found = moisture_wet_basis(tare, tare + sample, tare + sample * (1 - wb))
    assert found == pytest.approx(wb, abs=1e-6)


@given(st.floats(0, 0.95))
def test_wet_and_dry_basis_there_and_back(wb: float) -> None:
    assert moisture_from_dry_basis(moisture_dry_basis(wb)) == pytest.approx(wb)


def test_wet_grain_is_three_and_a_half_times_its_dry_mass_of_water() -> None:
    """18 kg at 78 %: 4.0 kg dry, about 26 prints of 150 g (by hand: coding only)."""
    assert moisture_dry_basis(0.78) == pytest.approx(3.5, abs=0.05)
    assert pytest.approx(4.0, abs=0.05) == 18 * (1 - 0.78)
    assert int(prints_from_lot(18, 0.78, 0.150)) == 26


@pytest.mark.parametrize(
    ("tare", "wet", "dry"),
    [
        (0.01, 0.03, 0.031),
        (0.01, 0.03, 0.01),
        (0.01, 0.03, 0.005),
        (0.04, 0.03, 0.02),
        (-0.01, 0.03, 0.02),
        (float("nan"), 0.03, 0.02),
        (0.01, float("inf"), 0.02),
    ],
)
def test_weighings_that_do_not_go_together_are_refused(tare: float, wet: float, dry: float) -> None:
    with pytest.raises(Problem):
        moisture_wet_basis(tare, wet, dry)


@pytest.mark.parametrize(("last_two", "constant"), [((0.0150, 0.0149), False), ((0.01491, 0.01490), True)])
def test_constant_when_the_last_two_differ_by_less_than_half_a_percent(
    last_two: tuple[float, float], constant: bool
) -> None:
    found = oven_moisture(0.010, 0.020, [0.0155, *last_two])
    assert found.constant is constant
    assert found.wet_basis == pytest.approx(0.51)


def test_one_weighing_is_never_constant() -> None:
    assert oven_moisture(0.010, 0.020, [0.015]).constant is False


def test_a_dish_that_grows_is_a_sentence() -> None:
    with pytest.raises(DoesNotFit, match="grew"):
        oven_moisture(0.010, 0.020, [0.015, 0.016])


def test_no_weighing_is_a_sentence() -> None:
    with pytest.raises(DoesNotFit):
        oven_moisture(0.010, 0.020, [])


@pytest.mark.parametrize("bad", [-0.1, 1.0, float("nan")])
def test_moisture_outside_its_limits_is_refused(bad: float) -> None:
    with pytest.raises(OutsideRange):
        moisture_dry_basis(bad)


def test_a_stated_moisture_is_taken_at_its_word_give_or_take_half_a_point() -> None:
    found = stated_moisture(0.06)
    assert found.how is HowKnown.MEASURED and found.value.mid == 0.06
    assert found.value.high - found.value.mid == pytest.approx(0.0064, abs=5e-5)
    assert stated_moisture(0.0).value.low == 0.0 and stated_moisture(0.989).value.high == 0.99


def test_a_waste_not_dried_is_as_wet_as_it_comes() -> None:
    grain, shell = catalogue()["spent_grain"], catalogue()["mussel_shell"]
    assert usual_moisture(grain, False) is grain.fresh_moisture
    assert usual_moisture(grain, True) is usual_moisture(grain, None) is grain.moisture
    assert usual_moisture(shell, False) is shell.moisture


@pytest.mark.parametrize("mid", [0.0, 0.3, 0.989])
def test_one_weighing_leaves_less_open_and_stays_a_moisture(mid: float) -> None:
    thought = Known(value=Range(low=0.0, mid=mid, high=0.99), how=HowKnown.TYPICAL)
    then = after_one_weighing(thought)
    assert 0 <= then.low <= then.mid == mid <= then.high <= 0.99
    assert then.high - then.low <= 2 * 0.0039


def test_a_lower_bound_cuts_the_range_below_it_and_moves_it_only_where_it_must():
    thought = Known(value=Range(low=0.01, mid=0.03, high=0.08), how=HowKnown.TYPICAL)
    assert at_least(thought, 0.005) == thought
    assert at_least(thought, 0.02).value == Range(low=0.02, mid=0.03, high=0.08)
    cut = at_least(thought, 0.05).value
    assert (cut.low, cut.mid, cut.high) == pytest.approx((0.05, 0.065, 0.08))
    moved = at_least(thought, 0.30).value
    assert moved.low == 0.30 and moved.high == pytest.approx(0.37)
    assert at_least(thought, 0.995).value.high <= 0.995
