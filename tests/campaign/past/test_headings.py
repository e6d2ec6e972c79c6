"""What headings seem to mean, and which row they are in."""

from __future__ import annotations

import pytest

from slake.campaign.past.guessing import guess_settled
from slake.campaign.past.headings import guess, heading_row, split_heading
from slake.campaign.past.meanings import Means
from slake.campaign.past.opening import open_table
from slake.ground.problems import Problem
from tests.campaign.past.workbook import workbook


@pytest.mark.parametrize(
    ("heading", "words", "unit"),
    [
        ("slump (cm)", "slump", "cm"),
        ("Slump [mm]", "Slump", "mm"),
        ("flow_cm", "flow", "cm"),
        ("Cement (component 1)(kg in a m^3 mixture)", "Cement", "kg/m3"),
        ("shell kg/m³", "shell", "kg/m3"),
        ("water in g", "water", "g"),
        ("guar, %", "guar", "%"),
        ("Compressive Strength (28-day)(Mpa)", "Compressive Strength", "MPa"),
        ("mussel shell", "mussel shell", ""),
    ],
)
def test_units_come_from_headings(heading: str, words: str, unit: str):
    assert split_heading(heading) == (words, unit)


@pytest.mark.parametrize(
    ("heading", "means", "unit"),
    [
        ("Water (g)", Means.WATER, "g"),
        ("Slump [cm]", Means.READING, "cm"),
        ("age (h)", Means.MINUTES, "h"),
        ("minutes", Means.MINUTES, "min"),
        ("how it ended", Means.ENDED, ""),
        ("date", Means.DATE, ""),
        ("batch", Means.CALLED, ""),
        ("shell (kg/m3)", Means.AMOUNT, "kg/m3"),
        ("shell lot", Means.LOT, ""),
        ("nozzle", Means.NOZZLE, ""),
        ("remarks", Means.IGNORE, ""),
    ],
)
def test_meanings_are_guessed(heading: str, means: Means, unit: str):
    found = guess(0, heading)
    assert (found.means, found.unit) == (means, unit)


def test_amounts_without_a_unit_are_asked_for_and_the_mould_is_the_one_that_fits():
    settled = guess_settled(open_table(b"mix,shell,water,slump (cm),remark\n1,300,140,23,ok\n2,310,150,0,\n"))
    by_heading = {column.heading: column for column in settled.columns}
    assert by_heading["shell"].means is Means.AMOUNT and by_heading["shell"].unit == ""
    assert by_heading["slump (cm)"].choices == {"mould": "concrete_cone"}  # no 50 mm cylinder sinks 230 mm
    assert by_heading["remark"].means is Means.IGNORE


def test_a_heading_below_a_title_is_found():
    assert heading_row(open_table(b"My notes\n;;\nshell;water;slump\n300;140;20\n")) == 3


def test_a_table_without_headings_or_with_merged_ones_is_said():
    with pytest.raises(Problem, match="no row of headings"):
        guess_settled(open_table(b"1,2\n3,4\n"))
    merged = workbook([["a", None, "b"], [1, 2, 3]], lambda book: book.active.merge_cells("A1:B1"))
    with pytest.raises(Problem, match="row 1 are merged"):
        guess_settled(open_table(merged))
