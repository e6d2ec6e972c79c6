"""Free spans: beams by hand, the order of the forms, scaling."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.sagging import (
    BUILT_IN_PLASTIC,
    HINGED_ELASTIC,
    HINGED_PLASTIC,
    droop_m,
    span_factor,
    span_limit_m,
)


def test_the_ideal_plastic_limit_of_a_two_millimetre_bead() -> None:
    """A bead of 2 mm and 1 kPa in shear, a plastic beam that rests at its ends: about 20 mm (own arithmetic)."""
    assert span_limit_m(math.sqrt(3) * 1000, 0.002, 1500, HINGED_PLASTIC) == pytest.approx(0.0217, rel=0.01)


def test_moments_by_hand() -> None:
    """At the limit the moment at the middle is that of the section: elastic strength h^2/6, plastic strength h^2/4."""
    stress, high, weight = 1732.0, 0.002, 1500 * 9.81 * 0.002
    rests, yielded, built_in = (
        span_limit_m(stress, high, 1500, form) for form in (HINGED_ELASTIC, HINGED_PLASTIC, BUILT_IN_PLASTIC)
    )
    assert weight * rests**2 / 8 == pytest.approx(stress * high**2 / 6)
    assert weight * yielded**2 / 8 == pytest.approx(stress * high**2 / 4)
    assert weight * built_in**2 / 16 == pytest.approx(stress * high**2 / 4)


@given(st.floats(100, 1e4), st.floats(5e-4, 0.01), st.floats(900, 2500))
def test_at_its_limit_a_span_bears_its_weight_once(stress: float, high: float, density: float) -> None:
    span = span_limit_m(stress, high, density, HINGED_ELASTIC)
    assert span_factor(stress, high, density, span, HINGED_ELASTIC) == pytest.approx(1.0)
    assert span_factor(stress, high, density, span / 2, HINGED_ELASTIC) == pytest.approx(4.0)


def test_droop_by_hand() -> None:
    """5 q L^4 / (384 E I) with q = rho g b h and I = b h^3 / 12."""
    q, i = 1500 * 9.81 * 0.003 * 0.002, 0.003 * 0.002**3 / 12
    assert droop_m(3e5, 0.002, 1500, 0.015) == pytest.approx(5 * q * 0.015**4 / (384 * 3e5 * i))


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_bad_numbers_are_refused(bad: float) -> None:
    for call in (
        lambda: span_limit_m(bad, 0.002, 1500, HINGED_ELASTIC),
        lambda: span_limit_m(1000, bad, 1500, HINGED_ELASTIC),
        lambda: droop_m(bad, 0.002, 1500, 0.01),
    ):
        with pytest.raises(OutsideRange):
            call()
