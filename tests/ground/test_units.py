"""Doors between bench units and SI go both ways and refuse what they do not know."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import Problem
from slake.ground.units import UNITS, from_si, to_si


@given(st.sampled_from(sorted(UNITS)), st.floats(min_value=-1e6, max_value=1e6))
def test_there_and_back(unit: str, value: float) -> None:
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("bench", "unit", "si"),
    [(80, "g", 0.08), (20, "mm", 0.02), (50, "mL", 5e-5), (25, "C", 298.15), (1.5, "g/mL", 1500), (90, "min", 5400)],
)
def test_definitions(bench: float, unit: str, si: float) -> None:
    assert to_si(bench, unit) == pytest.approx(si, rel=1e-12)


def test_micro_is_read_in_both_its_letters() -> None:
    assert to_si(125, "µm") == to_si(125, "μm") == to_si(125, "um")


def test_an_unknown_unit_is_a_problem() -> None:
    with pytest.raises(Problem, match="not known"):
        to_si(1, "stone")
