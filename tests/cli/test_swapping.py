"""`slake swap`: an equal dose from run-outs, the test that would tell without them, one sentence for what cannot be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake

GUAR, PSYLLIUM = [(0.8, 16), (1.3, 39), (2.0, 101)], [(2.0, 12), (4.0, 44), (7.0, 113)]


def runs(name: str, pairs: list[tuple[float, int]]) -> list[str]:
    return [word for dose, seconds in pairs for word in (name, f"{dose:g}:{seconds}".replace(".", ","))]


def test_run_outs_of_both_give_an_equal_dose_without_django(tmp_path: Path):
    asked = ["guar", "psyllium", "--dose", "1,2", *runs("--old", GUAR), *runs("--new", PSYLLIUM)]
    said = slake("swap", *asked, home=tmp_path, program=WITHOUT_DJANGO)
    assert said.returncode == 0, said.stderr
    mid, low, high = map(
        float, re.search(r"take ([\d.]+) \(80 % ([\d.]+) to ([\d.]+)\) g of psyllium", said.stdout).groups()
    )
    assert 3.2 < mid < 4.2 and low < mid < high
    assert "spring-back" in said.stdout and "sensitiser" in said.stdout
    assert said.stdout.splitlines()[-1] == "False", "Django was started"


def test_without_them_it_is_unknown_and_says_what_to_weigh(tmp_path: Path):
    said = slake("swap", "guar", "psyllium", "--dose", "1", home=tmp_path)
    assert said.returncode == 0 and said.stdout.startswith("unknown: ")
    assert "40 minutes" in said.stdout and "guar gum: 0.6, 1 and 1.6 g" in said.stdout


def test_a_dose_past_those_run_out_is_refused(tmp_path: Path):
    asked = ["guar", "psyllium", "--dose", "3", *runs("--old", GUAR), *runs("--new", PSYLLIUM)]
    assert "past the doses read" in refused(slake("swap", *asked, home=tmp_path))


@pytest.mark.parametrize(
    "words",
    [
        ["guar", "mussel shell", "--dose", "1"],
        ["guar", "unobtainium", "--dose", "1"],
        ["guar", "psyllium", "--dose", "nan"],
        ["guar", "psyllium", "--dose", "1", "--old", "twelve"],
        ["guar", "psyllium", "--dose", "1", "--old", "1:-4"],
    ],
)
def test_what_cannot_be_is_one_sentence(tmp_path: Path, words: list[str]):
    refused(slake("swap", *words, home=tmp_path))
