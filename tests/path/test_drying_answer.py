"""The answer: weighings correct it, what lies behind stays as it was done, and what fits nothing is refused."""

from __future__ import annotations

import pytest

from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.path import drying_answer as da
from slake.path import drying_words as dw
from slake.path.drying_asked import asked_of

ASK = {"wall_mm": "4", "air_c": "20", "humidity_percent": "50", "draught": "still", "bed": "closed", "kind": "mineral"}
TWO = {"hours_1": "1", "grams_1": "312,4", "hours_2": "20", "grams_2": "274,8"}


def test_weighings_correct_and_what_was_before_stays():
    plain, weighed = da.answer(asked_of(ASK)), da.answer(asked_of({**ASK, **TWO}))
    assert weighed.before is not None and weighed.before.dry_s == plain.schedule.dry_s
    after, before = weighed.schedule.dry_s, plain.schedule.dry_s
    assert after.high / after.low < before.high / before.low
    gone = dw.gone_line(weighed.schedule, weighed.asked.weighed)
    assert gone is not None and gone.more == "at 20 h" and dw.gone_line(plain.schedule, None) is None


def test_what_lies_behind_stays_as_it_was_done():
    """Weighed at 40 h: the cover that the schedule took off before stays off when it did."""
    late = {**ASK, "hours_1": "1", "grams_1": "312,4", "hours_2": "40", "grams_2": "240"}
    found = da.answer(asked_of(late))
    assert found.before is not None and found.schedule.way == found.before.way


def test_a_cover_still_on_is_not_said_to_have_come_off_in_the_past():
    found = da.answer(asked_of({**ASK, "hours_1": "0", "grams_1": "300", "hours_2": "9", "grams_2": "289"}))
    assert found.schedule.way.covered_s >= to_si(9, "h")


def test_weighings_that_fit_nothing_are_refused():
    with pytest.raises(Problem, match="was water"):
        da.answer(asked_of({**ASK, "hours_1": "0", "grams_1": "300", "hours_2": "90", "grams_2": "80"}))


def test_a_piece_that_does_not_dry_at_all_is_refused():
    still = {**ASK, "covered_h": "0", "hours_1": "0", "grams_1": "300", "hours_2": "48", "grams_2": "300"}
    with pytest.raises(Problem, match="it lost only 0 % of its mass in 48 h"):
        da.answer(asked_of(still))


@pytest.mark.parametrize(
    ("name", "rising"),
    [
        ("humidity_percent", ("30", "50", "75")),
        ("wall_mm", ("2", "4", "9")),
        ("air_c", ("32", "20", "8")),
        ("draught", ("fan", "still")),
    ],
)
@pytest.mark.parametrize("kind", ["mineral", "plant"])
def test_the_plan_as_it_is_told_moves_the_right_way_at_every_end(name: str, rising: tuple[str, ...], kind: str):
    """Cover and turning chosen anew each time; damper, thicker, colder, stiller: later, at both ends and between."""
    found = [da.answer(asked_of({**ASK, "kind": kind, name: text})).schedule for text in rising]
    ends = [[one.low, one.mid, one.high] for s in found for one in (s.shrunk_s, s.dry_s)]
    for before, after in zip(ends, ends[2:], strict=False):
        assert all(later > sooner for sooner, later in zip(before, after, strict=True))
