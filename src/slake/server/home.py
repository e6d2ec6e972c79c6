"""The data folder: one person's bench and the invented sample workshop, side by side and never mixed.

Knows no Django, so that commands which need no pages stay quick. Files are 0600, folders 0700.
"""

from __future__ import annotations

import os
import secrets
import sys
from dataclasses import dataclass
from pathlib import Path

from slake.ground.problems import Problem

HOME_VARIABLE = "SLAKE_HOME"
OWN, SAMPLE = "default", "sample"
FILE_NAMES = {OWN: "bench.sqlite3", SAMPLE: "sample.sqlite3"}
SHOWN_NAMES = {OWN: "your bench", SAMPLE: "the sample workshop"}


@dataclass(frozen=True, kw_only=True)
class Home:
    """Where everything of one person lives."""

    folder: Path

    def database(self, alias: str) -> Path:
        return self.folder / FILE_NAMES[alias]

    @property
    def backups(self) -> Path:
        return self.folder / "backups"

    @property
    def static(self) -> Path:
        return self.folder / "static"

    @property
    def log(self) -> Path:
        return self.folder / "slake.log"

    @property
    def key(self) -> Path:
        return self.folder / "secret.key"

    @property
    def in_use(self) -> Path:
        return self.folder / "in-use.sqlite3"


def home() -> Home:
    """The data folder as the environment names it; nothing is made yet."""
    named = os.environ.get(HOME_VARIABLE, "").strip()
    return Home(folder=Path(named).expanduser().absolute() if named else _usual_folder())


def _usual_folder() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "slake"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "slake"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "slake"


def make_home() -> Home:
    """Make the folders and the secret key where they are missing, closed to other people.

    From here on everything this process writes is closed to others too. Raises Problem for a folder that cannot be
    made or written.
    """
    os.umask(0o077)
    place = home()
    try:
        for folder in (place.folder, place.backups, place.static):
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        place.folder.chmod(0o700)
        place.backups.chmod(0o700)
        for kept in (place.database(OWN), place.database(SAMPLE), place.key, place.log):
            if kept.exists():
                kept.chmod(0o600)
        secret_key(place)
    except OSError as error:
        why = error.strerror or str(error)
        raise Problem(
            f"the data folder {place.folder} cannot be written ({why}): set {HOME_VARIABLE} to a folder of yours"
        ) from error
    return place


def secret_key(place: Home) -> str:
    """The key that signs cookies, made on first need. Deleting the file makes every paired device pair again."""
    try:
        return _kept_key(place)
    except FileNotFoundError:
        made = secrets.token_urlsafe(50)
    try:
        with open(place.key, "x", encoding="ascii", opener=_private) as file:
            file.write(made)
    except FileExistsError:
        return _kept_key(place)
    return made


def _kept_key(place: Home) -> str:
    kept = place.key.read_text(encoding="ascii").strip()
    if len(kept) < 50:
        raise Problem(f"the key file {place.key} is damaged: delete it and start again (devices then pair once more)")
    return kept


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
