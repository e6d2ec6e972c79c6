"""Accept this bucket? Dry grams, prints, hours left, and the answer with its reason."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, Problem
from slake.ground.units import to_si
from slake.paste.bucket import Answer, FreshBucket, work_hours, worth_of

GRAIN = Range(low=0.76, mid=0.78, high=0.80)
NEW = Range(low=0.0, mid=0.0, high=0.0)


def days(low: float, mid: float, high: float) -> Range:
    return Range(low=to_si(low, "day"), mid=to_si(mid, "day"), high=to_si(high, "day"))


def bucket(**more: object) -> FreshBucket:
    return FreshBucket(**{"wet_kg": 18.0, "leaves": GRAIN, "keeps": days(3, 4, 6), "age": NEW, **more})


def test_18_kg_of_wet_grain_at_78_percent_is_4_kg_dry_and_26_prints() -> None:
    """18 kg at 78 % wet basis = 4.0 kg dry = about 26 prints of 150 g dry (by hand: coding only)."""
    worth = worth_of(bucket())
    assert worth.dry.mid == pytest.approx(4.0, abs=0.05)
    assert int(worth.prints.mid) == 26
    assert worth.dry.low == pytest.approx(3.6) and worth.dry.high == pytest.approx(4.32)
    assert worth.answer is Answer.TAKE


def test_one_that_may_spoil_within_a_day_is_taken_today_or_not_at_all() -> None:
    worth = worth_of(bucket(age=days(2.5, 2.5, 2.5)))
    assert worth.answer is Answer.TODAY and "12 h" in worth.because[0]
    worth = worth_of(bucket(age=days(3.5, 3.5, 3.5)))
    assert worth.answer is Answer.TODAY and "smell" in worth.because[0]


def test_one_older_than_such_waste_keeps_is_refused_and_says_by_how_much() -> None:
    worth = worth_of(bucket(age=days(5, 5, 5)))
    assert worth.answer is Answer.REFUSE and "24 h" in worth.because[0] and worth.left.high > 0


def test_less_than_one_print_is_not_worth_an_oven() -> None:
    worth = worth_of(bucket(wet_kg=0.4))
    assert worth.answer is Answer.REFUSE and "print" in worth.because[0]


def test_an_age_nobody_knows_widens_the_hours_left() -> None:
    known, open_ = worth_of(bucket(age=days(1, 1, 1))), worth_of(bucket(age=days(0, 1, 2)))
    assert open_.left.low < known.left.low and open_.left.high > known.left.high and open_.left.mid == known.left.mid


def test_a_further_oven_load_is_further_work() -> None:
    assert work_hours(5.0) == work_hours(0.1)
    assert work_hours(5.001).mid - work_hours(5.0).mid == pytest.approx(to_si(1, "h"))


@given(st.floats(0.01, 500), st.floats(0, 0.98), st.floats(0.001, 10))
def test_prints_times_their_mass_is_the_dry_mass_and_what_left_is_the_rest(wet: float, left: float, per: float) -> None:
    worth = worth_of(bucket(wet_kg=wet, leaves=Range(low=left, mid=left, high=left), dry_kg_per_print=per))
    assert worth.prints.mid * per == pytest.approx(worth.dry.mid)
    assert worth.dry.mid + wet * left == pytest.approx(wet)


@pytest.mark.parametrize("wet", [0.0, -1.0, float("nan"), float("inf")])
def test_a_bucket_of_nothing_is_refused(wet: float) -> None:
    with pytest.raises(OutsideRange, match="wet mass"):
        bucket(wet_kg=wet)


def test_a_bucket_of_water_alone_and_a_print_of_nothing_are_refused() -> None:
    with pytest.raises(Problem):
        bucket(leaves=Range(low=0.9, mid=1.0, high=1.0))
    with pytest.raises(OutsideRange):
        worth_of(bucket(dry_kg_per_print=0.0))
