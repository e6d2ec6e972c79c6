"""How long fresh waste keeps and how dry its powder must be: practice, said so, and colder is never shorter."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange
from slake.ground.units import to_si
from slake.paste.fresh import fresh_of, keeps_at
from slake.paste.ingredients import HowKnown, Role, catalogue, find, typical_of_role

FOUR_DAYS = Range(low=to_si(3, "day"), mid=to_si(4, "day"), high=to_si(6, "day"))


def test_grain_keeps_four_days_and_coffee_two_to_four_at_20_c() -> None:
    """Slight mould on grain on day 4, heavy on day 6; coffee on day 2 to 4: common practice, no source."""
    assert fresh_of(find("spent grain")).keeps == FOUR_DAYS
    coffee = fresh_of(find("coffee grounds")).keeps
    assert (coffee.low, coffee.high) == (to_si(2, "day"), to_si(4, "day"))


def test_every_ingredient_of_the_list_and_a_strange_one_has_an_answer() -> None:
    for item in [*catalogue().values(), typical_of_role("kelp of the bay", Role.FILLER)]:
        found = fresh_of(item)
        assert 0 < found.keeps.low < found.keeps.high
        assert 0 <= found.leaves.value.low < 1 and 0 < found.store_below <= 0.1
        if item.fresh_moisture is None:
            assert found.leaves.how is HowKnown.PRACTICE


def test_shell_is_stored_drier_than_what_grows() -> None:
    assert fresh_of(find("mussel shell")).store_below == 0.02
    assert fresh_of(find("spent grain")).store_below == 0.10


def test_at_20_c_it_keeps_as_the_table_says_and_ten_colder_two_to_three_times_longer() -> None:
    assert keeps_at(FOUR_DAYS, to_si(20, "C")) == FOUR_DAYS
    cold = keeps_at(FOUR_DAYS, to_si(10, "C"))
    assert cold.low == pytest.approx(2 * FOUR_DAYS.low) and cold.high == pytest.approx(3 * FOUR_DAYS.high)
    warm = keeps_at(FOUR_DAYS, to_si(30, "C"))
    assert warm.low == pytest.approx(FOUR_DAYS.low / 3) and warm.high == pytest.approx(FOUR_DAYS.high / 2)


@given(st.floats(-40, 80), st.floats(-40, 80))
def test_colder_never_keeps_shorter(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    longer, shorter = keeps_at(FOUR_DAYS, to_si(cold, "C")), keeps_at(FOUR_DAYS, to_si(warm, "C"))
    assert longer.low >= shorter.low and longer.mid >= shorter.mid and longer.high >= shorter.high


def test_a_temperature_nobody_knows_widens_the_range_both_ways() -> None:
    open_, said = keeps_at(FOUR_DAYS, None), keeps_at(FOUR_DAYS, to_si(20, "C"))
    assert open_.low < said.low and open_.high > said.high and open_.mid == said.mid


@pytest.mark.parametrize("celsius", [-41, 81, float("nan"), float("inf")])
def test_absurd_temperatures_are_refused(celsius: float) -> None:
    with pytest.raises(OutsideRange):
        keeps_at(FOUR_DAYS, to_si(celsius, "C"))
