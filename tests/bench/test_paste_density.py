"""Paste density: 15 g in 10 mL is 1.5 g/mL (own arithmetic)."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.paste_density import TEST
from slake.ground.problems import DoesNotFit, OutsideRange


def evidence(empty: str, filled: str, volume: str = ""):
    return TEST.inverse(TEST.read({"empty_g": empty, "filled_g": filled, "volume_ml": volume}), Context())


def test_weighings_to_density():
    assert evidence("8", "23").low == pytest.approx(1500)
    assert evidence("8", "98", "60").low == pytest.approx(1500)


def test_a_small_volume_is_known_less_well():
    assert evidence("8", "9.5", "1").scatter > evidence("8", "23").scatter


def test_lighter_than_water_is_doubted():
    assert "air" in evidence("8", "17").note


def test_weighings_that_cannot_be():
    with pytest.raises(DoesNotFit, match="filled must be more"):
        evidence("23", "8")
    with pytest.raises(OutsideRange, match=r"from 0\.3 to 3\.5"):
        evidence("8", "80")
