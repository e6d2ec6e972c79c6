"""Clean enough, dry enough: two weighings that hardly differ, or which weighing comes next and when."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.ground.units import to_si
from slake.paste.end_point import APART_S, CHANGE_SHARE, Dry, Weighed, dry_state, end_point, slowing_loss


def series(*rows: tuple[float, float]) -> list[Weighed]:
    """(minutes, grams) as weighed."""
    return [Weighed(at_s=to_si(minutes, "min"), kg=to_si(grams, "g")) for minutes, grams in rows]


def test_half_a_percent_in_half_an_hour_is_the_end() -> None:
    """Two weighings 30 min apart that differ by less than 0.5 %: common practice, no source."""
    assert end_point(series((0, 1000), (30, 995.1))).reached
    assert not end_point(series((0, 1000), (30, 995.0))).reached
    assert not end_point(series((0, 1000), (30, 1006))).reached


def test_two_weighings_minutes_apart_say_nothing_and_the_next_is_told() -> None:
    found = end_point(series((0, 1000), (10, 999.9)))
    assert not found.reached and found.change_share is None and found.next_in_s == pytest.approx(20 * 60)
    assert end_point(series((0, 1000))).next_in_s == APART_S


def test_a_weighing_in_between_does_not_hide_the_one_half_an_hour_ago() -> None:
    found = end_point(series((0, 1000), (25, 998), (30, 997)))
    assert found.reached and found.change_share == pytest.approx(0.003)


@given(st.floats(0.05, 0.9), st.floats(20, 400), st.floats(10, 120), st.floats(10, 120))
def test_an_even_slowing_is_found_again(share: float, minutes: float, one: float, two: float) -> None:
    """Weighings made from m = dry + over e^(-t/T) give that rate and what is left to lose back."""
    rate = 1 / (60 * minutes)
    times = [0.0, one * 60, (one + two) * 60]
    kgs = [1.0 + share * math.exp(-rate * t) for t in times]
    assume(kgs[1] - kgs[2] > 1e-6 and rate * one * 60 < 8)
    found = slowing_loss([Weighed(at_s=t, kg=kg) for t, kg in zip(times, kgs, strict=True)])
    assert found is not None
    assert found.per_s == pytest.approx(rate, rel=1e-4)
    assert found.over_kg == pytest.approx(kgs[2] - 1.0, rel=1e-3)


def test_the_time_told_is_when_it_will_be_steady() -> None:
    """Weighed again at the time told, the pair half an hour apart differs by 0.5 % of what it weighs."""

    def kg(t: float) -> float:
        return 1.0 + 2.0 * math.exp(-t / 7200)

    times = [0.0, 3600.0, 7200.0]
    found = end_point([Weighed(at_s=t, kg=kg(t)) for t in times])
    assert not found.reached and found.remaining is not None
    end = times[-1] + found.remaining.mid
    assert kg(end - APART_S) - kg(end) == pytest.approx(CHANGE_SHARE * kg(times[-1]), rel=1e-6)
    assert found.remaining.low < found.remaining.mid < found.remaining.high


@pytest.mark.parametrize(
    "rows", [[(0, 1000), (60, 900)], [(0, 1000), (60, 900), (120, 800)], [(0, 900), (60, 950), (120, 990)]]
)
def test_a_loss_that_does_not_slow_foretells_no_end(rows: list[tuple[float, float]]) -> None:
    assert slowing_loss(series(*rows)) is None and end_point(series(*rows)).remaining is None


DRY = Range(low=0.210, mid=0.220, high=0.230)


def test_below_the_limit_at_the_worst_is_dry_and_above_it_at_the_best_is_not() -> None:
    assert dry_state(series((0, 1000), (600, 232)), DRY, 0.10).answer is Dry.ENOUGH
    found = dry_state(series((0, 1000), (60, 800)), DRY, 0.10)
    assert found.answer is Dry.NOT_YET
    assert found.moisture.mid == pytest.approx(1 - 220 / 800)
    assert found.aim.mid == pytest.approx(0.220 / 0.9)


def test_a_rate_alone_gives_the_time_at_the_least() -> None:
    """200 g in an hour; 800 g down to 220 / 0.9 = 244.4 g is 555.6 g, at least 2.78 h."""
    found = dry_state(series((0, 1000), (60, 800)), DRY, 0.10)
    assert found.remaining is None and found.at_least_s == pytest.approx(555.6 / 200 * 3600, rel=1e-4)


def test_a_slowing_loss_gives_the_time_to_the_limit() -> None:
    def kg(t: float) -> float:
        return 0.220 + 0.780 * math.exp(-t / 10_000)

    times = [0.0, 3600.0, 7200.0]
    found = dry_state([Weighed(at_s=t, kg=kg(t)) for t in times], DRY, 0.10)
    assert found.remaining is not None
    assert kg(times[-1] + found.remaining.mid) == pytest.approx(0.220 / 0.9, rel=1e-6)


def test_in_between_a_steady_mass_is_called_steady_and_not_dry() -> None:
    """210 to 230 g of dry mass in 245 g is 6 to 14 % moisture: the limit of 10 % lies within, so nobody knows."""
    assert dry_state(series((0, 300), (60, 245)), DRY, 0.10).answer is Dry.UNSURE
    assert dry_state(series((0, 245.5), (60, 245)), DRY, 0.10).answer is Dry.STEADY


def test_steady_but_far_too_heavy_is_not_called_dry() -> None:
    assert dry_state(series((0, 400), (60, 400)), DRY, 0.10).answer is Dry.UNSURE


def test_what_is_weighed_caps_the_dry_mass() -> None:
    found = dry_state(series((0, 300), (60, 200)), DRY, 0.10)
    assert found.moisture == Range(low=0, mid=0, high=0) and found.answer is Dry.ENOUGH


def test_bad_series_are_refused() -> None:
    with pytest.raises(DoesNotFit, match="no weighing"):
        end_point([])
    with pytest.raises(DoesNotFit, match="same time"):
        end_point(series((0, 100), (0, 90)))
    with pytest.raises(OutsideRange):
        Weighed(at_s=0, kg=0.0)
    with pytest.raises(Problem):
        dry_state(series((0, 100)), DRY, 1.0)
