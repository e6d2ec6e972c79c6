"""What the README shows must run as it stands."""

from __future__ import annotations

import re
from pathlib import Path

from slake.campaign.reading_tables import read_lines

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)[0]


def test_the_notebook_example_runs_and_is_about_fifteen_lines(capsys):
    code = block("python")
    assert 12 <= len([line for line in code.splitlines() if line.strip() and not line.startswith("#")]) <= 17
    exec(compile(code, "README.md", "exec"), {})
    said = capsys.readouterr().out
    assert "'water':" in said and "Chance that all lines hold" in said


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
