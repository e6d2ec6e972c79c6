"""`slake where`, `slake backup`, `slake restore`: the data folder and its copies. None of them starts Django."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from slake.ground.problems import Problem


def where() -> None:
    """Name the data folder and what is in it."""
    from slake.server.backups import copies
    from slake.server.home import FILE_NAMES, SHOWN_NAMES, home

    place = home()
    typer.echo(place.folder)
    for alias in FILE_NAMES:
        file = place.database(alias)
        size = f"{file.stat().st_size / 1e6:.1f} MB" if file.exists() else "not made yet"
        typer.echo(f"  {file.name}  {SHOWN_NAMES[alias]}, {size}, copies kept: {len(copies(place, alias))}")


def backup() -> None:
    """Copy your bench and the sample now; ten copies of each are kept."""
    from slake.server.backups import back_up
    from slake.server.home import FILE_NAMES, make_home

    place = make_home()
    made = [alias for alias in FILE_NAMES if place.database(alias).exists()]
    if not made:
        raise Problem(f"there is no bench in {place.folder} yet: slake start makes one")
    for alias in made:
        try:
            typer.echo(back_up(place, alias, datetime.now(UTC)))
        except (sqlite3.Error, OSError) as error:
            raise Problem(f"no copy was made ({error}): look at the free space of {place.folder}") from error


def restore(file: Annotated[Path, typer.Argument(help="A copy made by slake; slake where names the folder.")]) -> None:
    """Put a copy in the place of your bench; what was there is kept as a copy."""
    from slake.server.backups import restore as put_back
    from slake.server.home import make_home

    try:
        kept = put_back(make_home(), file, datetime.now(UTC))
    except (sqlite3.Error, OSError) as error:
        raise Problem(f"nothing was restored ({error}): look at the free space and try again") from error
    typer.echo(f"your bench is now {file.name}" + (f"; what was there is kept as {kept}" if kept else ""))
