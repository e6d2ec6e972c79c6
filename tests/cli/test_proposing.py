"""`slake next`: a notebook kept as a table, and the next batch from it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake

FIVE = """batch;mussel shell;guar;alginate;water;outcome;cone_depth_mm;minutes
1;300;2,5;2;150;too runny;24;60
2;300;6;3;95;stalled;8;60
3;300;4;3;120;fell at layer 9;;
4;300;5;4;115;good but cracked;15;60
5;300;4,5;3;112;good;14;60
"""


def table(folder: Path, text: str) -> str:
    (folder / "notebook.csv").write_text(text, encoding="utf-8")
    return str(folder / "notebook.csv")


def grams(said: str) -> dict[str, float]:
    return {name: float(mass) for mass, name in re.findall(r"^\s+([\d.]+) g  (.+)$", said, re.M)}


def test_five_lines_give_a_sixth_batch_in_grams(tmp_path: Path):
    said = slake("next", table(tmp_path, FIVE), "--paste-g", "400", home=tmp_path, program=WITHOUT_DJANGO)
    assert said.returncode == 0, said.stderr
    mix = grams(said.stdout)
    assert set(mix) <= {"mussel shell", "guar", "alginate", "water"} and mix["water"] > 0
    assert sum(mix.values()) == pytest.approx(400, abs=0.2)  # four masses, each printed to 0.1 g
    assert re.search(r"chance that all lines of the brief hold: \d+ % \(80 % range \d+ to \d+ %\)", said.stdout)
    assert said.stdout.splitlines()[-1] == "False", "Django was started"


def test_decimal_commas_and_separators_make_no_difference(tmp_path: Path):
    english = FIVE.replace(",", ".").replace(";", ",")
    with_tabs = FIVE.replace(";", "\t")
    said = [slake("next", table(tmp_path, text), home=tmp_path).stdout for text in (FIVE, english, with_tabs)]
    assert said[0] and said[0] == said[1] == said[2]


def test_the_brief_is_what_is_asked(tmp_path: Path):
    said = slake(
        "next", table(tmp_path, FIVE), "--want", "cone_depth_mm=14..20", "--want", "crack_grade=..1", home=tmp_path
    )
    shown = re.findall(r"^  (\w+): \S+ ?\w* \(80 % range", said.stdout, re.M)
    assert shown == ["cone_depth_mm", "crack_grade"]


def test_one_failure_more_moves_the_proposal(tmp_path: Path):
    before = grams(slake("next", table(tmp_path, FIVE), home=tmp_path).stdout)
    after = grams(slake("next", table(tmp_path, FIVE + "6;300;4,2;3;118;puddled;;\n"), home=tmp_path).stdout)
    assert before and after and before != after


def test_free_lines_say_the_same_as_a_table(tmp_path: Path):
    lines = """shell 300 g, guar 2,5, alginate 2, water 150 - too runny; cone 24 mm at 60 min
shell 300 g, guar 6 g, alginate 3, water 95 - stalled; cone 8 mm at 60 min
shell 300, guar 4, alginate 3, water 120 - fell at layer 9
shell 300, guar 5, alginate 4, water 115 - good but cracked; cone 15 mm at 60 min
shell 300, guar 4,5, alginate 3, water 112 - good; cone 14 mm at 60 min
"""
    free = slake("next", table(tmp_path, lines.replace("shell", "mussel shell")), home=tmp_path).stdout
    assert free and free == slake("next", table(tmp_path, FIVE), home=tmp_path).stdout


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "there is no line yet"),
        ("water;guar;outcome\n", "line 1 of notebook.csv"),
        ("mussel shell;guar;outcome\n300;4;good\n", "line 2 of notebook.csv: no water"),
        ("mussel shell;water;outcome\n300;many;good\n", "line 2 of notebook.csv: the amount of water"),
        ("mussel shell;water;outcome\n300;nan;good\n", "line 2 of notebook.csv: the amount of water"),
        ("mussel shell;water;outcome\n300;-5;good\n", "line 2 of notebook.csv: the amount of water"),
        ("mussel shell;water;outcome\n300;100;good;7\n", "line 2 of notebook.csv: the row has 4 cells"),
        ("mussel shell;water;outcome\n300;100;it sang\n", "line 2 of notebook.csv: "),
        ("mussel shell;water;cone_depth_mm\n300;100;9999\n", "line 2 of notebook.csv: "),
    ],
)
def test_a_bad_notebook_is_one_sentence(tmp_path: Path, text: str, told: str):
    assert told in refused(slake("next", table(tmp_path, text), home=tmp_path))


@pytest.mark.parametrize(
    "want", ["cone_depth_mm", "cone_depth_mm=14", "cone_depth_mm=..", "smell=1..2", "cone_depth_mm=20..14"]
)
def test_a_bad_line_of_the_brief_is_one_sentence(tmp_path: Path, want: str):
    assert refused(slake("next", table(tmp_path, FIVE), "--want", want, home=tmp_path))


def test_a_file_that_is_no_text_or_is_missing_is_one_sentence(tmp_path: Path):
    (tmp_path / "picture.csv").write_bytes(b"\xff\xfe\x00\x80" * 50)
    assert "not UTF-8" in refused(slake("next", str(tmp_path / "picture.csv"), home=tmp_path))
    assert "cannot be read" in refused(slake("next", str(tmp_path / "none.csv"), home=tmp_path))


def test_several_at_once_and_where_it_stands(tmp_path):
    said = slake("next", table(tmp_path, FIVE), "--batches", "2", "--days", "1", home=tmp_path).stdout
    assert "1 of 2, for 500 g" in said and "2 of 2, for 500 g" in said
    assert "at least one of them holds every line" in said
    assert "only wet readings" in said
    assert "good enough" in said.casefold()
    assert "days until it is needed" in refused(slake("next", table(tmp_path, FIVE), "--days", "-1", home=tmp_path))
