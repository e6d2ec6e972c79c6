"""Notebook lines as people write them: read rightly, or refused in one sentence; never guessed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slake.campaign.reading_lines import LONGEST_TEXT, MOST_ROWS
from slake.campaign.reading_tables import read_lines
from slake.campaign.reading_words import read_reading
from slake.ground.problems import Problem


@pytest.mark.parametrize(
    "text",
    [
        "shell 300, guar 2.5, water 140 - good",
        "shell 300 g, guar 2,5 g, water 140 g - good",
        "300 g shell, 2,5 g guar, 140 g water - good",
        "shell: 300; ".replace(";", ",") + "guar = 2.5, water: 140 – good",
        "shell 0,3 kg, guar 2500 mg, water 140 -> good",
        "shell\tguar\twater\thow it ended\n300\t2,5\t140\tgood",
        "shell (kg);guar (g);water (g);outcome\n0,3;2,5;140;good",
        "shell,guar,water,outcome\n300,2.5,140,good",
    ],
)
def test_many_hands_one_meaning(text):
    (line,) = read_lines(text).lines
    assert {k: pytest.approx(v) for k, v in line.masses.items()} == {"shell": 300, "guar": 2.5, "water": 140}
    assert line.outcome == "good"


@pytest.mark.parametrize(
    ("said", "name", "value", "minutes"),
    [
        ("cone 19 mm at 60 min", "cone_depth_mm", 19, 60),
        ("cone 1,9 cm @ 1 h", "cone_depth_mm", 19, 60),
        ("fall cone 19", "cone_depth_mm", 19, None),
        ("slump 0", "slump_mm", 0, None),
        ("shrinkage 4,2 %", "shrinkage_percent", 4.2, None),
        ("all 40 layers stood", "layers_stood", 40, None),
        ("strength 2.1 MPa", "strength_mpa", 2.1, None),
        ("density 1.52 g/mL", "density_g_per_ml", 1.52, None),
    ],
)
def test_readings_in_words(said, name, value, minutes):
    (line,) = read_lines(f"shell 300, water 140 - {said}").lines
    assert line.readings == {name: (pytest.approx(value), minutes)}


def test_lines_keep_their_number_past_blank_ones_and_bad_ones():
    read = read_lines("\nshell 300, water 140 - good\n\nnonsense\nshell 300, water 150 - stalled\n")
    assert [line.number for line in read.lines] == [2, 5]
    assert [t.number for t in read.troubles] == [4]


def test_a_table_says_what_it_left_out_and_refuses_mixed_units():
    assert read_lines("shell (g)\twater (g)\tflow (cm)\n300\t140\t20").ignored == ("flow",)
    with pytest.raises(Problem, match="one unit"):
        read_lines("shell (kg/m3)\twater (g)\n300\t140")
    with pytest.raises(Problem, match="two columns"):
        read_lines("shell\tshell\twater\n300\t2\t140")


def test_limits_are_stated():
    with pytest.raises(Problem, match=str(LONGEST_TEXT)):
        read_lines("x" * (LONGEST_TEXT + 1))
    with pytest.raises(Problem, match=str(MOST_ROWS)):
        read_lines("a 1\n" * (MOST_ROWS + 1))


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_one_sentence(text):
    try:
        read = read_lines(text)
    except Problem as problem:
        assert "\n" not in str(problem)
    else:
        assert all(trouble.why and "\n" not in trouble.why for trouble in read.troubles)
        assert all(amount > 0 for line in read.lines for word, amount in line.masses.items() if word != "water")


@pytest.mark.parametrize(
    ("text", "what", "advice"),
    [
        ("oyster three hundred, water 100 - good", "oyster three hundred", "oyster 300"),
        ("shell 300, water a hundred and forty - good", "water a hundred and forty", "300"),
        ("shell 300, water - good", "water", "water 300"),
        ("shell 300, some guar, water 140 - good", "some guar", "after a dash"),
        ("oyster thirty-five, water 100", "oyster thirty-five", "oyster 300"),
    ],
)
def test_an_amount_in_words_is_named_and_not_taken_for_missing_water(text, what, advice):
    (trouble,) = read_lines(text).troubles
    assert f"“{what}” has no amount in figures" in trouble.why and advice in trouble.why
    assert "no water is named" not in trouble.why


def test_words_of_how_it_ended_are_no_amount_in_words():
    (line,) = read_lines("shell 300, water 140, too runny - cracked").lines
    assert line.outcome == "too runny, cracked"


@pytest.mark.parametrize("text", ["after 3 h", "first 4", "per 2", "out 64", "g 5", "h 3", "kg 2", "pa 900", "um 40"])
def test_a_unit_or_a_little_word_alone_means_no_test(text):
    assert read_reading(text) is None
