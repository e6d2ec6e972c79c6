"""Copies of the benches by SQLite's own backup call: daily, before each migration, ten kept. Knows no Django."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from .files import in_use_by_nobody, is_sound, opened
from .home import FILE_NAMES, OWN, Home

KEPT = 10
EVERY = timedelta(hours=24)
STAMP = "%Y-%m-%dT%H%M%S.%f"


def copies(home: Home, alias: str) -> list[Path]:
    """The copies of one bench, oldest first."""
    return sorted(home.backups.glob(f"{Path(FILE_NAMES[alias]).stem}-*.sqlite3"))


def back_up(home: Home, alias: str, now: datetime) -> Path:
    """Copy one bench beside the others and let the oldest go when there are more than ten.

    A bench that has not changed since the newest copy gets no second one, so ten copies are ten states.
    """
    name = f"{Path(FILE_NAMES[alias]).stem}-{now.astimezone(UTC).strftime(STAMP)}Z.sqlite3"
    target = home.backups / name
    before = copies(home, alias)
    _copy(home.database(alias), target)
    if before and _digest(before[-1]) == _digest(target):
        before[-1].replace(target)
    for old in copies(home, alias)[:-KEPT]:
        old.unlink()
    return target


def back_up_daily(home: Home, alias: str, now: datetime) -> Path | None:
    """A copy when the newest is a day old or there is none."""
    if not home.database(alias).exists():
        return None
    newest = max((made_at(copy) for copy in copies(home, alias)), default=None)
    return back_up(home, alias, now) if newest is None or now - newest >= EVERY else None


def made_at(copy: Path) -> datetime:
    stamp = copy.stem.split("-", 1)[1].removesuffix("Z")
    return datetime.strptime(stamp, STAMP).replace(tzinfo=UTC)


def restore(home: Home, file: Path, now: datetime) -> Path | None:
    """Put a copy in the place of the person's bench; gives the copy kept of what was there.

    Raises Problem when the file is damaged, is no bench, is the sample workshop, is from a newer slake, or when
    slake is running on this data folder. Nothing is changed then.
    """
    is_sound(file, OWN)
    target = home.database(OWN)
    with in_use_by_nobody(home):
        fresh = target.with_suffix(".incoming")
        _copy(file, fresh)  # first: keeping what is replaced may rename the very copy that is put back
        kept = _keep_replaced(home, now) if target.exists() else None
        for side in ("-wal", "-shm"):
            Path(f"{target}{side}").unlink(missing_ok=True)
        os.replace(fresh, target)
    return kept


def _keep_replaced(home: Home, now: datetime) -> Path:
    """A copy of the bench about to be replaced; a damaged one is kept byte for byte under its own name."""
    try:
        return back_up(home, OWN, now)
    except sqlite3.DatabaseError:
        kept = home.folder / f"damaged-{now.astimezone(UTC).strftime(STAMP)}Z.sqlite3"
        os.replace(home.database(OWN), kept)
        return kept


def _copy(source: Path, target: Path) -> None:
    """Copy by SQLite's backup call, whole or not at all; the copy is one file, closed to other people."""
    part = target.with_suffix(".part")
    part.unlink(missing_ok=True)
    os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    try:
        with closing(opened(source)) as reading, closing(sqlite3.connect(part)) as writing:
            reading.backup(writing)
            writing.execute("PRAGMA journal_mode=DELETE")
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)


def _digest(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()
