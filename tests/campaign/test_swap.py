"""What else changes with a swap, and which test would tell: directions, ranges, nothing said that is not known."""

from __future__ import annotations

import pytest

from slake.campaign.swap import Matched, may_replace, ratio, rises, what_else, would_tell, would_tell_of_fillers
from slake.ground.evidence import Range
from slake.paste.ingredients import HowKnown, Known, catalogue

ITEMS = catalogue()


def changes(old: str, new: str) -> dict[str, object]:
    pair = ITEMS[old], ITEMS[new]
    known = {"moisture as received": (pair[0].moisture, pair[1].moisture)}
    return {one.what: one for one in what_else(*pair, known)}


def test_psyllium_for_guar_springs_more_keeps_thickening_and_sensitises():
    found = changes("guar", "psyllium")
    spring = found["spring-back, ooze and strings"]
    assert spring.rises is True and spring.times.low > 1 and "practice" in spring.how
    assert found["keeps thickening"].rises and "allergic" in found["can make people allergic"].words
    assert "sensitiser" in found["hazard, weighing"].words


def test_the_other_way_round_it_falls():
    back = changes("psyllium", "guar")
    assert back["spring-back, ooze and strings"].rises is False
    assert back["keeps thickening"].words.startswith("no longer so")


def test_two_shells_differ_in_next_to_nothing_and_no_soil_or_keeping_carries_over():
    found = changes("mussel_shell", "oyster_shell")
    assert set(found) == {"moisture as received", "strength, keeping, and what soil does to it"}
    assert found["moisture as received"].rises is None and found["moisture as received"].times.mid == pytest.approx(1)


def test_grain_for_shell_brings_its_allergen_and_its_thirst():
    found = changes("mussel_shell", "spent_grain")
    assert "allergen" in found and "rich in cellulose" in found


def test_what_nobody_has_said_is_not_known():
    assert changes("guar", "alginate")["spring-back, ooze and strings"].words == "not known"


def test_every_change_says_how_it_is_known():
    for old, new in (
        ("guar", "psyllium"),
        ("guar", "xanthan"),
        ("alginate", "starch"),
        ("leaf_litter", "coffee_grounds"),
    ):
        for one in what_else(ITEMS[old], ITEMS[new], {}):
            assert one.how and (one.words or one.times), one


def test_a_ratio_of_ranges_by_hand_and_one_that_reaches_nothing():
    """Factors of 1.5 each way on both: together exp(sqrt(2) ln 1.5) = 1.774."""
    found = ratio(Range(low=1 / 1.5, mid=1, high=1.5), Range(low=2 / 1.5, mid=2, high=3))
    assert (found.low, found.mid, found.high) == pytest.approx((2 / 1.774, 2, 2 * 1.774), rel=1e-3)
    assert rises(found) is True and rises(Range(low=0.5, mid=1, high=2)) is None
    assert ratio(Range(low=0, mid=1, high=2), Range(low=1, mid=1, high=1)).high == float("inf")


def test_a_value_of_none_at_all_cannot_be_told():
    nothing = Known(value=Range(low=0, mid=0, high=0), how=HowKnown.PRACTICE)
    (one, *_) = what_else(
        ITEMS["guar"], ITEMS["xanthan"], {"water it drinks": (nothing, ITEMS["leaf_litter"].water_demand)}
    )
    assert one.words == "cannot be told" and one.times is None


def test_only_what_does_the_same_work_may_stand_in():
    assert may_replace(ITEMS["guar"], ITEMS["psyllium"]) and may_replace(ITEMS["mussel_shell"], ITEMS["leaf_litter"])
    assert not may_replace(ITEMS["guar"], ITEMS["mussel_shell"])
    assert not may_replace(ITEMS["guar"], ITEMS["glycerol"])


def test_the_test_that_would_tell_names_three_doses_around_each():
    telling = would_tell(("guar gum", 1.0), ("psyllium husk", 2.5))
    assert telling.test == "gum_run_out" and telling.minutes == 40
    assert telling.weigh[0].startswith("guar gum: 0.6, 1 and 1.6 g") and "1.5, 2.5 and 4 g" in telling.weigh[1]
    assert would_tell_of_fillers("mussel", "oyster", []) is None
    assert len(would_tell_of_fillers("mussel", "oyster", ["oyster"]).weigh) == 1


def test_grams_for_one_gram():
    dose = Range(low=3.0, mid=3.6, high=4.4)
    found = Matched(dose_per_100_water=dose, old_dose_per_100_water=1.2, by="run-out")
    assert (found.grams_for_one.low, found.grams_for_one.mid) == pytest.approx((2.5, 3.0))
