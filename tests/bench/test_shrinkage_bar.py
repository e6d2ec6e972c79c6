"""Line-shrinkage bar: 100.0 to 92.8 mm is 7.2 % of the wet length (own arithmetic on astm_c326)."""

from __future__ import annotations

import pytest

from slake.bench.declaration import Context
from slake.bench.shrinkage_bar import TEST
from slake.ground.problems import DoesNotFit


def bars(*pairs: tuple[str, str]):
    return TEST.read({}, [{"wet_mm": wet, "dry_mm": dry} for wet, dry in pairs])


def evidence(*pairs: tuple[str, str]):
    return TEST.inverse(bars(*pairs), Context())


def test_one_bar_takes_the_typical_scatter():
    found = evidence(("100,0", "92,8"))
    assert found.low == pytest.approx(0.072, abs=1e-12)
    assert found.scatter == pytest.approx(0.002)


def test_two_bars_pool_their_own_scatter_with_the_typical():
    """3.0 and 3.4 %: variance (4 x 0.2^2 + 2 x 0.2^2) / 5 = 0.048, mean of two: sqrt(0.048 / 2) = 0.155 points."""
    found = evidence(("100", "97.0"), ("100", "96.6"))
    assert found.low == pytest.approx(0.032, abs=1e-12)
    assert found.scatter == pytest.approx(0.00155, abs=0.000005)


def test_more_alike_bars_say_more_and_unlike_bars_less():
    alike = evidence(*[("100", "96.5")] * 6)
    unlike = evidence(("100", "98"), ("100", "95"))
    assert alike.scatter < evidence(("100", "96.5")).scatter < unlike.scatter


def test_wet_left_open_is_the_100_mm_of_the_needle_marks():
    assert bars(("", "96.5")).rows[0]["wet_mm"] == pytest.approx(0.1)


def test_longer_than_wet_is_refused_beyond_a_reading_error():
    with pytest.raises(DoesNotFit, match="bar 2 is 101 mm dry and 100 mm wet"):
        bars(("100", "96"), ("100", "101"))
    assert evidence(("100", "100.2")).low == pytest.approx(-0.002)


def test_outside_what_it_reads_well_it_says_so():
    assert "50 mm" in evidence(("40", "38")).note
    assert "25 %" in evidence(("100", "70")).note
    assert evidence(("100", "96")).note == ""


SIDES = {"wet_mm": "100", "dry_mm": "96", "wet_across_mm": "15", "dry_across_mm": "14.25"}
SIDES |= {"wet_height_mm": "6", "dry_height_mm": "5.52"}


def test_width_and_height_are_told_beside_the_length_with_what_to_draw_them_larger_by():
    raw = TEST.read({}, [SIDES])
    assert TEST.inverse(raw, Context()).low == pytest.approx(0.04)
    assert list(TEST.further_sentences(raw, Context())) == [
        "along it dries 4 % shorter: draw it 1.042 times as long",
        "across it dries 5 % shorter: draw it 1.053 times as long",
        "in height it dries 8 % shorter: draw it 1.087 times as long",
        "across it shrinks 1.2 times as much as along",
        "in height it shrinks 2 times as much as along",
    ]


def test_a_side_that_was_not_measured_is_not_told():
    raw = TEST.read({}, [{"wet_mm": "100", "dry_mm": "96"}])
    assert list(TEST.further_sentences(raw, Context())) == ["along it dries 4 % shorter: draw it 1.042 times as long"]


@pytest.mark.parametrize("side", ["across", "height"])
def test_a_dry_side_without_its_wet_one_is_refused(side):
    row = {"wet_mm": "100", "dry_mm": "96", f"dry_{side}_mm": "5"}
    with pytest.raises(DoesNotFit, match=r"(width|height), wet is not"):
        TEST.read({}, [row])


def test_a_side_that_grew_is_refused():
    with pytest.raises(DoesNotFit, match="longer by more than a reading error"):
        TEST.read({}, [{**SIDES, "dry_height_mm": "7"}])
