"""Spring-back: 0.5 mm on the 54 mm column of 30 mL is 0.93 % (own arithmetic)."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.spring_back import TEST
from slake.ground.problems import DoesNotFit


def evidence(back: str, column: str = ""):
    return TEST.inverse(TEST.read({"return_mm": back, "column_mm": column}), Context())


def test_return_per_paste_length():
    assert evidence("0.5").low == pytest.approx(0.0093, abs=0.00005)
    assert evidence("0.5", "27").low == pytest.approx(0.0185, abs=0.00005)


def test_none_is_an_answer_with_the_reading_error_left():
    assert evidence("0").low == 0 and evidence("0").scatter == pytest.approx(0.004)


def test_a_large_return_is_doubted_and_an_impossible_one_refused():
    assert "air" in evidence("8").note and evidence("1").note == ""
    with pytest.raises(DoesNotFit, match="slipped"):
        evidence("30")
