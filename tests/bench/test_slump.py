"""Slump against printed check numbers: own arithmetic on pashias1996 (Tresca), 50 mm cylinder, 1.5 g/mL."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.bench.declaration import Context
from slake.bench.slump import TEST
from slake.ground.evidence import Kind
from slake.ground.problems import OutsideRange

SHELL = Context(density_kg_m3=1500)
VON_MISES = 2 / math.sqrt(3)
CONE = {"mould": "concrete cone 100/200/300 mm"}


def evidence(slump: str, context: Context = SHELL, **typed: str):
    return TEST.inverse(TEST.read({"slump_mm": slump, **typed}), context)


@pytest.mark.parametrize(("tresca_pa", "slump_mm"), [(100, 18.7), (200, 6.3), (300, 0.9)])
def test_yield_stress_to_slump(tresca_pa: float, slump_mm: float):
    assert TEST.forward(tresca_pa * VON_MISES, SHELL) == pytest.approx(slump_mm, abs=0.05)


@pytest.mark.parametrize(("slump", "tresca_pa"), [("18.7", 100), ("6.3", 200)])
def test_slump_to_yield_stress(slump: str, tresca_pa: float):
    """A printed 0.1 mm is 0.7 Pa at 6.3 mm and less at 18.7 mm."""
    assert evidence(slump).low == pytest.approx(tresca_pa * VON_MISES, abs=0.7)


@pytest.mark.parametrize(("density", "about_pa"), [(1500, 300), (1100, 200)])
@pytest.mark.parametrize("slump", ["0", "0.4", "1"])
def test_no_slump_says_only_above(slump: str, density: float, about_pa: float):
    """Blind near 300 Pa at 1.5 g/mL and 200 Pa at 1.1 g/mL: practice."""
    found = evidence(slump, Context(density_kg_m3=density))
    assert found.kind is Kind.ABOVE and "stiffer" in found.note
    assert found.low / VON_MISES == pytest.approx(about_pa, rel=0.1)
    assert found.low < density * 9.81 * 0.05 / 2 * VON_MISES
    assert found.range80() is None


def test_a_flat_cake_says_only_below():
    found = evidence("45")
    assert found.kind is Kind.BELOW and "spread" in found.note
    assert found.high == pytest.approx(evidence("40").low)


def test_a_taller_cylinder_sees_stiffer_paste():
    """150 mm reaches about 1 kPa: practice."""
    found = evidence("0", cylinder_height_mm="150")
    assert 800 < found.low / VON_MISES < 1100


def test_density_not_weighed_widens_the_range():
    vague, known = evidence("10"), evidence("10", Context(density_kg_m3=1500, density_sd_log=0.01))
    assert vague.shared["density"] == 0.1 and vague.total_sd > known.total_sd


@pytest.mark.parametrize(("slump", "kind"), [("0", Kind.ABOVE), ("49", Kind.ABOVE), ("251", Kind.BELOW)])
def test_the_concrete_cone_outside_50_to_250_mm(slump: str, kind: Kind):
    found = evidence(slump, **CONE)
    assert found.kind is kind and "only says" in found.note and found.scatter > 0


def test_the_concrete_cone_inside():
    """Own arithmetic on roussel2006: (25.5 - 15) / 17.6 x 2400 = 1432 Pa."""
    concrete = Context(density_kg_m3=2400, instrument={"mould": "concrete_cone"})
    found = evidence("150", concrete, **CONE)
    assert found.kind is Kind.EXACT and found.note == ""
    assert found.low == pytest.approx(1432, abs=0.5)
    assert TEST.forward(1432, concrete) == pytest.approx(150, abs=0.05)
    assert TEST.forward(1e6, concrete) == 0 and TEST.forward(1e-3, concrete) < 300


def test_more_slump_than_mould_is_refused_with_the_height_of_the_mould():
    with pytest.raises(OutsideRange, match=r"only 50 mm tall"):
        evidence("60")
    with pytest.raises(OutsideRange, match=r"only 50 mm tall"):
        TEST.quick(290)


@given(first=st.floats(0, 50), second=st.floats(0, 50))
def test_more_slump_never_means_stiffer(first: float, second: float):
    less, more = sorted((first, second))
    stiff, soft = (TEST.inverse(TEST.quick(slump), SHELL) for slump in (less, more))
    stiffest = stiff.low if stiff.low is not None else stiff.high
    softest = soft.high if soft.high is not None else soft.low
    assert softest <= stiffest * (1 + 1e-9)


@given(yield_stress_pa=st.floats(1, 5000))
def test_what_it_says_of_a_paste_whose_slump_it_foresaw_is_true(yield_stress_pa: float):
    found = TEST.inverse(TEST.quick(TEST.forward(yield_stress_pa, SHELL)), SHELL)
    assert found.low is None or found.low <= yield_stress_pa * (1 + 1e-6)
    assert found.high is None or found.high >= yield_stress_pa * (1 - 1e-6)


def test_what_the_sheet_calls_100_pa_is_said_to_be_115_here():
    """Own arithmetic: 100 Pa (Tresca) times 2 / sqrt 3, as the declaration says in words."""
    evidence = TEST.inverse(TEST.read({"slump_mm": "18.7"}), Context(density_kg_m3=1500))
    assert evidence.low == pytest.approx(100 * 2 / math.sqrt(3), rel=0.005)
    assert "18.7 mm at 1.5 g/mL is 115 Pa here and 100 Pa there" in TEST.validity
