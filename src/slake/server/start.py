"""From a folder to a bench that can be served: newer files refused, copies made, databases and sample made ready."""

from __future__ import annotations

import hashlib
import logging
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.db import connections

from slake.demo import telling
from slake.jobs import checking, moving
from slake.jobs.asking import mark_interrupted, start_worker
from slake.records import which

from .backups import back_up, back_up_daily
from .files import MARKS, applied_migrations, in_use_by_nobody, known_migrations, mark_of, refuse_newer, set_mark
from .home import OWN, SAMPLE, SHOWN_NAMES, Home

log = logging.getLogger("slake.start")
Say = Callable[[str], None]


def bring_up(home: Home, now: datetime, say: Say) -> None:
    """Make everything ready to be served. Calling it again on a ready folder changes nothing and is quick.

    Raises Problem for a file from a newer slake, or when an update is due while slake runs on this folder.
    """
    for alias in (OWN, SAMPLE):
        refuse_newer(home.database(alias), SHOWN_NAMES[alias])
    for alias in (OWN, SAMPLE):
        if applied_migrations(home.database(alias)) != known_migrations():
            with in_use_by_nobody(home):
                _migrate(home, alias, now, say)
    if mark_of(home.database(SAMPLE)) != MARKS[SAMPLE]:
        with in_use_by_nobody(home):
            load_sample(home, now, say)
    collect_static(home)
    for alias in (OWN, SAMPLE):
        back_up_daily(home, alias, now)
        with which.using(alias):
            mark_interrupted(now)
    clear_old(now)


def go_on_working() -> None:
    """Work that waited when slake was stopped is taken up; for a server that has the folder in use."""
    for alias in (OWN, SAMPLE):
        with which.using(alias):
            start_worker()


def _migrate(home: Home, alias: str, now: datetime, say: Say) -> None:
    file = home.database(alias)
    if applied_migrations(file):
        say(f"bringing {SHOWN_NAMES[alias]} up to date; a copy is kept: {back_up(home, alias, now).name}")
    call_command("migrate", database=alias, interactive=False, verbosity=0)
    if alias == OWN:
        set_mark(file, OWN)


def load_sample(home: Home, now: datetime, say: Say) -> None:
    """Tell the seven weeks of the sample workshop into a file of its own, ending today.

    The file gets its mark last: one whose telling was interrupted is told anew.
    """
    say("loading the sample workshop (invented) ...")
    connections[SAMPLE].close()
    for part in ("", "-wal", "-shm"):
        Path(f"{home.database(SAMPLE)}{part}").unlink(missing_ok=True)
    call_command("migrate", database=SAMPLE, interactive=False, verbosity=0)
    with which.using(SAMPLE):
        telling.load(now)
    set_mark(home.database(SAMPLE), SAMPLE)


def collect_static(home: Home) -> None:
    """Gather styles and scripts, compressed and named by content, when any of them changed."""
    stamp = home.static / ".collected"
    wanted = _static_state()
    if stamp.exists() and stamp.read_text(encoding="ascii") == wanted:
        return
    call_command("collectstatic", interactive=False, clear=True, verbosity=0)
    stamp.write_text(wanted, encoding="ascii")


def _static_state() -> str:
    lines = []
    for finder in get_finders():
        for path, storage in finder.list([]):
            found = Path(storage.path(path)).stat()
            lines.append(f"{path} {found.st_size} {found.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(lines)).encode()).hexdigest()


def clear_old(now: datetime) -> None:
    """What was kept for a day only."""
    moving.clear_old(now)
    checking.clear_old(now)


def keep_copies(home: Home) -> None:
    """One look of the daily timer; what goes wrong is logged, never raised: serving goes on."""
    for alias in (OWN, SAMPLE):
        try:
            back_up_daily(home, alias, datetime.now(UTC))
        except (OSError, sqlite3.Error):
            log.exception("no daily copy of %s", SHOWN_NAMES[alias])
    try:
        clear_old(datetime.now(UTC))
    except OSError:
        log.exception("packed files of more than a day could not be deleted")
