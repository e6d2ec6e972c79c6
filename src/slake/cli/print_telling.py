"""Lines about a print, and how far it is while it is worked out."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from slake.path.checked_words import Line, Told

QUIET_S = 1.0


class Progress:
    """Says on stderr how far it is, at most once a second, and nothing in the first second."""

    def __init__(self) -> None:
        self.begun = self.said = time.monotonic()

    def __call__(self, words: str) -> None:
        now = time.monotonic()
        if now - self.said >= QUIET_S:
            typer.echo(f"  {now - self.begun:.0f} s: {words}", err=True)
            self.said = now


def show(told: Told, file: Path) -> None:
    """All that a check says, part by part."""
    from slake.ground.problems import as_typed

    typer.echo(f"{as_typed(file.name)}: {told.headline}")
    for sentence in told.stops:
        typer.echo(f"  First: {sentence}")
    for part in told.parts:
        typer.echo(f"{part.heading}:")
        for words in (*part.sentences, *map(_line, part.lines)):
            typer.echo(f"  {words}")
    typer.echo("What it rests on:")
    for name, words in told.basis.items():
        typer.echo(f"  {name}: {words}")
    for caution in told.cautions:
        typer.echo(f"Caution. {caution}")


def _line(line: Line) -> str:
    return f"{line.words}: {line.value}" + (f". {line.more}" if line.more else "")


def require_free(out: list[Path], endings: tuple[str, ...]) -> None:
    """Raise Problem for a file that is there already or ends otherwise, before anything is worked out."""
    from slake.ground.problems import Problem, as_typed

    if len({file.resolve() for file in out}) < len(out):
        raise Problem("one file is named twice with --out: name each once")
    for file in out:
        if file.suffix.lower() not in endings:
            raise Problem(f"“{as_typed(file.name)}” cannot be written: let its name end in {', '.join(endings)}")
        if file.exists():
            raise Problem(f"“{as_typed(file.name)}” is there already: choose another name, nothing is overwritten")
        if not file.parent.is_dir():
            raise Problem(f"there is no folder “{as_typed(str(file.parent))}”: make it first, or choose another")


def write(file: Path, content: bytes) -> None:
    """A whole new file or none."""
    from slake.ground.problems import Problem, as_typed

    begun = False
    try:
        with file.open("xb") as new:
            begun = True
            new.write(content)
    except OSError as error:
        if begun:
            file.unlink(missing_ok=True)
        why = (error.strerror or "no reason given").lower()
        raise Problem(f"“{as_typed(file.name)}” could not be written ({why}): choose another name or folder") from None
    typer.echo(f"written: {file}")
