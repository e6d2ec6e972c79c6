"""Three-point bend: 20 N, span 60, 10 x 6 mm -> 5.0 MPa (own arithmetic on iso178)."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.three_point_bend import TEST
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit, Problem


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


@pytest.mark.parametrize(("span", "thick"), [("50", "60"), ("60", "31"), ("10", "100")])
def test_a_bar_too_stout_for_its_span_is_refused(span, thick):
    with pytest.raises(DoesNotFit, match="crushed, not bent"):
        evidence("20", span_mm=span, thickness_mm=thick)
    assert evidence("20", span_mm="62", thickness_mm="31").note


@pytest.mark.parametrize("nothing", ["0", "0.0", "0,0", "-0", "0 mm"])
@pytest.mark.parametrize("side", ["span_mm", "width_mm", "thickness_mm"])
def test_a_bar_of_no_size_is_refused(side, nothing):
    with pytest.raises(Problem, match="mm"):
        evidence("20", **{side: nothing})
