"""The answer in words: in the order it happens, with ranges; cautions where they bite."""

from __future__ import annotations

import math

import pytest

from slake.ground.evidence import Range
from slake.ground.units import to_si
from slake.path import drying_words as dw
from slake.path.drying_answer import answer
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
    assert dw.hours(span) == words


def test_lines_stand_in_the_order_of_time():
    lines = dw.lines_of(answer(asked_of(ASK)).schedule)
    said = [line.words for line in lines]
    assert said == ["cut it free and turn it", "keep it covered", "shrinking ends", "dry enough to coat"]
    openly = dw.lines_of(answer(asked_of({**ASK, "covered_h": "2"})).schedule)
    assert openly[0].words == "keep it covered" and openly[0].value == "2 h"


def test_an_open_bed_needs_no_turning_and_a_ring_no_freeing():
    lying = dw.lines_of(answer(asked_of({**ASK, "bed": "open"})).schedule)
    ring = dw.lines_of(answer(asked_of({**ASK, "shape": "ring"})).schedule)
    assert "cut it free" in [line.words for line in lying] and not any("cut it" in line.words for line in ring)


def test_the_face_is_said_between_its_ends():
    answered = answer(asked_of(ASK))
    lines = {line.words: line.value for line in dw.face_lines(answered.asked, answered.schedule)}
    assert lines["the wet bulb of this air"] == "13.8 C"
    own, upper, lower = (
        float(lines[name].split()[0])
        for name in ("it gives off", "were it as warm as the air", "were it at the wet bulb")
    )
    assert lower < own < upper


def test_rows_fall_and_carry_the_weighings():
    answered = answer(asked_of({**ASK, **TWO}))
    rows = dw.curve_rows(answered.schedule, answered.asked.weighed)
    masses = [float(row["mid"]) for row in rows]
    assert masses == sorted(masses, reverse=True) and rows[0]["mid"] == "100.0"
    seen = {row["hours"]: row["weighed"] for row in rows if row["weighed"]}
    assert set(seen) == {"1", "20"} and 85 < float(seen["20"]) < 90


def test_sentences_on_cracks_and_warp_give_chance_cause_and_what_helps():
    answered = answer(asked_of(ASK))
    assert "chance of" in dw.crack_sentence(answered.schedule.cracks) and "What would help:" in dw.crack_sentence(
        answered.schedule.cracks
    )
    assert "Over 100 mm its base curls" in dw.warp_sentence(answered.schedule, 0.1)
    assert dw.warp_sentence(answer(asked_of({**ASK, "shape": "ring"})).schedule, 0.1) == ""


def test_cautions_bite_where_they_should():
    def said(**more: str) -> str:
        answered = answer(asked_of({**ASK, **more}))
        return " ".join(dw.cautions(answered.asked, answered.schedule))

    assert "Lifting" in said() and "Lifting" not in said(shape="ring")
    assert "Mould grows" in said(covered_h="60") and "Mould grows" not in said(covered_h="3")
    assert "Heaters burn" in said(heater="yes") and "Heaters burn" in said(air_c="45") and "Heaters burn" not in said()
    assert "No oven above 40 C" in said()


def test_what_lies_before_the_last_weighing_is_said_to_be_done():
    answered = answer(asked_of({**ASK, "hours_1": "1", "grams_1": "312,4", "hours_2": "40", "grams_2": "240"}))
    more = [line.more for line in dw.lines_of(answered.schedule, answered.asked.weighed)]
    assert more[:2] == ["taken as done so"] * 2 and "taken as done so" not in more[2:]
