"""A drying plan asked in typed texts: open is wide, typed before known before usual, and bad text one sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.path.drying_asked import CHOICES, HOURS, NUMBERS, ROWS, asked_of, linear_between
from slake.path.drying_kinds import ANY, MINERAL, PLANT, KnownPaste, Told80

WALL = Told80(range=Range(low=0.002, mid=0.0025, high=0.003), basis="one bead of the machine")


def test_nothing_typed_is_a_pot_of_usual_paste_and_says_so():
    asked = asked_of({})
    assert asked.drying.piece.wall_m == asked.drying.piece.base_m == Range(low=0.002, mid=0.004, high=0.008)
    assert asked.drying.bed.open_chance == 0.5 and asked.weighed is None and asked.told.covered_s is None
    assert "common practice, no source" in asked.basis["water"]


def test_typed_goes_before_known_before_usual():
    known = KnownPaste(told={"wall": WALL})
    assert asked_of({}, known).drying.piece.wall_m == WALL.range
    assert asked_of({}, known).basis["wall"] == "one bead of the machine"
    typed = asked_of({"wall_mm": "4,0"}, known).drying.piece.wall_m
    assert typed is not None and typed.mid == pytest.approx(0.004) and typed.high < 0.0045


def test_water_of_the_paste_becomes_water_per_dry():
    water = asked_of({"water_percent": "35"}).drying.paste.water_per_dry
    assert water.mid == pytest.approx(35 / 65) and water.low == pytest.approx(33.5 / 66.5)


def test_two_beads_become_a_difference_per_dry():
    """34 % and 32 %: 0.515 and 0.471 g/g, 0.045 apart; the short form is good to a percent of that."""
    apart = asked_of({"first_percent": "34", "last_percent": "32"}).drying.paste.first_wetter
    assert apart.mid == pytest.approx(34 / 66 - 32 / 68, rel=0.01) and apart.low < apart.mid < apart.high
    assert linear_between(0.0, 0.01, 1.0).high == pytest.approx(0.04)


@pytest.mark.parametrize(("shape", "wall", "base"), [("pot", True, True), ("ring", True, False), ("tile", False, True)])
def test_shapes_have_the_parts_they_have(shape, wall, base):
    piece = asked_of({"shape": shape, "wall_mm": "4"}).drying.piece
    assert (piece.wall_m is not None, piece.base_m is not None) == (wall, base)


def test_a_kind_is_narrower_than_any_and_lies_within_it():
    for kind in (MINERAL, PLANT):
        for name in ("water", "density_kg_m3", "shrinkage", "half_humid"):
            own, any_ = getattr(kind, name), getattr(ANY, name)
            assert own.high / own.low < any_.high / any_.low
            assert any_.low * 0.6 < own.low and own.high < any_.high * 1.3


def test_weighings_come_without_the_tray_and_in_seconds():
    typed = {"hours_1": "0", "grams_1": "412,4", "hours_2": "20", "grams_2": "371", "tray_g": "100", "step_g": "0.1"}
    weighed = asked_of(typed).weighed
    assert weighed is not None and weighed.at_s == (0.0, 72000.0)
    assert weighed.mass_kg == pytest.approx((0.3124, 0.271)) and weighed.mass_sd_kg == pytest.approx(1e-4 / 6**0.5)


@pytest.mark.parametrize(
    ("typed", "problem", "words"),
    [
        ({"wall_mm": "0"}, OutsideRange, "thickness of the wall"),
        ({"shrinkage_percent": "30", "water_percent": "12"}, DoesNotFit, "with this water it can lose at most"),
        ({"draught": "gale"}, Problem, "still, fan"),
        ({"first_percent": "30"}, DoesNotFit, "give both, or leave both open"),
        ({"hours_1": "1"}, DoesNotFit, "weighing 1 has no grams"),
        ({"grams_2": "100"}, DoesNotFit, "weighing 2 has no hours"),
        (
            {"hours_1": "0", "grams_1": "90", "hours_2": "5", "grams_2": "80", "tray_g": "95"},
            DoesNotFit,
            "than the tray",
        ),
    ],
)
def test_bad_input_is_one_sentence(typed, problem, words):
    with pytest.raises(problem, match=words):
        asked_of(typed)


ANY_TEXT = st.one_of(
    st.text(max_size=12), st.floats().map(str), st.integers(-(10**9), 10**9).map(str), st.sampled_from(["", "?", "fan"])
)
FIELDS = [*NUMBERS, *CHOICES, *(f"{what}_{n}" for n in range(1, ROWS + 1) for what in ("hours", "grams"))]


@given(st.dictionaries(st.sampled_from(FIELDS), ANY_TEXT, max_size=6))
def test_whatever_is_typed_is_a_question_or_one_sentence(typed):
    try:
        asked = asked_of(typed)
    except Problem as problem:
        assert 15 < len(str(problem)) < 400 and "\n" not in str(problem)
        return
    assert asked.drying.paste.water_per_dry.low > 0 and 0 < asked.drying.room.humidity.mid < 1
    assert HOURS.high >= 5000


def test_every_offered_word_is_taken():
    for name, (_, words) in CHOICES.items():
        for word in words:
            assert asked_of({name: word}).drying is not None
