"""A row far from the others is told with how far; rows that vary as mixes do are not."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from slake.campaign.past.far import far_from_others

YEH = Path(__file__).parents[2] / "references" / "yeh2007.csv"


def rows(*values: float) -> list[dict[str, float]]:
    return [{"water": value} for value in values]


def test_ten_times_the_water_is_told_and_the_others_are_not():
    found = far_from_others(rows(0.7, 0.75, 0.8, 0.72, 7.4, 0.66, 0.71, 0.9))
    assert list(found) == [4]
    assert found[4] == "water is 7.4, 10 times the middle of all rows (0.735): look whether it is a slip"


def test_a_tenth_is_told_as_one():
    assert "water is 1, 0.1 times the middle of all rows (10)" in far_from_others(rows(10, 11, 10, 9, 10, 1))[5]


@pytest.mark.parametrize(
    "values",
    [
        (0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.5, 0.2),  # a wide plan of mixes
        (1.0, 1.0, 1.0, 1.0, 1.0, 2.9),  # less than three times the middle, however narrow the rest
        (0.7, 7.0, 0.7, 7.0),  # too few to say which is usual
        (0.0, 0.0, 0.0, 0.0, 0.0, 5.0),  # of what is mostly left out, the one row with some of it is no slip
        (math.inf, 1, 1, 1, 1, 1),
        (20, 22, 21, 23, 20, 22, 2, 3, 1, 21),  # three of ten are a kind of mix
    ],
)
def test_what_varies_as_mixes_do_is_not_told(values):
    assert far_from_others(rows(*values)) == {}


def test_each_quantity_is_held_against_its_own_kind():
    given = [{"water": 1.0, "fall cone": 15.0 + n} for n in range(6)] + [{"water": 1.0, "fall cone": 160.0}]
    assert list(far_from_others(given)) == [6]
    assert far_from_others([]) == {}


def test_of_a_real_table_of_many_mixes_only_a_slip_is_told():
    """103 mixes of another trade, with slumps from 0 to 29 cm and slag from none to 193 kg (tests/references)."""
    lines = [line for line in YEH.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    given = [{k: float(v) for k, v in row.items() if "(" in k} for row in csv.DictReader(lines)]
    assert len(given) == 103 and far_from_others(given) == {}
    given[40]["water (kg/m3)"] *= 10
    assert list(far_from_others(given)) == [40]
