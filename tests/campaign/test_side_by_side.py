"""Whether what differs explains what was read: enough when it does, not enough when something else moved it."""

from __future__ import annotations

import math

import pytest

from slake.campaign import Notebook
from slake.campaign.side_by_side import Apart, Enough, apart

LOTS = {"shell": "mussel shell", "gum": "guar"}
PARTS = {"shell": 0.68, "gum": 0.012}


def wetter(water: float) -> dict[str, float]:
    rest = 1 - water
    total = sum(PARTS.values())
    return {**{key: rest * part / total for key, part in PARTS.items()}, "water": water}


def depth(water: float, times_stiffer: float = 1.0) -> float:
    """A made-up paste: 12 mm at 0.30, softer by a factor e per 0.08 of water; only to exercise the comparison."""
    pascals = 0.8 * 0.03 * 9.81 / 0.012**2 * math.exp(-(water - 0.30) / 0.08) * times_stiffer
    return round(1000 * math.sqrt(0.8 * 0.03 * 9.81 / pascals), 1)


def compared(first: tuple[float, float], second: tuple[float, float]) -> Apart:
    book = Notebook(LOTS, {"cone_depth_mm": (10, 16)})
    for water in (0.26, 0.28, 0.30, 0.32, 0.34, 0.29, 0.31, 0.33):
        book.add(wetter(water), "good", {"cone_depth_mm": (depth(water), 60)})
    for water, value in (first, second):
        book.add(wetter(water), "good", {"cone_depth_mm": (value, 60)})
    mixed = [told.mixed for told in book.batches]
    found = apart(book.layout(), book.brief, mixed[:-2], (mixed[-2], mixed[-1]))
    assert [one.gauge.name for one in found] == ["cone_depth_mm"]
    return found[0]


def test_water_that_explains_it_is_enough_and_named_first():
    found = compared((0.27, depth(0.27)), (0.335, depth(0.335)))
    assert found.enough is Enough.YES
    assert found.parts[0].words == "water" and found.parts[0].brings > 0
    assert found.expected.low < found.read < found.expected.high
    assert sum(part.brings for part in found.parts) == pytest.approx(found.expected.mid, rel=1e-6)


def test_one_recipe_read_twice_has_nothing_to_explain():
    found = compared((0.30, 12.0), (0.30, 12.3))
    assert found.enough is Enough.SAME and found.parts == ()


def test_something_not_written_down_is_said():
    found = compared((0.30, depth(0.30, 6.0)), (0.30, depth(0.30)))
    assert found.enough is Enough.NO
    assert found.read == pytest.approx(math.log(6), abs=0.1)


def test_swapping_the_two_turns_every_sign():
    one = compared((0.27, depth(0.27)), (0.335, depth(0.335)))
    other = compared((0.335, depth(0.335)), (0.27, depth(0.27)))
    assert other.read == pytest.approx(-one.read)
    assert other.expected.mid == pytest.approx(-one.expected.mid, rel=1e-6)
