"""The answer in words: in the order it happens, with ranges; weighings correct it; cautions where they bite."""

from __future__ import annotations

import math

import pytest

from slake.ground.evidence import Range
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.path import drying_answer as da
from slake.path.drying_asked import asked_of

ASK = {"wall_mm": "4", "air_c": "20", "humidity_percent": "50", "draught": "still", "bed": "closed", "kind": "mineral"}
TWO = {"hours_1": "1", "grams_1": "312,4", "hours_2": "20", "grams_2": "274,8"}


def h(low: float, mid: float, high: float) -> Range:
    return Range(low=to_si(low, "h"), mid=to_si(mid, "h"), high=to_si(high, "h"))


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (h(9.96, 12.3, 20), "12 h (10 to 20)"),
        (h(36, 60, 101), "60 h (36 to 101), 2.5 days"),
        (h(5, 5, 5), "5 h"),
        (Range(low=to_si(40, "h"), mid=to_si(90, "h"), high=math.inf), "90 h (40 to later), 3.8 days"),
        (Range(low=to_si(40, "h"), mid=math.inf, high=math.inf), "later than 40 h"),
        (Range(low=math.inf, mid=math.inf, high=math.inf), "not within the time looked at"),
    ],
)
def test_hours_in_words(span, words):
    assert da.hours(span) == words


def test_lines_stand_in_the_order_of_time():
    lines = da.lines_of(da.answer(asked_of(ASK)).schedule)
    assert [line.words for line in lines] == [
        "keep it covered",
        "cut it free and turn it",
        "shrinking ends",
        "dry enough to coat",
    ]


def test_an_open_bed_needs_no_turning_and_a_ring_no_freeing():
    lying = da.lines_of(da.answer(asked_of({**ASK, "bed": "open"})).schedule)
    ring = da.lines_of(da.answer(asked_of({**ASK, "shape": "ring"})).schedule)
    assert "cut it free" in [line.words for line in lying] and not any("cut it" in line.words for line in ring)


def test_weighings_correct_and_what_was_before_stays():
    plain, weighed = da.answer(asked_of(ASK)), da.answer(asked_of({**ASK, **TWO}))
    assert weighed.before is not None and weighed.before.dry_s == plain.schedule.dry_s
    after, before = weighed.schedule.dry_s, plain.schedule.dry_s
    assert after.high / after.low < before.high / before.low
    gone = da.gone_line(weighed.schedule, weighed.asked.weighed)
    assert gone is not None and gone.more == "at 20 h" and da.gone_line(plain.schedule, None) is None


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


def test_the_face_is_said_between_its_ends():
    answered = da.answer(asked_of(ASK))
    lines = {line.words: line.value for line in da.face_lines(answered.asked, answered.schedule)}
    assert lines["the wet bulb of this air"] == "13.8 C"
    own, upper, lower = (
        float(lines[name].split()[0])
        for name in ("it gives off", "were it as warm as the air", "were it at the wet bulb")
    )
    assert lower < own < upper


def test_rows_fall_and_carry_the_weighings():
    answered = da.answer(asked_of({**ASK, **TWO}))
    rows = da.curve_rows(answered.schedule, answered.asked.weighed)
    masses = [float(row["mid"]) for row in rows]
    assert masses == sorted(masses, reverse=True) and rows[0]["mid"] == "100.0"
    seen = {row["hours"]: row["weighed"] for row in rows if row["weighed"]}
    assert set(seen) == {"1", "20"} and 85 < float(seen["20"]) < 90


def test_sentences_on_cracks_and_warp_give_chance_cause_and_what_helps():
    answered = da.answer(asked_of(ASK))
    assert "chance of" in da.crack_sentence(answered.schedule.cracks) and "What would help:" in da.crack_sentence(
        answered.schedule.cracks
    )
    assert "Over 100 mm its base curls" in da.warp_sentence(answered.schedule, 0.1)
    assert da.warp_sentence(da.answer(asked_of({**ASK, "shape": "ring"})).schedule, 0.1) == ""


def test_a_chance_is_never_sure():
    assert da.percent(0.0) == "1 %" and da.percent(1.0) == "99 %"


def test_cautions_bite_where_they_should():
    def said(**more: str) -> str:
        answered = da.answer(asked_of({**ASK, **more}))
        return " ".join(da.cautions(answered.asked, answered.schedule))

    assert "Lifting" in said() and "Lifting" not in said(shape="ring")
    assert "Mould grows" in said(covered_h="60") and "Mould grows" not in said(covered_h="3")
    assert "Heaters burn" in said(heater="yes") and "Heaters burn" in said(air_c="45") and "Heaters burn" not in said()
    assert "No oven above 40 C" in said()
