"""A whole bench packed to be taken along, and one moved in: long work, and the files it leaves for a day."""

from __future__ import annotations

import os
import secrets
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings

from slake.actions.entry import Entry
from slake.actions.move_in import move_in
from slake.actions.past import Tell
from slake.actions.take_along import pack
from slake.ground.problems import Problem
from slake.records.models import Job
from slake.records.which import current_bench

TAKE_ALONG = "take everything along"
MOVE_IN = "move in"
KEPT_FOR = timedelta(days=1)
FOLDER = "moving"


def folder() -> Path:
    """Where packed benches lie, for their owner only."""
    place = Path(settings.HOME.folder) / FOLDER
    place.mkdir(mode=0o700, exist_ok=True)
    return place


def take_everything_along(entry: Entry, inputs: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """Pack the bench into a file of the data folder. A half packed one does not stay."""
    clear_old(entry.at)
    file = folder() / f"{current_bench.get()}-{secrets.token_hex(8)}.zip"
    try:
        with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb"):
            counts = pack(file, entry.at, lambda done, total: tell(done, total, "packing"))
    except BaseException:
        file.unlink(missing_ok=True)
        raise
    return {"file": file.name, "rows": sum(counts.values()), "bytes": file.stat().st_size}


def move_everything_in(entry: Entry, inputs: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """Move a packed bench in, in one transaction; the file that was sent goes either way."""
    file = kept_file(str(inputs["file"]))
    if file is None:
        raise Problem("the file that was sent is not there any more: send it again")
    tell(0, 0, "looking through the file, then writing all of it at once")
    try:
        counts = move_in(file)
    finally:
        file.unlink(missing_ok=True)
    return {"rows": sum(counts.values()), "tables": {name: n for name, n in counts.items() if n}}


def keep_sent(content: bytes) -> str:
    """A file sent to be moved in, kept until its work is done; its name."""
    file = folder() / f"sent-{secrets.token_hex(8)}.zip"
    with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
    return file.name


def kept_file(name: str) -> Path | None:
    """A file of the folder by its plain name; None where it is gone."""
    file = folder() / Path(name).name
    return file if name and file.is_file() else None


def packed_file(job: Job) -> Path | None:
    """What a job packed, while it is kept."""
    return kept_file(str(job.answer.get("file", ""))) if job.kind == TAKE_ALONG and job.state == "done" else None


def clear_old(now: datetime) -> int:
    """Delete what is older than a day; how many files went."""
    files = (Path(settings.HOME.folder) / FOLDER).glob("*.zip")
    old = [file for file in files if now.timestamp() - file.stat().st_mtime > KEPT_FOR.total_seconds()]
    for file in old:
        file.unlink(missing_ok=True)
    return len(old)
