"""How uneven a wall dries and how long its first stage takes: limits, by hand, and invariance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.ground.units import to_si
from slake.paste.uneven_drying import COVERED, OPEN_AIR, crack_drive_times, first_stage_s, water_ahead_kg_m3

SIZES = st.floats(1e-6, 1e3)


def test_by_hand():
    """45 g/m2 h out of 2 mm of path: 1.25e-5 kg/m2 s x 0.002 m / (2 x 1e-9 m2/s) = 12.5 kg/m3."""
    assert water_ahead_kg_m3(to_si(45, "g/m2.h"), 0.002, 1e-9) == pytest.approx(12.5)
    # 500 kg/m3 x 0.002 m = 1 kg/m2, at 50 g/m2 h 20 h
    assert first_stage_s(500, 0.002, to_si(50, "g/m2.h")) == pytest.approx(to_si(20, "h"))


def test_the_parabola_solves_the_balance_it_comes_from():
    """Diffusion, sealed in the middle, a steady flux out of the face, marched until the shape stands still."""
    flux, path, spread, cells = 1.25e-5, 0.002, 1e-9, 40
    water, width = np.full(cells, 500.0), path / cells
    step = 0.2 * width**2 / spread
    for _ in range(int(2.0 * path**2 / spread / step)):
        through = np.concatenate([[0.0], -spread * np.diff(water) / width, [flux]])
        water = water - step * np.diff(through) / width
    # values stand in the middle of cells: half a cell short at both ends
    short = 1 - 1 / cells
    assert water[0] - water[-1] == pytest.approx(water_ahead_kg_m3(flux, path, spread) * short, rel=0.01)


@given(SIZES, SIZES, SIZES, st.floats(0.1, 10))
def test_half_the_flux_is_half_as_uneven_and_takes_twice_as_long(flux, path, spread, times):
    assert water_ahead_kg_m3(times * flux, path, spread) == pytest.approx(times * water_ahead_kg_m3(flux, path, spread))
    assert first_stage_s(500, path, times * flux) == pytest.approx(first_stage_s(500, path, flux) / times)


def test_what_is_held_cracks_however_slowly_it_dries():
    assert crack_drive_times(0.2, 0.0) == 1.0
    assert crack_drive_times(0.2, 1.0) == pytest.approx(0.2)
    assert crack_drive_times(1.0, 0.7) == pytest.approx(1.0)


def test_a_cover_dries_slower_than_open_air_at_every_end():
    assert COVERED.high < OPEN_AIR.low


@pytest.mark.parametrize("wrong", [0.0, -1.0, float("nan"), float("inf")])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(OutsideRange):
        water_ahead_kg_m3(wrong, 0.002, 1e-9)
    with pytest.raises(OutsideRange):
        first_stage_s(500, wrong, 1e-5)
    with pytest.raises(OutsideRange):
        crack_drive_times(0.5, wrong if wrong else 1.5)
