"""Oven moisture: 8 g wet, 6.4 g dry is 20 % of the wet mass (own arithmetic on iso18134)."""

from __future__ import annotations

import pytest

from slake.bench.declaration import About, Context
from slake.bench.oven_moisture import TEST
from slake.ground.evidence import Kind
from slake.ground.problems import DoesNotFit

DISH = {"tare_g": "40", "wet_mass_g": "48", "scale_step_g": "0,01"}


def reading(*weighings: tuple[str, str], **typed: str):
    return TEST.read({**DISH, **typed}, [{"hours": h, "mass_g": g} for h, g in weighings])


def evidence(*weighings: tuple[str, str], **typed: str):
    return TEST.inverse(reading(*weighings, **typed), Context())


def test_it_is_read_of_a_lot():
    assert TEST.about is About.LOT


def test_dry_to_constant_mass():
    found = evidence(("3", "46.6"), ("6", "46.41"), ("6.5", "46.4"))
    assert found.kind is Kind.EXACT and found.note == ""
    assert found.low == pytest.approx(0.20, abs=1e-9)
    assert found.scatter == pytest.approx(0.003, abs=0.0005)


@pytest.mark.parametrize(
    "weighings",
    [
        [("6", "46.4")],
        [("3", "46.8"), ("6", "46.4")],
        [("6", "46.41"), ("6.2", "46.4")],
        [("3", "46.432"), ("6", "46.4")],
    ],
    ids=["one weighing", "still losing", "12 minutes apart", "just 0.5 % of the dry mass"],
)
def test_not_shown_to_be_dry_is_at_least_this_much(weighings):
    found = evidence(*weighings)
    assert found.kind is Kind.ABOVE and "at least" in found.note
    assert found.low == pytest.approx(0.20, abs=1e-9)
    assert "at least" in TEST.headline(reading(*weighings)).words


def test_a_cool_oven_leaves_about_a_point_and_says_so():
    found = evidence(("20", "46.4"), ("24", "46.4"), oven_c="60")
    assert found.shared == {"oven_below_100_c": 0.01} and "100 C" in found.note
    assert evidence(("20", "46.4"), ("24", "46.4")).shared == {}


def test_a_kitchen_scale_of_1_g_reads_8_g_poorly():
    """1 g steps, uniform: sd 1/sqrt(12) per weighing, of two weighings on 8 g 5.1 points (own arithmetic)."""
    found = evidence(("3", "46"), ("6", "46"), scale_step_g="1")
    assert found.scatter == pytest.approx(0.051, abs=0.0005)


@pytest.mark.parametrize(
    ("weighings", "said"),
    [
        ([("3", "46.4"), ("3", "46.4")], "hours do not rise"),
        ([("6", "46.4"), ("3", "46.4")], "hours do not rise"),
        ([("3", "49")], "do not go together|grew"),
        ([("3", "39")], "do not go together"),
        ([("3", "46.0"), ("6", "46.5")], "grew"),
    ],
)
def test_weighings_that_cannot_be(weighings, said: str):
    with pytest.raises(DoesNotFit, match=said):
        reading(*weighings)


def test_wet_mass_without_the_dish_is_refused_not_misread():
    with pytest.raises(DoesNotFit, match="gross"):
        reading(("3", "46.4"), wet_mass_g="8")
