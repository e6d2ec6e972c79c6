"""`slake take-in`: guesses shown, bad rows named, kept only with --yes, once, all or nothing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.test_commands import refused, slake

TEXT = "mix;shell;water;slump (cm)\n1;300;140;23\n2;310;150;0\n3;much;150;4\n"


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "past.csv"
    file.write_text(TEXT, encoding="cp1252")
    return file


def batches(home: Path) -> int:
    with closing(sqlite3.connect(home / "bench.sqlite3")) as connection:
        return connection.execute("SELECT count(*) FROM records_batch").fetchone()[0]


def test_a_table_is_shown_then_taken_in_once(tmp_path: Path, table: Path):
    home = tmp_path / "home"
    words = ["take-in", str(table), "--unit", "kg/m3", "--new-lots", "filler", "--column", "B=amount"]
    looked = slake(*words, home=home)
    assert looked.returncode == 0, looked.stderr
    assert "reading slump in cm, mould concrete_cone" in looked.stdout and "add --yes" in looked.stdout
    assert "row 4: the amount of shell is “much”" in looked.stdout and batches(home) == 0
    whole = slake(*words, "--yes", home=home)
    assert whole.returncode == 2 and "1 of 3 rows cannot be read" in whole.stderr and batches(home) == 0
    good = slake(*words, "--good-rows", "--yes", home=home)
    assert "2 rows taken in: batches 1 to 2; 1 left out" in good.stdout and batches(home) == 2
    assert "0 rows taken in" in slake(*words, "--good-rows", "--yes", home=home).stdout and batches(home) == 2


def test_what_cannot_be_is_one_sentence(tmp_path: Path, table: Path):
    assert "cannot be read" in refused(slake("take-in", str(tmp_path / "none.csv"), home=tmp_path / "home"))
    empty = tmp_path / "empty.csv"
    empty.write_bytes(b"")
    said = slake("take-in", str(empty), home=tmp_path / "home")
    assert said.returncode == 2 and "0 bytes" in said.stderr and "Traceback" not in said.stderr
    said = slake("take-in", str(table), "--column", "Z=amount", home=tmp_path / "home")
    assert said.returncode == 2 and "no column Z" in said.stderr
