"""Cartridges and paste for a print set (worked example by hand: coding only)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.cartridges import Cartridge, parts_from_cartridges, paste_for_cartridges, paste_for_parts

HALF_LITRE = Cartridge(volume_m3=500e-6)


def test_a_print_set_of_1240_ml() -> None:
    """1240 mL + 8 % = 1339 mL; 440 usable per 500: 3.04 -> 4, or trim 18 mL; 1.50 L to mix (by hand: coding only)."""
    need = paste_for_parts(1240e-6, HALF_LITRE)
    assert HALF_LITRE.usable_m3 == pytest.approx(440e-6)
    assert need.exact_count == pytest.approx(3.04, abs=0.005)
    assert need.count == 4
    assert need.over_m3 == pytest.approx(18e-6, abs=0.5e-6)
    assert need.paste_m3 == pytest.approx(1.50e-3, abs=0.005e-3)


@given(st.integers(1, 40), st.floats(0, 0.5), st.floats(1e-4, 1e-2))
def test_full_cartridges_there_and_back(count: int, purge: float, volume: float) -> None:
    cartridge = Cartridge(volume_m3=volume, residue_m3=0.05 * volume)
    need = paste_for_parts(parts_from_cartridges(cartridge, count, purge), cartridge, purge)
    assert need.count == count
    assert need.paste_m3 == pytest.approx(paste_for_cartridges(cartridge, count))


@given(st.floats(1e-6, 1e-2))
def test_the_count_is_enough_and_one_less_is_not(parts: float) -> None:
    need = paste_for_parts(parts, HALF_LITRE)
    assert parts_from_cartridges(HALF_LITRE, need.count) >= parts * (1 - 1e-8)
    if need.count > 1:
        assert parts_from_cartridges(HALF_LITRE, need.count - 1) < parts


@pytest.mark.parametrize(
    "bad",
    [
        {"volume_m3": 0.0},
        {"volume_m3": float("nan")},
        {"volume_m3": 5e-4, "fill": 1.2},
        {"volume_m3": 5e-4, "residue_m3": 6e-4},
        {"volume_m3": 5e-4, "residue_m3": -1e-6},
    ],
)
def test_impossible_cartridges_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(OutsideRange):
        Cartridge(**bad)


@pytest.mark.parametrize(("parts", "purge"), [(0.0, 0.1), (float("inf"), 0.1), (1e-3, -0.1), (1e-3, 1.0)])
def test_impossible_prints_are_refused(parts: float, purge: float) -> None:
    with pytest.raises(OutsideRange):
        paste_for_parts(parts, HALF_LITRE, purge)


@pytest.mark.parametrize("count", [0, -1])
def test_no_cartridge_is_refused(count: int) -> None:
    with pytest.raises(OutsideRange):
        paste_for_cartridges(HALF_LITRE, count)
    with pytest.raises(OutsideRange):
        parts_from_cartridges(HALF_LITRE, count)
