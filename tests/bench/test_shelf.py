"""A new test is one new file: dropped into a folder of the lab's own, it is on the shelf with no other edit."""

from __future__ import annotations

from pathlib import Path

import pytest

from slake.bench import shelf
from slake.bench.declaration import Context
from slake.bench.describe import bench_tests_page, known_sources
from slake.bench.shelf import OWN_FOLDER, all_tests
from slake.ground.problems import Problem
from tests.bench.own_test import OWN_ID, OWN_READING, OWN_TEXT, OWN_TITLE, drop_own_test, own_spread

__all__ = ["own_spread"]


def test_without_it_the_shelf_does_not_know_it():
    assert OWN_ID not in all_tests()
    assert shelf.test_of_reading(OWN_READING) is None


def test_a_dropped_declaration_is_found_beside_the_others(own_spread: str):
    assert shelf.test_named(own_spread).title == OWN_TITLE
    assert shelf.test_of_reading(OWN_READING) is shelf.test_named(own_spread)
    assert "fall_cone" in all_tests()


def test_its_reading_is_read_and_comes_back(own_spread: str):
    """Spread of 50 mL at 1.5 g/mL: 20 Pa gives a radius of 50.5 mm (own arithmetic on roussel_coussot2005)."""
    test = shelf.test_named(own_spread)
    evidence = test.inverse(test.read({OWN_READING: "101,0"}), Context(density_kg_m3=1500))
    assert evidence.low == pytest.approx(20, abs=0.5)
    assert test.forward(evidence.low, Context(density_kg_m3=1500)) == pytest.approx(101)
    with pytest.raises(Problem, match="width of the cake"):
        test.read({OWN_READING: "7"})


def test_it_is_in_the_help_page(own_spread: str):
    page = bench_tests_page(all_tests().values(), known_sources())
    assert f"## {OWN_TITLE}" in page and f"`{OWN_READING}`" in page


def test_a_name_that_is_not_there_is_answered_with_those_that_are():
    with pytest.raises(Problem, match="fall_cone"):
        shelf.test_named("viscometer")


def test_a_folder_that_is_not_there_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setenv(OWN_FOLDER, str(tmp_path / "nowhere"))
    with pytest.raises(Problem, match="no such folder"):
        all_tests()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("x = 1\nTEST = nothing_here\n", "does not load"),
        ("x = (\nTEST\n", "does not load"),
        (OWN_TEXT.replace('id="flow_of_50_ml"', 'id="fall_cone"'), "two bench tests are called fall_cone"),
        (OWN_TEXT.replace('notebook_name="flow_mm"', 'notebook_name="slump_mm"'), "two bench tests read slump_mm"),
        ("\nTEST = 3\n", "is no BenchTest"),
    ],
)
def test_a_broken_file_is_said_by_name(text: str, said: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    path = drop_own_test(tmp_path / "own")
    path.write_text(text, encoding="utf-8")
    monkeypatch.setenv(OWN_FOLDER, str(path.parent))
    with pytest.raises(Problem, match=said) as problem:
        all_tests()
    assert path.name in str(problem.value) and "\n" not in str(problem.value)
