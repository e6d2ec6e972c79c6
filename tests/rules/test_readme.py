"""What the README shows must run as it stands."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from slake.campaign.reading_tables import read_lines

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)[0]


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
