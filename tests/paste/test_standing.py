"""How high it stands: inverses, scaling and refusals. Printed values stand in tests/references."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import jv

from slake.ground.problems import OutsideRange
from slake.paste import standing


def test_the_buckling_constant_is_nine_quarters_of_the_bessel_zero_squared() -> None:
    """Outside: scipy's Bessel function of order -1/3 vanishes at the zero the constant rests on."""
    zero = (standing.SELF_BUCKLING * 4 / 9) ** 0.5
    assert zero == pytest.approx(1.8663509, abs=5e-7)
    assert jv(-1 / 3, zero) == pytest.approx(0, abs=1e-6)


@given(st.floats(10, 1e5), st.floats(900, 2600))
def test_yield_height_there_and_back(stress: float, density: float) -> None:
    assert standing.yield_stress_to_stand_pa(standing.yield_height_m(stress, density), density) == pytest.approx(stress)


@given(st.floats(1e3, 1e7), st.floats(900, 2600), st.floats(1e-3, 0.05))
def test_folding_there_and_back(modulus: float, density: float, wall: float) -> None:
    height = standing.wall_buckling_height_m(modulus, density, wall)
    assert standing.modulus_from_folding_pa(height, density, wall) == pytest.approx(modulus, rel=1e-9)


def test_stiffer_thicker_and_lighter_stand_higher() -> None:
    """Direction only."""
    base = standing.wall_buckling_height_m(3e5, 1500, 0.003)
    assert standing.wall_buckling_height_m(8 * 3e5, 1500, 0.003) == pytest.approx(2 * base)
    assert standing.wall_buckling_height_m(3e5, 1500, 0.006) > base
    assert standing.wall_buckling_height_m(3e5, 1200, 0.003) > base
    assert standing.yield_height_m(2000, 1500) == pytest.approx(2 * standing.yield_height_m(1000, 1500))


@given(st.floats(1, 200), st.floats(2e-4, 0.02))
def test_layers_there_and_back(layers: float, layer_height: float) -> None:
    height = standing.height_from_layers_m(layers, layer_height)
    assert standing.layers_from_height(height, layer_height) == pytest.approx(layers)


def test_no_height_is_no_layers_and_less_is_refused() -> None:
    assert standing.layers_from_height(0.0, 1e-3) == 0
    for bad in (-1e-6, float("nan"), float("inf")):
        with pytest.raises(OutsideRange):
            standing.layers_from_height(bad, 1e-3)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_bad_numbers_are_refused(bad: float) -> None:
    for call in (
        lambda: standing.yield_height_m(bad, 1500),
        lambda: standing.yield_height_m(1000, bad),
        lambda: standing.wall_buckling_height_m(bad, 1500, 0.003),
        lambda: standing.wall_buckling_height_m(3e5, 1500, bad),
        lambda: standing.layers_from_height(0.1, bad),
        lambda: standing.height_from_layers_m(bad, 1e-3),
    ):
        with pytest.raises(OutsideRange):
            call()
