"""`slake take-along`, `slake move-in`: everything of a bench in one file of open text, and back into an empty one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slake.ground.problems import Problem

from .serving import ready

Box = Annotated[Path, typer.Argument(help="A file ending in .zip.")]


def take_along(
    file: Box, sample: Annotated[bool, typer.Option(help="The invented sample workshop instead of your bench.")] = False
) -> None:
    """Pack everything of your bench into one zip of open text files (JSON lines and CSV)."""
    if file.exists():
        raise Problem(f"{file.name} is there already: choose another name, nothing is overwritten")
    ready()
    from datetime import UTC, datetime

    from slake.actions.take_along import pack
    from slake.records.which import OWN, SAMPLE, using

    with using(SAMPLE if sample else OWN):
        try:
            counts = pack(file, datetime.now(UTC), _progress)
        except OSError as error:
            raise Problem(f"{file} could not be written ({error.strerror}): choose another folder") from None
    _show(f"packed into {file}", counts)


def move_in(file: Box) -> None:
    """Take a packed bench into yours, which must be empty: all of it or nothing."""
    if not file.is_file():
        raise Problem(f"there is no file {file}: give the zip that slake take-along made")
    ready()
    from slake.actions.move_in import move_in as take_over

    _show("your bench now holds", take_over(file, _progress))


def _progress(done: int, total: int) -> None:
    if total > 5000 and done:
        typer.echo(f"  {done} of {total} rows", err=True)


def _show(first: str, counts: dict[str, int]) -> None:
    typer.echo(f"{first}: {sum(counts.values())} rows")
    for name, count in counts.items():
        if count:
            typer.echo(f"  {name} {count}")
