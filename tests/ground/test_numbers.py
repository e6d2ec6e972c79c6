"""The one reader of typed numbers: what it takes, and that everything else is one sentence and never a guess."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.numbers import LONGEST_NUMBER, Limits, read_in_units, read_number, read_optional
from slake.ground.problems import NotANumber, OutsideRange, Problem


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("1,5", 1.5),
        ("1.5", 1.5),
        (" 12 ", 12.0),
        ("-3,25", -3.25),
        ("−3,25", -3.25),
        (",5", 0.5),
        ("5.", 5.0),
        ("1e-3", 1e-3),
        ("1 200", 1200.0),
        ("12\N{NARROW NO-BREAK SPACE}345,5", 12345.5),
        ("+7", 7.0),
    ],
)
def test_what_is_read(typed: str, value: float) -> None:
    assert read_number(typed, "cone depth") == value


@pytest.mark.parametrize(
    "typed",
    [
        "", " ", "nan", "NaN", "inf", "-inf", "Infinity", "1_000", "1.234,5", "1,234.5", "1,2,3", "1.2.3", "12 13",
        "1 2", "1 20", "0x10", "1e", "e5", "1e9999", "five", "5 g", "12-13", "--5", "+-5", "1/2", "5%", "٣", "１２",
        "४", "½", "Ⅳ", "²", "1\x00", "1\n2", "１，５", "1٫5", "1" * 25, "9" * 10**6, "x" * 10**6, "‮12",
    ],
)  # fmt: skip
def test_what_is_refused_with_one_short_sentence(typed: str) -> None:
    with pytest.raises(NotANumber) as refused:
        read_number(typed, "cone depth", Limits(low=0, high=60, unit="mm"))
    sentence = str(refused.value)
    assert sentence.startswith("cone depth is ") and len(sentence) < 200


@pytest.mark.parametrize("given_", [True, False, float("nan"), float("inf"), 10**400, None, [], 1j])
def test_what_is_refused_from_a_notebook(given_: object) -> None:
    with pytest.raises(NotANumber):
        read_number(given_, "cone depth")  # type: ignore[arg-type]


@pytest.mark.parametrize("given_", [3, 3.0, np.float32(3), np.int64(3), Fraction(3)])
def test_what_is_taken_from_a_notebook(given_: object) -> None:
    assert read_number(given_, "cone depth") == 3.0  # type: ignore[arg-type]


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e15, max_value=1e15))
def test_comma_and_point_mean_the_same(value: float) -> None:
    text = repr(value)
    if len(text) <= LONGEST_NUMBER:
        assert read_number(text, "x") == value == read_number(text.replace(".", ","), "x")


@given(st.text(max_size=60))
def test_any_text_gives_a_finite_number_or_a_problem(text: str) -> None:
    try:
        assert math.isfinite(read_number(text, "x", Limits(unit="mm")))
    except Problem as refused:
        assert "x is" in str(refused)


@given(st.text(alphabet="0123456789.,+-eE _", min_size=1, max_size=26))
def test_what_is_read_is_what_python_reads_with_a_point(text: str) -> None:
    try:
        value = read_number(text, "x")
    except NotANumber:
        return
    assert "_" not in text and value == float(text.replace(" ", "").replace(",", "."))


@pytest.mark.parametrize("typed", ["19 mm", "19mm", "19,0 mm"])
def test_the_expected_unit_may_stand_behind(typed: str) -> None:
    assert read_number(typed, "cone depth", Limits(unit="mm")) == 19


def test_a_unit_of_another_quantity_is_refused() -> None:
    for typed in ("1,9 kg", "1,9 s", "1,9 C", "1,9 furlong", "cm", "1.234,5 cm"):
        with pytest.raises(NotANumber):
            read_number(typed, "cone depth", Limits(unit="mm"))
    with pytest.raises(NotANumber):
        read_number("5 %", "water demand", Limits(unit="g/g"))  # the same dimension, another basis


@pytest.mark.parametrize(
    ("typed", "unit", "read"),
    [
        ("2,4 kg", "g", 2400.0),
        ("4 cm", "mm", 40.0),
        ("1.5 L", "mL", 1500.0),
        ("1,5 l", "mL", 1500.0),
        ("3 min", "s", 180.0),
        ("2 h", "min", 120.0),
        ("36 h", "day", 1.5),
        ("0,5 mm", "um", 500.0),
        ("250 g", "kg", 0.25),
        ("1 200 g", "kg", 1.2),
        ("2 kPa", "Pa", 2000.0),
        ("19 mm", "mm", 19.0),
    ],
)
def test_another_unit_of_the_same_quantity_is_converted(typed: str, unit: str, read: float) -> None:
    assert read_number(typed, "it", Limits(unit=unit)) == read


def test_a_converted_number_outside_its_limits_says_how_it_was_read() -> None:
    with pytest.raises(OutsideRange, match="as read from “2,4 kg”, is 2400, but must be from 0 to 1000"):
        read_number("2,4 kg", "powder", Limits(low=0, high=1000, unit="g"))


def test_a_limit_as_far_out_as_none_is_not_said() -> None:
    for limits, words in (
        (Limits(low=-1e9, high=12), "must be 12 or less"),
        (Limits(low=14, high=1e9), "must be 14 or more"),
    ):
        with pytest.raises(OutsideRange, match=words) as refused:
            read_number("13", "it", limits)
        assert "e+" not in str(refused.value)


@pytest.mark.parametrize("typed", ["-1", "61", "1e20"])
def test_outside_its_limits_says_what_how_much_between_which_and_what_to_do(typed: str) -> None:
    with pytest.raises(OutsideRange) as refused:
        read_number(typed, "cone depth", Limits(low=0, high=60, unit="mm", do="read it again"))
    assert refused.value.low == 0 and refused.value.high == 60
    assert "from 0 to 60: read it again" in str(refused.value)


@pytest.mark.parametrize("got", [float("nan"), float("inf"), float("-inf"), 0.0, -1e-300, 1e300])
def test_the_sentence_can_be_made_of_any_number(got: float) -> None:
    assert "must be" in str(OutsideRange("x", got=got, low=0, high=1, do="again"))


@pytest.mark.parametrize("typed", [None, "", " ", "?", "don't know", "Don’t know", "unknown"])
def test_open_answers_are_none(typed: str | None) -> None:
    assert read_optional(typed, "moisture") is None


def test_zero_is_not_an_open_answer() -> None:
    assert read_optional("0", "moisture") == 0


SIEVE = Limits(low=1, high=20000, unit="um")


@pytest.mark.parametrize(
    ("typed", "um"),
    [("500", 500), ("0,5 mm", 500), ("0.125mm", 125), ("250 um", 250), ("250 µm", 250), ("20 mm", 20000), ("", None)],
)
def test_a_length_may_carry_another_unit_and_is_converted(typed: str, um: float | None) -> None:
    assert read_in_units(typed, "sieve", SIEVE, ("mm",)) == um


@pytest.mark.parametrize("typed", ["500 mm", "-0,5 mm", "0 mm", "mm", "nan mm", "50 cm"])
def test_a_length_in_another_unit_has_the_same_limits(typed: str) -> None:
    with pytest.raises(Problem):
        read_in_units(typed, "sieve", SIEVE, ("mm",))
