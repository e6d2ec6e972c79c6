"""Cartridges and paste for a print set (worked example by hand: coding only)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.cartridges import (
    Cartridge,
    bead_flow_m3_s,
    cartridge_lasts_s,
    cartridges_begun_within,
    cartridges_from_paste,
    parts_from_cartridges,
    paste_for_cartridges,
    paste_for_parts,
    two_ways,
)

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


def test_3_04_is_three_with_18_ml_trimmed_or_four() -> None:
    """1240 mL + 8 %: 3.04; three take 3 x 470 mL of paste, four 1339 + 4 x 30, each and 3 % (by hand: coding only)."""
    ways = two_ways(1240e-6, HALF_LITRE)
    assert f"{ways.exact_count:.2f}" == "3.04" and (ways.fewer, ways.more) == (3, 4)
    assert ways.trim_m3 == pytest.approx(18e-6, abs=0.5e-6)
    assert ways.fewer_paste_m3 == pytest.approx(1.4523e-3, abs=1e-7)
    assert ways.more_paste_m3 == pytest.approx(1.50e-3, abs=0.005e-3)


@given(st.floats(1e-6, 1e-2))
def test_trimmed_it_fits_the_fewer_and_no_cartridge_fewer_is_none(parts: float) -> None:
    ways = two_ways(parts, HALF_LITRE)
    if ways.fewer == 0:
        assert ways.exact_count <= 1 and ways.fewer_paste_m3 == 0
    else:
        assert parts - ways.trim_m3 == pytest.approx(parts_from_cartridges(HALF_LITRE, ways.fewer), rel=1e-6)
        assert ways.fewer_paste_m3 <= ways.more_paste_m3 * (1 + 1e-9)


def test_a_count_that_comes_out_whole_needs_no_trimming() -> None:
    ways = two_ways(parts_from_cartridges(HALF_LITRE, 2), HALF_LITRE)
    assert (ways.fewer, ways.more, ways.trim_m3) == (2, 2, 0.0)


def test_one_lasts_two_hours_and_two_are_begun_within_three() -> None:
    """440 mL at 0.058 mL/s (2.4 x 1.2 mm bead at 20 mm/s): 2.1 h; pot life 3 h (by hand: coding only)."""
    lasts = cartridge_lasts_s(HALF_LITRE, 0.058e-6)
    assert lasts / 3600 == pytest.approx(2.1, abs=0.05)
    assert cartridges_begun_within(3 * 3600, lasts) == 2 and cartridges_begun_within(1 * 3600, lasts) == 1
    assert cartridges_begun_within(0, lasts) == 1 and cartridges_begun_within(2 * lasts, lasts) == 2


@pytest.mark.parametrize("flow", [0.0, -1e-8, float("nan"), float("inf")])
def test_no_flow_is_refused(flow: float) -> None:
    with pytest.raises(OutsideRange):
        cartridge_lasts_s(HALF_LITRE, flow)


def test_a_bead_of_2_4_by_1_2_mm_at_20_mm_a_second_takes_0_058_ml() -> None:
    assert bead_flow_m3_s(2.4e-3, 1.2e-3, 20e-3) == pytest.approx(0.058e-6, abs=0.0005e-6)
    assert bead_flow_m3_s(2.4e-3, 1.2e-3, 40e-3) == pytest.approx(2 * bead_flow_m3_s(2.4e-3, 1.2e-3, 20e-3))


@pytest.mark.parametrize("at", range(3))
@pytest.mark.parametrize("bad", [0.0, -1e-3, float("nan"), float("inf")])
def test_a_bead_without_size_or_speed_is_refused(at: int, bad: float) -> None:
    given = [2.4e-3, 1.2e-3, 20e-3]
    given[at] = bad
    with pytest.raises(OutsideRange):
        bead_flow_m3_s(*given)


@given(st.integers(1, 50))
def test_paste_for_so_many_fills_so_many(count: int) -> None:
    assert cartridges_from_paste(paste_for_cartridges(HALF_LITRE, count), HALF_LITRE) == pytest.approx(count)
    assert cartridges_from_paste(0.0, HALF_LITRE) == 0


@pytest.mark.parametrize("paste", [-1e-6, float("nan"), float("inf")])
def test_a_bowl_of_less_than_nothing_is_refused(paste: float) -> None:
    with pytest.raises(OutsideRange):
        cartridges_from_paste(paste, HALF_LITRE)
