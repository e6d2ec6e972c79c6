"""A file checked before the print: long work. What was sent goes when its work is done, what came of it after a day."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings

from slake.actions.checking import loaded_for
from slake.actions.entry import Entry
from slake.actions.past import Tell
from slake.ground.problems import Problem
from slake.path.checked import Loaded, check_drawing, check_toolpath
from slake.path.checked_asked import Asked, asked_of, is_toolpath, short_name
from slake.path.checked_mesh_words import told_of_drawing
from slake.path.checked_path_words import told_of_toolpath
from slake.path.mesh_out import write_3mf, write_stl
from slake.records.models import Batch, Job, Machine

CHECK = "check before the print"
FOLDER = "checking"
KEPT_FOR = timedelta(days=1)
MEGABYTE = 1_000_000
LARGEST_BYTES = 20 * MEGABYTE
SCALED = {"3mf": write_3mf, "stl": write_stl}


@dataclass(frozen=True, kw_only=True)
class Sent:
    """A file as it was kept. name: as sent, for sentences only; file: what it is called here."""

    name: str
    file: str


def folder() -> Path:
    """Where files lie while they are worked on, for their owner only."""
    place = Path(settings.HOME.folder) / FOLDER
    place.mkdir(mode=0o700, exist_ok=True)
    return place


def require_taken(name: str, size: int) -> None:
    """Raises Problem for a file that by its name is no drawing or toolpath, or that is too large for a page."""
    is_toolpath(name)
    if size > LARGEST_BYTES:
        raise Problem(
            f"the file has {size / MEGABYTE:.0f} MB, but a page takes at most {LARGEST_BYTES // MEGABYTE} MB: "
            "type slake check FILE on the machine itself"
        )


def keep_sent(name: str, chunks: Iterable[bytes]) -> Sent:
    """Keep a file under its checksum until its work is done."""
    kind = "path" if is_toolpath(name) else "mesh"
    digest, token = hashlib.sha256(), secrets.token_hex(4)
    coming = folder() / f"coming-{token}.{kind}"
    with open(os.open(coming, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        for chunk in chunks:
            digest.update(chunk)
            out.write(chunk)
    file = coming.rename(folder() / f"{digest.hexdigest()}-{token}.{kind}")
    return Sent(name=short_name(name), file=file.name)


def let_go(sent: Sent) -> None:
    """A file that nothing came of."""
    (folder() / Path(sent.file).name).unlink(missing_ok=True)


def check_file(entry: Entry, inputs: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """Check what was sent. It goes either way; of a drawing the scaled one stays for a day."""
    clear_old(entry.at)
    sent = folder() / Path(str(inputs["file"])).name
    if not sent.is_file():
        raise Problem("the file that was sent is not there any more: send it again")
    try:
        loaded, asked = _given(entry, inputs)
        return _checked(sent, (loaded, asked), inputs, tell)
    finally:
        sent.unlink(missing_ok=True)


def _given(entry: Entry, inputs: dict[str, Any]) -> tuple[Loaded, Asked]:
    typed = inputs["typed"]
    batch = Batch.objects.select_related("recipe").filter(pk=inputs["batch"]).first()
    machine = Machine.objects.filter(pk=inputs["machine"]).first()
    loaded = loaded_for(typed, batch, machine, entry.at)
    return loaded, asked_of(typed, loaded.push.barrel.barrel_m)


def _checked(sent: Path, given: tuple[Loaded, Asked], inputs: dict[str, Any], tell: Tell) -> dict[str, Any]:
    if sent.suffix == ".path":
        return told_of_toolpath(check_toolpath(sent, *given, tell)).plain()
    found = check_drawing(sent.read_bytes(), str(inputs["name"]), given, tell)
    answer = told_of_drawing(found, given[0]).plain()
    tell(99, 100, "writing the scaled drawing")
    return {**answer, "scaled": _write_scaled(sent, found.scaled.mesh)}


def _write_scaled(sent: Path, mesh: Any) -> str:
    """The scaled drawing in both forms; their name without the ending."""
    name = f"scaled-{sent.stem}"
    for ending, written in SCALED.items():
        file = folder() / f"{name}.{ending}"
        with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
            out.write(written(mesh))
    return name


def scaled_file(job: Job, ending: str) -> Path | None:
    """The scaled drawing of a job while it is kept."""
    name = str(job.answer.get("scaled", "")) if job.kind == CHECK and job.state == "done" else ""
    file = folder() / f"{Path(name).name}.{ending}"
    return file if name and ending in SCALED and file.is_file() else None


def clear_old(now: datetime) -> int:
    """Delete what is older than a day; how many files went."""
    files = (Path(settings.HOME.folder) / FOLDER).glob("*.*")
    old = [file for file in files if now.timestamp() - file.stat().st_mtime > KEPT_FOR.total_seconds()]
    for file in old:
        file.unlink(missing_ok=True)
    return len(old)
