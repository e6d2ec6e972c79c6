"""Layers stood: what a count says depends on how it ended."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.layers_stood import TEST
from slake.ground.evidence import Kind
from slake.ground.problems import NotANumber


def evidence(layers: str, how: str = "", height: str = ""):
    raw = TEST.read({"layers_stood": layers, "how": how, "layer_height_mm": height})
    return TEST.inverse(raw, Context(layer_height_m=1.2e-3))


def test_all_stood_says_at_least():
    found = evidence("40", "all stood")
    assert (found.kind, found.low, found.high) == (Kind.ABOVE, 40, None)
    assert "at least" in found.note


@pytest.mark.parametrize("how", ["fell", "folded sideways", "folded", "foot bulged", ""])
def test_where_the_paste_gave_way_it_says_this_many(how: str):
    found = evidence("8", how)
    assert (found.kind, found.low) == (Kind.EXACT, 8)
    assert not found.on_log and found.scatter >= 1


def test_leaning_is_no_fault_of_the_paste_and_says_at_least():
    found = evidence("8", "leaned")
    assert (found.kind, found.low, found.high) == (Kind.ABOVE, 8, None)
    assert "table" in found.note
    assert all("Pa" not in line for line in said("8", "leaned"))


MODES = ["all stood", "fell", "folded sideways", "foot bulged", "leaned", "puddled"]


def said(layers: str, how: str) -> list[str]:
    return list(TEST.further_sentences(TEST.read({"layers_stood": layers, "how": how}), Context(density_kg_m3=1500)))


def test_each_way_of_ending_says_something_of_its_own():
    first = [said("20", how)[0] for how in MODES]
    assert len(set(first)) == len(MODES)


def test_a_foot_that_bulged_bounds_the_yield_stress():
    """20 layers of 1.2 mm: 1500 * 9.80665 * 0.024 / sqrt 3 = 204 Pa, and 204 / 1.39 = 147. Own arithmetic."""
    assert "about 1.5e+02 to 2e+02" not in said("20", "foot bulged")[1], "plain numbers"
    assert "about 150 to 200 Pa" in said("20", "foot bulged")[1]
    for how in ("all stood", "folded sideways"):
        assert "150 Pa or more" in said("20", how)[1]
    assert "under 210 Pa" in said("20", "puddled")[1]


def test_a_wall_that_folded_narrows_stiffness_for_its_yield_stress_and_nothing_else_does():
    for how in MODES:
        assert ("stiff this paste is for its yield stress" in said("20", how)[0]) == (how == "folded sideways")


def test_a_puddle_of_no_layer_at_all_still_says_something():
    assert said("0", "puddled")[0] and said("0", "fell") and len(said("0", "foot bulged")) == 1


def test_puddled_says_fewer_than_the_next():
    assert evidence("0", "puddled").high == 1
    assert evidence("2", "puddled").kind is Kind.BELOW


def test_thinner_layers_count_by_their_height():
    """40 layers of 0.6 mm are 24 mm, 20 layers of 1.2 mm."""
    assert evidence("40", "folded sideways", "0,6").low == pytest.approx(20)
    assert (
        TEST.headline(TEST.read({"layers_stood": "40", "layer_height_mm": "0.6"})).words == "fell, 24 mm of 0.6 mm each"
    )


@pytest.mark.parametrize("layers", ["8.5", "8,5"])
def test_half_a_layer_is_no_count(layers: str):
    with pytest.raises(NotANumber, match="whole number"):
        evidence(layers)
    with pytest.raises(NotANumber, match="whole number"):
        TEST.quick(8.5)


def test_the_layer_height_asked_for_is_the_one_of_the_context():
    """20 layers of 1.2 mm are 24 mm, 12 layers of 2 mm; laid at 1.2 mm again they are 20."""
    tall = Context(layer_height_m=2e-3, instrument={"layer_height_mm": 1.2e-3})
    found = TEST.inverse(TEST.read({"layers_stood": "20", "how": "leaned"}), tall)
    assert found.low == pytest.approx(12)
    assert TEST.forward(found.low, tall) == pytest.approx(20)
    assert TEST.forward(found.low, Context(layer_height_m=2e-3)) == pytest.approx(12)
