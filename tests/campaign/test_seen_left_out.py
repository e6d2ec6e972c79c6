"""Each batch foretold without itself: its own readings move nothing, everybody else's do, and the ranges are honest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slake.campaign import Lot, Machine, Notebook
from slake.campaign.seen_left_out import ONE_BY_ONE, PARTS, as_all_say, foretold_of, left_out, parts
from slake.campaign.seen_word import Word, kept_word
from slake.ground.evidence import Range
from tests.campaign.toys import FAMILIES, mixed_into, notebook, toy, within

BRIEF = {"cone_depth_mm": (11, 17), "layers_stood": (30, None), "crack_grade": (None, 1), "bleed_g_per_100g": (None, 2)}


def book(cone_of_the_third: object, layers: object, outcome: str = "good") -> Notebook:
    lots = {"shell": Lot("mussel shell"), "guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
    found = Notebook(lots=lots, brief=BRIEF, machine=Machine(nozzle_mm=2, barrel_mm=60))
    for water, cone in ((0.30, 8.0), (0.34, 12.0), (0.36, cone_of_the_third), (0.38, 19.0), (0.41, 27.0)):
        third = cone is cone_of_the_third
        found.add(
            {"shell": 0.98 - water, "guar": 0.006, "alginate": 0.014, "water": water},
            outcome=outcome if third else None,
            readings={"cone_depth_mm": cone} | ({"layers_stood": layers, "crack_grade": 1} if third else {}),
        )
    return found


def without_the_third(one: Notebook):
    return foretold_of(one, (2,), one.scatter_times)


def test_a_changed_reading_of_a_batch_does_not_move_what_is_foretold_of_it():
    before, after = without_the_third(book(15.0, 40)), without_the_third(book(24.0, 9, "too runny"))
    assert [one.around for one in before] == [one.around for one in after]
    assert [one.low for one in before] != [one.low for one in after]
    assert {one.name for one in before} == {"cone_depth_mm", "layers_stood", "crack_grade"}


def test_a_changed_reading_moves_what_is_foretold_of_the_others():
    before, after = (foretold_of(one, (1,), {})[0].around for one in (book(15.0, 40), book(24.0, 9)))
    assert before.mid < 0.98 * after.mid


def test_a_property_slake_expects_nothing_of_is_left_out_too():
    """Its middle is taken from the readings so far: not from the one foretold."""

    def told(bleed: float) -> Notebook:
        one = book(15.0, 40)
        for number, value in enumerate((0.5, 0.6, bleed, 0.8)):
            seen = Notebook(lots={"shell": Lot("mussel shell")}, brief=BRIEF)._seen(
                "bleed_g_per_100g", (value, None, "", None), None
            )
            mixed = one.batches[number].mixed
            one.batches[number].mixed = replace(mixed, readings=(*mixed.readings, seen))
        one._regauged()
        return one

    low, high = (without_the_third(told(bleed)) for bleed in (0.7, 6.0))
    assert [one.around for one in low] == [one.around for one in high]


def test_how_well_readings_repeat_is_asked_without_the_batch():
    asked = []
    list(left_out(book(15.0, 40), lambda part: asked.append(tuple(part)) or {}))
    assert asked == [(0,), (1,), (2,), (3,), (4,)]


def test_the_notebook_itself_is_left_as_it_was():
    one = book(15.0, 40)
    before = [told.mixed for told in one.batches]
    list(left_out(one, as_all_say(one)))
    assert [told.mixed for told in one.batches] == before


@pytest.mark.parametrize("count", [1, 7, ONE_BY_ONE, ONE_BY_ONE + 1, 333])
def test_every_batch_is_left_out_once(count):
    found = parts(count)
    assert sorted(number for part in found for number in part) == list(range(count))
    assert len(found) == (count if count <= ONE_BY_ONE else PARTS)


@pytest.fixture(scope="module")
def of_made_up_wastes():
    """Made-up wastes of three laws that are not the belief's, read with the noise of a kitchen."""
    found = []
    for family in FAMILIES:
        for number in (500, 501):
            made, rng = toy(family, number), np.random.default_rng(number)
            told = notebook(made)
            for row in within(*made.limits(), 9, rng):
                mixed_into(told, made, row, rng)
            found += [one for some in left_out(told, as_all_say(told)) for one in some]
    return found


def test_foretold_without_itself_holds_about_eight_readings_in_ten(of_made_up_wastes):
    assert len(of_made_up_wastes) > 150
    found = kept_word(of_made_up_wastes)
    assert 0.70 <= found.share <= 0.92 and found.word is not Word.NARROW


@pytest.mark.parametrize(("times", "word"), [(1 / 3, Word.NARROW), (3.0, Word.WIDE)])
def test_the_same_ranges_made_wrong_on_purpose_are_named(of_made_up_wastes, times, word):
    """Halved is not enough for ranges that are somewhat wide; of honest ones it is (test_seen_word)."""

    def wrong(one):
        low, mid, high = one.around.low, one.around.mid, one.around.high
        return replace(one, around=Range(low=mid - times * (mid - low), mid=mid, high=mid + times * (high - mid)))

    assert kept_word([wrong(one) for one in of_made_up_wastes]).word is word
