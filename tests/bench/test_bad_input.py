"""Bad input over every declared test is one sentence, whatever is typed; good input never becomes another error."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.bench.declaration import BenchTest, Choice, Context, Scalar
from slake.bench.shelf import all_tests
from slake.ground.problems import DoesNotFit, Problem
from tests.bench.good_readings import GOOD

DECLARED = list(all_tests().values())
each = pytest.mark.parametrize("test", DECLARED, ids=lambda test: test.id)
BAD = ["-5", "nan", "inf", "-inf", "1e999", "1e9", "12 parsec", "soft", "1.000,5", "1_0", "٣", "--3", "5 5x", "9" * 400]


def fields(test: BenchTest) -> list[tuple[Scalar | Choice, bool]]:
    """Every input and column, and whether it is a column."""
    columns = test.rows.columns if test.rows else ()
    return [(item, False) for item in test.inputs] + [(column, True) for column in columns]


HALVES = {"wet_across_mm", "wet_height_mm", "plug_wet_g", "plug_dry_g"}
"""May be left open, with the other half of their pair and not without."""
CASES = [
    pytest.param(test, item, in_row, id=f"{test.id}-{item.name}") for test in DECLARED for item, in_row in fields(test)
]
NUMBER_CASES = [case for case in CASES if isinstance(case.values[1], Scalar)]


def typed_with(test: BenchTest, name: str, text: str, in_row: bool) -> tuple[dict[str, str], list[dict[str, str]]]:
    typed, rows = GOOD[test.id]
    if in_row:
        return dict(typed), [{**rows[0], name: text}, *map(dict, rows[1:])]
    return {**typed, name: text}, [dict(row) for row in rows]


def is_one_sentence(problem: Problem) -> bool:
    said = str(problem)
    return 20 < len(said) < 330 and "\n" not in said and "Traceback" not in said


@pytest.mark.parametrize("text", BAD, ids=lambda text: text[:8])
@pytest.mark.parametrize(("test", "item", "in_row"), CASES)
def test_bad_text_is_refused_in_one_sentence_that_names_the_field(test, item, in_row, text):
    with pytest.raises(Problem) as refused:
        test.read(*typed_with(test, item.name, text, in_row))
    assert is_one_sentence(refused.value)
    assert item.label in str(refused.value)


@pytest.mark.parametrize(("test", "item", "in_row"), CASES)
def test_an_empty_answer_takes_the_typical_value_or_is_asked_again(test, item, in_row):
    typed = typed_with(test, item.name, "", in_row)
    if isinstance(item, Scalar) and item.later:
        assert item.name not in (test.read(*typed).rows[0] if in_row else test.read(*typed).numbers)
        return
    if item.typical is None:
        with pytest.raises(Problem) as refused:
            test.read(*typed)
        assert is_one_sentence(refused.value)
        return
    if item.name in HALVES:
        with pytest.raises(DoesNotFit) as refused:
            test.read(*typed)
        assert is_one_sentence(refused.value)
        return
    raw = test.read(*typed)
    kept = raw.rows[0] if in_row else {**raw.numbers, **raw.words}
    assert kept[item.name] == (item.typical if isinstance(item, Choice) else pytest.approx(item.typical_si()))


@pytest.mark.parametrize("zero", ["0", "0,0", "-0"])
@pytest.mark.parametrize(("test", "item", "in_row"), NUMBER_CASES)
def test_zero_is_refused_where_nothing_can_be_zero(test, item, in_row, zero):
    typed = typed_with(test, item.name, zero, in_row)
    if item.low > 0:
        with pytest.raises(Problem) as refused:
            test.read(*typed)
        assert is_one_sentence(refused.value)
    elif item.name in HALVES:
        with pytest.raises(DoesNotFit):
            test.read(*typed)
    else:
        test.inverse(test.read(*typed), Context())


@pytest.mark.parametrize(("test", "item", "in_row"), NUMBER_CASES)
def test_a_decimal_comma_is_a_decimal_point_and_the_unit_may_follow(test, item, in_row):
    if item.whole:
        pytest.skip("counted in whole numbers")
    typed, rows = GOOD[test.id]
    good = float((rows[0] if in_row else typed)[item.name])
    point, comma, unit = (
        test.read(*typed_with(test, item.name, text, in_row))
        for text in (f"{good:.2f}", f"{good:.2f}".replace(".", ","), f"{good:.2f} {item.unit}")
    )
    assert point.numbers == comma.numbers == unit.numbers
    assert point.rows == comma.rows == unit.rows


@pytest.mark.parametrize(("test", "item", "in_row"), NUMBER_CASES)
def test_another_unit_is_refused_not_guessed(test, item, in_row):
    other = "inch" if item.unit != "inch" else "mm"
    with pytest.raises(Problem, match="plain number"):
        test.read(*typed_with(test, item.name, f"12 {other}", in_row))


@pytest.mark.parametrize("value", [-1e9, -7.0, math.nan, math.inf, -math.inf, 1e9, 1e308])
@each
def test_a_number_alone_is_held_to_the_same_limits(test, value):
    if test.floor <= value <= test.ceiling:
        assert test.headline(test.quick(value)).value == pytest.approx(value)
        return
    with pytest.raises(Problem) as refused:
        test.quick(value)
    assert is_one_sentence(refused.value)


@pytest.mark.parametrize("test", [t for t in DECLARED if t.rows], ids=lambda test: test.id)
def test_rows_too_many_or_none_are_refused_and_blank_ones_left_out(test):
    typed, rows = GOOD[test.id]
    with pytest.raises(DoesNotFit, match=f"to {test.rows.at_most}"):
        test.read(typed, [rows[0]] * (test.rows.at_most + 1))
    if test.rows.at_least:
        with pytest.raises(DoesNotFit, match="0 filled in"):
            test.read(typed, [])
    blank = {column.name: " " for column in test.rows.columns}
    assert test.read(typed, [*rows, blank]).rows == test.read(typed, rows).rows


@each
def test_a_word_that_is_not_offered_is_refused_with_those_that_are(test):
    for item in test.inputs:
        if isinstance(item, Choice):
            with pytest.raises(Problem, match="choose one of"):
                test.read(*typed_with(test, item.name, "sideways", False))
            for key, word in item.words.items():
                assert item.read(word.upper()) == key


@given(data=st.data())
@each
def test_any_text_gives_evidence_or_one_sentence(test, data):
    text = st.one_of(st.text(max_size=30), st.floats().map(str), st.integers(-999, 9999).map(str), st.sampled_from(BAD))
    typed, rows = GOOD[test.id]
    typed = {name: data.draw(st.one_of(st.just(good), text)) for name, good in typed.items()}
    rows = [{name: data.draw(st.one_of(st.just(good), text)) for name, good in row.items()} for row in rows]
    try:
        raw = test.read(typed, rows)
        evidence = test.inverse(raw, Context())
    except Problem as problem:
        assert is_one_sentence(problem)
        return
    assert evidence.informs == test.informs
    if not test.says_nothing_yet(raw):
        assert test.floor - 1e-6 <= test.headline(raw).value <= test.ceiling + 1e-6


@given(data=st.data())
@each
def test_any_number_within_the_limits_gives_evidence_or_one_sentence(test, data):
    """The corners: numbers each allowed that together make no paste."""

    def number(item: Scalar | Choice) -> str:
        if isinstance(item, Choice):
            return data.draw(st.sampled_from(list(item.words)))
        if item.whole:
            return str(data.draw(st.integers(int(item.low), int(item.high))))
        return f"{data.draw(st.floats(item.low, item.high)):.6g}"

    typed = {item.name: number(item) for item in test.inputs}
    columns = test.rows.columns if test.rows else ()
    rows = [{c.name: number(c) for c in columns} for _ in range(2)] if test.rows else []
    try:
        evidence = test.inverse(test.read(typed, rows), Context())
    except Problem as problem:
        assert is_one_sentence(problem)
        return
    assert evidence.informs == test.informs
    for side in (evidence.low, evidence.high):
        if side is not None:
            assert math.isfinite(test.forward(side, Context()))


@given(value=st.floats(0, 400, allow_nan=False))
@each
def test_any_number_alone_gives_evidence_or_one_sentence(test, value):
    try:
        evidence = test.inverse(test.quick(value), Context())
    except Problem as problem:
        assert is_one_sentence(problem)
        return
    assert evidence.informs == test.informs
