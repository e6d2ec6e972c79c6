"""What a database file is before anybody trusts it: a bench or the sample, sound, not newer than this slake.

Knows no Django: it reads the table of applied migrations itself.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from importlib.resources import files
from pathlib import Path

from slake.ground.problems import Problem

from .home import OWN, SAMPLE, SHOWN_NAMES, Home

MARKS = {OWN: 0x736C6B62, SAMPLE: 0x736C6B73}
"""SQLite's application id of the two kinds of file: the letters slkb and slks."""

RECORDS = "records"


def known_migrations() -> frozenset[str]:
    """Names of the migrations of the records room that this slake brings along."""
    folder = files("slake.records") / "migrations"
    return frozenset(
        item.name[:-3] for item in folder.iterdir() if item.name[:1].isdigit() and item.name.endswith(".py")
    )


def applied_migrations(file: Path) -> frozenset[str]:
    """Names of the applied migrations; empty for a new file. Raises sqlite3.DatabaseError for no database at all."""
    if not file.exists() or file.stat().st_size == 0:
        return frozenset()
    with closing(opened(file)) as connection:
        if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'django_migrations'").fetchone():
            return frozenset()
        found = connection.execute("SELECT name FROM django_migrations WHERE app = ?", (RECORDS,))
        return frozenset(name for (name,) in found)


def mark_of(file: Path) -> int:
    if not file.exists():
        return 0
    with closing(opened(file)) as connection:
        return int(connection.execute("PRAGMA application_id").fetchone()[0])


def set_mark(file: Path, alias: str) -> None:
    """Say in the file itself which of the two kinds it is."""
    with closing(opened(file)) as connection:
        connection.execute(f"PRAGMA application_id = {MARKS[alias]}")
        connection.commit()


def refuse_newer(file: Path, shown: str) -> None:
    """Raises Problem when the file holds migrations this slake has never heard of, or is no database."""
    try:
        unknown = applied_migrations(file) - known_migrations()
    except sqlite3.DatabaseError as error:
        raise Problem(f"{shown} ({file}) cannot be read ({error}): slake restore FILE puts a copy back") from error
    if unknown:
        raise Problem(
            f"{shown} ({file}) was written by a newer slake: install that one, or put an older copy back with "
            "slake restore FILE"
        )


def is_sound(file: Path, alias: str) -> None:
    """Raises Problem unless the file is a whole, undamaged bench of the wanted kind that this slake can read."""
    if not file.is_file():
        raise Problem(f"there is no file {file}: slake where names the folder with the copies")
    try:
        mark, applied = mark_of(file), applied_migrations(file)
        with closing(opened(file)) as connection:
            answer = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.DatabaseError as error:
        raise Problem(f"{file} is no slake bench, or is damaged ({error}): choose another copy") from error
    if mark != MARKS[alias] or not applied:
        other = next((SHOWN_NAMES[a] for a, m in MARKS.items() if m == mark), "no slake bench")
        raise Problem(f"{file} is {other}, not {SHOWN_NAMES[alias]}: choose another copy")
    if answer != "ok":
        raise Problem(f"{file} is damaged ({str(answer)[:80]}): choose another copy")
    refuse_newer(file, "that copy")


@contextmanager
def in_use(home: Home) -> Iterator[None]:
    """Held while slake runs on this folder; several may. Ends with the process, however it ends."""
    with closing(_lock_file(home)) as connection:
        connection.execute("BEGIN")
        try:
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError as error:
            raise Problem(f"{home.folder} is being restored or updated just now: try again in a minute") from error
        yield


@contextmanager
def in_use_by_nobody(home: Home) -> Iterator[None]:
    """Held while the files themselves are changed. Raises Problem while slake runs on this folder."""
    with closing(_lock_file(home)) as connection:
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            raise Problem(
                f"slake is running on {home.folder}: stop it first (Ctrl-C where it runs), then again"
            ) from error
        yield


def _lock_file(home: Home) -> sqlite3.Connection:
    return sqlite3.connect(home.in_use, timeout=1, isolation_level=None)


def opened(file: Path) -> sqlite3.Connection:
    """Open a file that is there. Raises sqlite3.OperationalError for a missing one instead of making it empty."""
    return sqlite3.connect(f"{file.absolute().as_uri()}?mode=rw", uri=True, timeout=20)
