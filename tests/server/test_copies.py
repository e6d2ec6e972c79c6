"""Copies and putting them back: the round trip, and every file that must be refused."""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from slake.ground.problems import Problem
from slake.server.backups import KEPT, back_up, back_up_daily, copies, made_at, restore
from slake.server.files import in_use, in_use_by_nobody, known_migrations, refuse_newer, set_mark
from slake.server.home import OWN, SAMPLE, Home

NOON = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    place = Home(folder=tmp_path / "home")
    place.backups.mkdir(parents=True)
    for alias in (OWN, SAMPLE):
        make_bench(place.database(alias), alias)
    return place


def make_bench(file: Path, alias: str, words: str = "first") -> None:
    """The least a file needs to be taken for a bench of ours: the mark and the migrations we know."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("CREATE TABLE django_migrations (app TEXT, name TEXT)")
        connection.executemany(
            "INSERT INTO django_migrations VALUES ('records', ?)", [(n,) for n in known_migrations()]
        )
        connection.execute("CREATE TABLE notes (words TEXT)")
        connection.execute("INSERT INTO notes VALUES (?)", (words,))
        connection.commit()
    set_mark(file, alias)


def note(file: Path, words: str) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("INSERT INTO notes VALUES (?)", (words,))
        connection.commit()


def notes(file: Path) -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        return [words for (words,) in connection.execute("SELECT words FROM notes ORDER BY rowid")]


def test_round_trip(home: Home):
    kept = back_up(home, OWN, NOON)
    note(home.database(OWN), "second")
    replaced = restore(home, kept, NOON + timedelta(hours=1))
    assert notes(home.database(OWN)) == ["first"]
    assert replaced is not None and notes(replaced) == ["first", "second"]


def test_putting_the_newest_copy_back_onto_an_unchanged_bench_loses_nothing(home: Home):
    kept = back_up(home, OWN, NOON)
    replaced = restore(home, kept, NOON + timedelta(hours=1))
    assert notes(home.database(OWN)) == ["first"]
    assert replaced is not None and notes(replaced) == ["first"]


def test_the_oldest_of_ten_can_be_put_back(home: Home):
    for hour in range(KEPT):
        back_up(home, OWN, NOON + timedelta(hours=hour))
        note(home.database(OWN), f"hour {hour}")
    oldest = copies(home, OWN)[0]
    restore(home, oldest, NOON + timedelta(days=1))
    assert notes(home.database(OWN)) == ["first"]
    assert len(copies(home, OWN)) == 10


def test_a_missing_bench_is_not_made_by_copying_it(home: Home):
    home.database(OWN).unlink()
    with pytest.raises(sqlite3.OperationalError):
        back_up(home, OWN, NOON)
    assert not home.database(OWN).exists() and copies(home, OWN) == []


def test_a_copy_takes_what_is_still_in_the_write_ahead_log(home: Home):
    with closing(sqlite3.connect(home.database(OWN))) as writer:
        writer.execute("INSERT INTO notes VALUES ('just now')")
        writer.commit()
        assert notes(back_up(home, OWN, NOON)) == ["first", "just now"]


def test_a_copy_is_one_file_closed_to_others(home: Home):
    kept = back_up(home, OWN, NOON)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert [p for p in home.backups.iterdir() if p != kept] == []


def test_ten_are_kept_of_each_and_the_newest_ones(home: Home):
    for hour in range(KEPT + 4):
        note(home.database(OWN), f"hour {hour}")
        back_up(home, OWN, NOON + timedelta(hours=hour))
    back_up(home, SAMPLE, NOON)
    kept = copies(home, OWN)
    assert len(kept) == 10 and len(copies(home, SAMPLE)) == 1
    assert [made_at(k) for k in kept] == [NOON + timedelta(hours=h) for h in range(4, 14)]


def test_an_unchanged_bench_pushes_no_older_state_out(home: Home):
    back_up(home, OWN, NOON)
    note(home.database(OWN), "second")
    for day in range(1, 20):
        back_up(home, OWN, NOON + timedelta(days=day))
    assert [notes(kept) for kept in copies(home, OWN)] == [["first"], ["first", "second"]]
    assert made_at(copies(home, OWN)[-1]) == NOON + timedelta(days=19)


def test_daily_means_once_in_24_hours(home: Home):
    assert back_up_daily(home, OWN, NOON) is not None
    note(home.database(OWN), "second")
    assert back_up_daily(home, OWN, NOON + timedelta(hours=23, minutes=59)) is None
    assert back_up_daily(home, OWN, NOON + timedelta(hours=24)) is not None


def test_a_failed_copy_leaves_nothing_behind(home: Home, monkeypatch: pytest.MonkeyPatch):
    home.database(OWN).write_bytes(b"no database at all" * 100)
    with pytest.raises(sqlite3.DatabaseError):
        back_up(home, OWN, NOON)
    assert list(home.backups.iterdir()) == []


def test_a_damaged_bench_is_set_aside_whole_and_the_copy_takes_its_place(home: Home):
    kept = back_up(home, OWN, NOON)
    damaged = b"no database at all" * 100
    home.database(OWN).write_bytes(damaged)
    aside = restore(home, kept, NOON)
    assert notes(home.database(OWN)) == ["first"]
    assert aside is not None and aside.read_bytes() == damaged


def sample_file(home: Home, tmp_path: Path) -> Path:
    return back_up(home, SAMPLE, NOON)


def text_file(home: Home, tmp_path: Path) -> Path:
    (tmp_path / "notes.txt").write_text("water 300 g, gum 5 g\n" * 50)
    return tmp_path / "notes.txt"


def foreign_database(home: Home, tmp_path: Path) -> Path:
    with closing(sqlite3.connect(tmp_path / "other.sqlite3")) as connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
    return tmp_path / "other.sqlite3"


def empty_file(home: Home, tmp_path: Path) -> Path:
    (tmp_path / "empty.sqlite3").touch()
    return tmp_path / "empty.sqlite3"


def missing_file(home: Home, tmp_path: Path) -> Path:
    return tmp_path / "nowhere.sqlite3"


def newer_file(home: Home, tmp_path: Path) -> Path:
    kept = back_up(home, OWN, NOON)
    with closing(sqlite3.connect(kept)) as connection:
        connection.execute("INSERT INTO django_migrations VALUES ('records', '9999_from_the_future')")
        connection.commit()
    return kept


def torn_file(home: Home, tmp_path: Path) -> Path:
    with closing(sqlite3.connect(home.database(OWN))) as connection:
        connection.executemany("INSERT INTO notes VALUES (?)", [("x" * 3000,)] * 20)
        connection.commit()
    kept = back_up(home, OWN, NOON)
    whole = kept.read_bytes()
    kept.write_bytes(whole[: len(whole) // 2])
    return kept


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (sample_file, "is the sample workshop, not your bench"),
        (text_file, "no slake bench"),
        (foreign_database, "no slake bench"),
        (empty_file, "no slake bench"),
        (missing_file, "there is no file"),
        (newer_file, "written by a newer slake"),
        (torn_file, "damaged"),
    ],
)
def test_a_wrong_file_is_refused_and_nothing_changes(home: Home, tmp_path: Path, make, told: str):
    file = make(home, tmp_path)
    before, count = notes(home.database(OWN)), len(copies(home, OWN))
    with pytest.raises(Problem, match=told):
        restore(home, file, NOON)
    assert notes(home.database(OWN)) == before and len(copies(home, OWN)) == count


def test_nothing_is_restored_under_a_running_slake(home: Home):
    kept = back_up(home, OWN, NOON)
    with in_use(home), in_use(home), pytest.raises(Problem, match="slake is running"):
        restore(home, kept, NOON)
    restore(home, kept, NOON)


def test_slake_does_not_begin_while_files_are_changed(home: Home):
    with in_use_by_nobody(home), pytest.raises(Problem, match="being restored"), in_use(home):
        pass


def test_a_bench_of_a_newer_slake_is_not_opened(home: Home, tmp_path: Path):
    refuse_newer(home.database(OWN), "your bench")
    with pytest.raises(Problem, match=r"your bench .* was written by a newer slake"):
        refuse_newer(newer_file(home, tmp_path), "your bench")
