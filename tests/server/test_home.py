"""The data folder: where it is, and that nobody else can read it."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from slake.ground.problems import Problem
from slake.server.home import home, make_home, secret_key


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SLAKE_HOME", str(tmp_path / "bench of mine"))
    return tmp_path / "bench of mine"


def test_folder_and_key_are_closed_to_others(folder: Path):
    place = make_home()
    assert place.folder == folder
    assert [mode(p) for p in (folder, place.backups, place.static)] == [0o700] * 3
    assert mode(place.key) == 0o600


def test_a_folder_that_was_open_is_closed(folder: Path):
    folder.mkdir(mode=0o755)
    (folder / "bench.sqlite3").touch(mode=0o644)
    make_home()
    assert mode(folder) == 0o700 and mode(folder / "bench.sqlite3") == 0o600


def test_the_key_is_made_once(folder: Path):
    key = secret_key(make_home())
    assert len(key) >= 50 and secret_key(make_home()) == key


def test_a_damaged_key_is_told(folder: Path):
    make_home().key.write_text("short")
    with pytest.raises(Problem, match="damaged: delete it"):
        make_home()


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (tmp_path / "file").touch()
    monkeypatch.setenv("SLAKE_HOME", str(tmp_path / "file" / "bench"))
    with pytest.raises(Problem, match="cannot be written"):
        make_home()


def test_without_a_wish_it_is_the_usual_place_of_the_person(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.delenv("SLAKE_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr("sys.platform", "linux")
    assert home().folder == tmp_path / "slake"
