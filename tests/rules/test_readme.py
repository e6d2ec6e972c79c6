"""What the README shows must run as it stands."""

from __future__ import annotations

import ast
import re
import shlex
from pathlib import Path

import pytest

from slake.campaign.reading_tables import read_lines
from tests.cli.in_process import here

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")

NUMBER = r"\d+(?:\.\d+)?"


def block(language: str, place: int = 0) -> str:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)[place]


def test_the_notebook_example_runs_and_is_about_fifteen_lines(capsys):
    code = block("python")
    assert len([line for line in code.splitlines() if line.strip()]) == 15
    exec(compile(code, "README.md", "exec"), {})
    grams, chance, *more = capsys.readouterr().out.splitlines()
    batch = ast.literal_eval(grams)
    assert set(batch) == {"shell", "guar", "alginate", "water"} and sum(batch.values()) == pytest.approx(300, abs=0.3)
    mid, low, high = (int(share) for share in re.fullmatch(r"chance (\d+)% \((\d+)% to (\d+)%\)", chance).groups())
    assert 0 <= low <= mid <= high <= 100
    assert any("Chance that all lines hold" in line for line in more)


def test_the_five_lines_are_read_whole():
    lines = "\n".join(line.strip() for line in re.findall(r"^ +shell 300.*$", README, re.MULTILINE))
    read = read_lines(lines)
    assert (len(read.lines), read.troubles) == (5, ())
    assert [line.outcome for line in read.lines][:2] == ["too runny", "stalled"]


def test_it_opens_with_the_job_then_the_two_commands():
    head = README.split("## ")[0]
    assert (
        head.index("turns kitchen, brewery, shore and garden waste") < head.index("make run") < head.index("make test")
    )


def test_the_ten_lines_before_the_print_run_and_say_what_the_readme_says(tmp_path, monkeypatch):
    """Numbers shown may move a little when a law is bettered; words may not."""
    lines = block("sh", 1).splitlines()
    assert len(lines) == 10
    monkeypatch.chdir(tmp_path)
    said = ""
    for line in lines:
        if line.startswith("#"):
            assert any(alike(line[2:], told.strip()) for told in said.splitlines()), line
            continue
        ran = here(*shlex.split(line, comments=True)[1:])
        assert ran.returncode == 0, ran.stderr
        said = ran.stdout
    assert {path.name for path in tmp_path.iterdir()} == {"pot.3mf", "pot-to-print.3mf", "pot.gcode", "bar.gcode"}


def alike(shown: str, told: str) -> bool:
    """The same words as far as they are shown, and numbers within a tenth or ten of each other."""
    begun = " ".join(told.split()[: len(shown.split())])
    numbers = [[float(number) for number in re.findall(NUMBER, text)] for text in (shown, begun)]
    same = re.sub(NUMBER, "n", shown) == re.sub(NUMBER, "n", begun)
    return same and all(
        abs(a - b) <= max(0.1 * abs(a), 10 if a == int(a) else 0) for a, b in zip(*numbers, strict=True)
    )


def test_alike_sees_other_words_and_other_numbers():
    assert alike("chance of 50 %", "chance of 46 %") and alike("print 89.7 mm", "print 90.1 mm")
    assert not alike("chance of 50 %", "chance of 80 %") and not alike("print 89.7 mm", "prints 89.7 mm")
    assert not alike("print 89.7 mm", "print 120.1 mm")
