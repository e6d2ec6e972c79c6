"""The fields another bench would ask for: declared as data, read with the one reader, none forced."""

from __future__ import annotations

import pytest

from slake.campaign.passport import missing, passport
from slake.ground.problems import Problem
from slake.ground.units import UNITS


def test_every_field_is_of_a_known_thing_kind_and_unit():
    for (subject, name), field in passport().items():
        assert subject in {"recipe", "lot", "batch", "machine"} and field.name == name
        assert field.kind in {"text", "number", "date"} and field.unit in UNITS and field.words
    assert len(passport()) >= 50


def test_a_number_is_kept_in_si_and_refused_outside_its_limits():
    hardness = passport()["recipe", "water_hardness"]
    assert hardness.value_si("190") == pytest.approx(0.190)
    for wrong in ("-1", "nan", "1e9", "soft"):
        with pytest.raises(Problem):
            hardness.value_si(wrong)


def test_a_date_is_a_date():
    best_before = passport()["lot", "best_before"]
    assert best_before.value_si("2027-01-31") is None
    with pytest.raises(Problem):
        best_before.value_si("next spring")


def test_what_is_filled_in_or_held_by_the_record_is_not_missing():
    asked = {field.name for field in missing("lot", set())}
    assert "moisture" not in asked and "d50" in asked
    assert {field.name for field in missing("lot", {"d50"})} == asked - {"d50"}
