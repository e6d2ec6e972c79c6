"""Crack grade: a grade is an interval, and the ends are open."""

from __future__ import annotations

import pytest

from slake.bench.crack_grade import TEST
from slake.bench.declaration import Context
from slake.ground.evidence import Kind
from slake.ground.problems import NotANumber


@pytest.mark.parametrize(
    ("grade", "kind", "low", "high"),
    [
        ("0", Kind.BELOW, None, 0.5),
        ("1", Kind.BETWEEN, 0.5, 1.5),
        ("4", Kind.BETWEEN, 3.5, 4.5),
        ("5", Kind.ABOVE, 4.5, None),
    ],
)
def test_grade_to_interval(grade: str, kind: Kind, low: float | None, high: float | None):
    found = TEST.inverse(TEST.read({"crack_grade": grade}), Context())
    assert (found.kind, found.low, found.high) == (kind, low, high)


def test_the_words_of_a_grade_are_an_answer_too():
    raw = TEST.read({"crack_grade": "4 through the wall"})
    assert (TEST.headline(raw).value, TEST.headline(raw).words) == (4, "through the wall")


def test_a_half_grade_is_asked_again():
    with pytest.raises(NotANumber, match="whole"):
        TEST.quick(1.5)


def test_expected_grades_stay_on_the_scale():
    assert [TEST.forward(g, Context()) for g in (-3, 2.5, 9)] == [0, 2.5, 5]
