"""Air in a cartridge: limits, the seconds it costs, and refusals. The printed value stands in tests/references."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.problems import OutsideRange
from slake.paste.air import ATMOSPHERE_PA, air_from_density, air_stored_m3, late_start_s


def test_a_cartridge_with_one_percent_air_starts_late() -> None:
    """Own arithmetic: 2.48 mL stored at +100 kPa are about 43 s at 0.058 mL/s."""
    stored = float(air_stored_m3(0.01, 500e-6, 100e3))
    assert late_start_s(stored, 0.058e-6) == pytest.approx(43, abs=0.5)


@given(st.floats(0, 0.2), st.floats(1e-6, 1e-2), st.floats(0, 1e7))
def test_pressure_times_volume_stays(air: float, volume: float, pressure: float) -> None:
    """Boyle: what is left of the air, at its pressure, is what there was at the room's."""
    left = air * volume - float(air_stored_m3(air, volume, pressure))
    assert left * (ATMOSPHERE_PA + pressure) == pytest.approx(air * volume * ATMOSPHERE_PA, rel=1e-6, abs=1e-12)


def test_no_air_or_no_pressure_stores_nothing() -> None:
    assert air_stored_m3(0.0, 5e-4, 1e5) == 0 and air_stored_m3(0.02, 5e-4, 0.0) == 0


def test_air_from_density_there_and_back() -> None:
    assert air_from_density(1500 * 0.97, 1500) == pytest.approx(0.03)
    assert air_from_density(1510, 1500) == 0


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_bad_numbers_are_refused(bad: float) -> None:
    for call in (
        lambda: late_start_s(1e-6, bad),
        lambda: air_from_density(bad, 1500),
        lambda: air_from_density(1500, bad),
    ):
        with pytest.raises(OutsideRange):
            call()
    with pytest.raises(OutsideRange):
        late_start_s(-1e-9, 1e-8)
