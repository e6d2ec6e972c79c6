"""Three-point bend: 20 N, span 60, 10 x 6 mm -> 5.0 MPa (own arithmetic on iso178)."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.three_point_bend import TEST
from slake.ground.evidence import Kind


def evidence(*loads: str, ended: str = "", **sizes: str):
    return TEST.inverse(TEST.read({"ended": ended}, [{"load_n": load, **sizes} for load in loads]), Context())


def test_load_to_strength():
    assert evidence("20").low == pytest.approx(5.0e6, abs=0.05e6)


def test_bars_are_averaged_by_their_logarithm():
    """10 and 40 N: the same as twice 20 N."""
    assert evidence("10", "40").low == pytest.approx(evidence("20", "20").low)
    assert evidence("10", "40").scatter > evidence("20", "20").scatter


def test_bars_that_held_say_stronger_than():
    found = evidence("20", ended="none broke")
    assert found.kind is Kind.ABOVE and "stronger" in found.note


def test_a_short_span_says_so():
    assert "8 thicknesses" in evidence("20", span_mm="40").note
    assert evidence("20", span_mm="48").note == ""
