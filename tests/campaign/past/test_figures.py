"""Numbers and days as other countries write them."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.campaign.past.figures import Days, Figures, day, figure, guess_days, guess_figures
from slake.ground.problems import Problem


@given(st.integers(-(10**9), 10**9))
def test_grouped_numbers_are_read_back(thousandths: int):
    value = thousandths / 1000
    english = f"{value:,.3f}"
    german = english.translate(str.maketrans(",.", ".,"))
    assert figure(english, "x", Figures.POINT) == pytest.approx(value, abs=1e-9)
    assert figure(german, "x", Figures.COMMA) == pytest.approx(value, abs=1e-9)


@given(st.floats(0.001, 999, allow_nan=False))
def test_point_and_comma_mean_the_same_where_nothing_is_grouped(value: float):
    text = f"{value:.4f}"
    assert figure(text, "x", Figures.EITHER) == figure(text.replace(".", ","), "x", Figures.EITHER) == float(text)


def test_the_way_of_writing_is_guessed_from_numbers_with_both_marks():
    assert guess_figures(["1.234,5", "3,2"]) is Figures.COMMA
    assert guess_figures(["1,234.5"]) is Figures.POINT
    assert guess_figures(["1,5", "2.5"]) is Figures.EITHER
    assert guess_figures(["1.234,5", "1,234.5"]) is Figures.EITHER


def test_a_number_not_written_as_said_is_refused_not_guessed():
    assert figure("1.234", "x", Figures.COMMA) == 1234
    assert figure(1.234, "x", Figures.COMMA) == 1.234  # a workbook's own number is no text
    for text, how in (
        ("2.5", Figures.COMMA),
        ("1,5", Figures.POINT),
        ("1.234,5", Figures.EITHER),
        ("=1+1", Figures.EITHER),
    ):
        with pytest.raises(Problem, match="x is"):
            figure(text, "x", how)


def test_days_of_every_kind():
    noon = datetime(2024, 3, 5, 12)
    for text in ("2024-03-05", "5.3.2024", "05/03/2024", "2024/3/5"):
        assert day(text, "day", Days.DAY_FIRST, False) == noon
    assert day("03/05/2024", "day", Days.MONTH_FIRST, False) == noon
    assert day("2024-03-05 14:30", "day", Days.DAY_FIRST, False) == datetime(2024, 3, 5, 14, 30)
    assert day(datetime(2024, 3, 5), "day", Days.DAY_FIRST, False) == noon


def test_a_day_count_is_that_of_its_workbook():
    """45356 is 5 March 2024 from 1900: 45292 is 1 January 2024 (as spreadsheets print it) plus 31 + 29 + 4 days."""
    assert 45292 + 31 + 29 + 4 == 45356
    assert day(45356.0, "day", Days.DAY_FIRST, False) == datetime(2024, 3, 5, 12)
    assert day("45356", "day", Days.DAY_FIRST, True) - datetime(2024, 3, 5, 12) == timedelta(days=1462)


@pytest.mark.parametrize("text", ["31.02.2024", "yesterday", "13/13/2024", "0024-01-01", "99999", "1.5"])
def test_what_is_no_day_is_one_sentence(text: str):
    with pytest.raises(Problem, match="day"):
        day(text, "day", Days.DAY_FIRST, False)


def test_which_comes_first_is_guessed_only_where_it_shows():
    assert guess_days(["03/25/2024", "01/02/2024"]) is Days.MONTH_FIRST
    assert guess_days(["25/03/2024", "01/02/2024"]) is guess_days(["01/02/2024"]) is Days.DAY_FIRST
