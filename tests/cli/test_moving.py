"""A bench taken along and moved in by command: the same records, and one sentence for a wrong file."""

from __future__ import annotations

import zipfile

from tests.cli.test_commands import refused, slake


def rows(file):
    with zipfile.ZipFile(file) as opened:
        return {name: opened.read(name) for name in opened.namelist() if name.startswith("rows/")}


def test_along_and_in_and_along_again(tmp_path):
    first, second = tmp_path / "a.zip", tmp_path / "b.zip"
    said = slake("take-along", str(first), "--sample", home=tmp_path / "one")
    assert said.returncode == 0 and "batch 14" in said.stdout
    said = slake("move-in", str(first), home=tmp_path / "two")
    assert said.returncode == 0 and "batch 14" in said.stdout, said.stderr
    assert slake("take-along", str(second), home=tmp_path / "two").returncode == 0
    assert rows(first) == rows(second)
    assert "not empty" in refused_last(slake("move-in", str(first), home=tmp_path / "two"))


def refused_last(said):
    assert said.returncode == 2 and "Traceback" not in said.stderr
    return said.stderr.splitlines()[-1]


def test_nothing_is_overwritten_and_a_missing_file_is_said(tmp_path):
    (tmp_path / "there.zip").write_bytes(b"mine")
    assert "there already" in refused(slake("take-along", str(tmp_path / "there.zip"), home=tmp_path / "h"))
    assert (tmp_path / "there.zip").read_bytes() == b"mine"
    assert "there is no file" in refused(slake("move-in", str(tmp_path / "none.zip"), home=tmp_path / "h"))
