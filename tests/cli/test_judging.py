"""`slake verdict`: a cone, two bores, and what would make it pass."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.test_commands import WITHOUT_DJANGO, refused, slake

ASKED = ["--cone-mm", "12,5", "--barrel-mm", "60", "--nozzle-mm", "3"]


def test_it_says_every_line_and_what_would_make_it_pass(tmp_path: Path):
    said = slake("verdict", *ASKED, "--wall-height-mm", "60", home=tmp_path, program=WITHOUT_DJANGO)
    assert said.returncode == 0, said.stderr
    assert re.match(r"(doubtful|no): all lines at once hold about \d+ in 100 times", said.stdout)
    assert "force to push it:" in said.stdout and "the smallest changes that would make it pass:" in said.stdout
    assert said.stdout.splitlines()[-1] == "False", "Django was started"


def test_more_force_and_a_lower_wall_hold_more_often(tmp_path: Path):
    weak = slake("verdict", *ASKED, "--force-n", "60", home=tmp_path).stdout
    strong = slake("verdict", *ASKED, "--force-n", "900", home=tmp_path).stdout
    held = r"force to push it: .*; holds (\d+) in 100"
    assert int(re.search(held, weak).group(1)) < 20 < 80 < int(re.search(held, strong).group(1))


@pytest.mark.parametrize("bad", ["nan", "0", "1e9", "wide", ""])
def test_a_bore_no_press_has_is_one_sentence(tmp_path: Path, bad: str):
    said = slake("verdict", "--cone-mm", "12", "--barrel-mm", "60", "--nozzle-mm", bad, home=tmp_path)
    refused(said)


def test_a_nozzle_wider_than_its_barrel_is_refused(tmp_path: Path):
    refused(slake("verdict", "--cone-mm", "12", "--barrel-mm", "20", "--nozzle-mm", "20", home=tmp_path))
