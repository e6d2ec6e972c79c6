"""`slake new-lot`: the change of a known recipe for a new lot, from a notebook kept as a file."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake
from tests.cli.test_proposing import FIVE, table

SHELL = "mussel shell"
RANGE = re.compile(r"^water: ([+-][\d.]+) g \(80 % range ([+-][\d.]+) to ([+-][\d.]+) g\)$", re.M)


def changed(folder: Path, *words: str, text: str = FIVE) -> str:
    said = slake("new-lot", table(folder, text), SHELL, *words, home=folder)
    assert said.returncode == 0, said.stderr
    return said.stdout


def water(said: str) -> tuple[float, float, float]:
    low, mid, high = (float(RANGE.search(said).group(n)) for n in (2, 1, 3))
    return low, mid, high


def test_grams_to_change_from_the_dry_side_without_django(tmp_path: Path):
    asked = [SHELL, "--now", "drinks=0,36", "--before", "drinks=0,33"]
    found = slake("new-lot", table(tmp_path, FIVE), *asked, home=tmp_path, program=WITHOUT_DJANGO)
    assert found.returncode == 0, found.stderr
    said = found.stdout
    assert "your recipe of line 6 of notebook.csv" in said, "the fifth batch alone broke no line"
    low, mid, high = water(said)
    assert low < mid < high
    first, held = map(float, re.search(r"weigh in ([\d.]+) g of water first and hold ([\d.]+) g back", said).groups())
    now = float(re.search(r"([\d.]+) g  water  \(was 133\.5 g\)", said).group(1))
    assert held > 0 and first + held == pytest.approx(now, abs=0.15) and now == pytest.approx(133.5 + mid, abs=0.15)
    rows = re.findall(r"where it is ([\d.]+) mm: begin with ([\d.]+) g, likely ([\d.]+) in all, up to ([\d.]+)", said)
    assert len(rows) >= 3
    assert all(float(begin) <= float(likely) <= float(most) for _, begin, likely, most in rows)
    likely = [float(row[2]) for row in rows]
    assert likely == sorted(likely), "a shallower reading asks for more water"
    assert "left out of the new lot, which widens the range: moisture, grains" in said
    assert said.splitlines()[-1] == "False", "Django was started"


def test_a_thirstier_a_drier_and_a_finer_lot_take_more_water(tmp_path: Path):
    def added(*now: str, before: tuple[str, ...] = ("drinks=0,33", "moisture=1")) -> float:
        words = [
            word for option, pairs in (("--now", now), ("--before", before)) for p in pairs for word in (option, p)
        ]
        return water(changed(tmp_path, *words))[1]

    usual = added("drinks=0.33", "moisture=1")
    assert added("drinks=0.40", "moisture=1") > usual
    assert added("drinks=0.33", "moisture=8") < usual, "a damp lot brings water of its own"
    sieved = ("drinks=0,33", "moisture=1", "grains=200")
    assert added("drinks=0.33", "moisture=1", "grains=60", before=sieved) > usual


def test_what_was_read_of_the_new_lot_narrows_the_range(tmp_path: Path):
    before = water(changed(tmp_path))
    named = FIVE.replace("mussel shell", "mussel shell;new mussel shell").replace(";300;", ";300;;")
    after = water(changed(tmp_path, text=named + "6;;300;4,5;3;112;good;14;60\n"))
    assert after[2] - after[0] < before[2] - before[0]
    called = named.replace("new mussel shell", "shell of june") + "6;;300;4,5;3;112;good;14;60\n"
    assert water(changed(tmp_path, "--called", "Shell of June", text=called)) == after


def test_the_recipe_may_be_any_line(tmp_path: Path):
    said = changed(tmp_path, "--line", "3", "--paste-g", "404")
    assert "your recipe of line 3" in said and "(was 95.0 g)" in said


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["gravel"], "name one of mussel shell, guar, alginate"),
        ([SHELL, "--line", "9"], "line 9 of notebook.csv is no batch"),
        ([SHELL, "--line", "1"], "line 1 of notebook.csv is no batch"),
        ([SHELL, "--line", "two"], "the line of your recipe"),
        ([SHELL, "--now", "drinks"], "not understood"),
        ([SHELL, "--now", "thirst=1"], "not understood"),
        ([SHELL, "--now", "drinks=nan"], "drinks after --now"),
        ([SHELL, "--now", "drinks=400"], "drinks after --now"),
        ([SHELL, "--before", "moisture=-1"], "moisture after --before"),
        ([SHELL, "--now", "drinks=1", "--now", "drinks=2"], "given twice"),
        ([SHELL, "--called", "mussel shell"], "a name of its own"),
        ([SHELL, "--called", "water"], "a name of its own"),
        ([SHELL, "--paste-g", "0"], "the paste of your recipe"),
        ([SHELL, "--want", "smell=1..2"], "smell"),
    ],
)
def test_what_cannot_be_is_one_sentence(tmp_path: Path, words: list[str], told: str):
    assert told in refused(slake("new-lot", table(tmp_path, FIVE), *words, home=tmp_path))


def test_a_file_where_the_old_lot_was_never_mixed_alone_is_one_sentence(tmp_path: Path):
    both = FIVE.replace("mussel shell", "mussel shell;new mussel shell").replace(";300;", ";200;100;")
    assert "a known recipe needs 1" in refused(slake("new-lot", table(tmp_path, both), SHELL, home=tmp_path))
    assert "cannot be read" in refused(slake("new-lot", str(tmp_path / "none.csv"), SHELL, home=tmp_path))
