"""`slake next`: a notebook kept as text or table in, the next batch in grams out. Nothing is recorded, no Django.

The lines are read by the same reader as those pasted into the page.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slake.ground.problems import Problem

Kept = Annotated[Path, typer.Argument(metavar="FILE", help="Lines of a notebook, or a table with headings (CSV).")]
Wanted = Annotated[
    list[str] | None,
    typer.Option(
        "--want", metavar="NAME=LOW..HIGH", help="One line of the brief; leave a side empty where it is open."
    ),
]
Paste = Annotated[str, typer.Option("--paste-g", help="Grams of paste to weigh out.")]
Count = Annotated[int, typer.Option("--batches", min=1, max=3, help="How many you can mix today, chosen together.")]
Days = Annotated[str, typer.Option("--days", help="Days until you need it; left out: time enough to dry.")]
LONGEST_FILE_BYTES = 2 * 2**20


def next_batch(file: Kept, want: Wanted = None, paste_g: Paste = "500", batches: Count = 1, days: Days = "") -> None:
    """Say what to mix next after the batches of a notebook: grams of each, how it ended, and readings."""
    from slake.campaign.several import propose_several
    from slake.campaign.standing import sentences, where_it_stands
    from slake.campaign.within import Today
    from slake.ground.numbers import Limits, read_number, read_optional

    grams = read_number(paste_g, "the paste to weigh out", Limits(low=1, high=1e6, unit="g"))
    wait = read_optional(days, "the days until it is needed", Limits(low=0, high=3650, unit="days"))
    book, read = _book(file, want)
    found = propose_several(book, Today(count=batches, days=wait))
    for number, one in enumerate(found.chosen, 1):
        _show(one.proposal, grams, len(read.lines), f"{number} of {batches}, " if batches > 1 else "")
    for note in found.notes:
        typer.echo(f"  {note}")
    if batches > 1:
        typer.echo(f"chance that at least one of them holds every line: {round(100 * found.any_holds)} %")
    names = [f"line {line.number}" for line in read.lines]
    stands = where_it_stands(book, list(found.chosen[0].proposal.fractions.values()), names)
    for sentence in (*sentences(book, stands, names), *stands.doubts):
        typer.echo(f"  {sentence}")
    for heading in read.ignored:
        typer.echo(f"  the column “{heading}” means nothing here and was left out")


def _book(file: Path, want: list[str] | None):
    """The notebook of a file, and its lines as they were read."""
    from slake.campaign import Notebook

    read = read_notebook(file)
    book = Notebook(lots={word: word for word in read.words}, brief=dict(window(text) for text in want or []) or None)
    add_lines(book, read.lines, file)
    return book, read


def read_notebook(file: Path):
    """The lines of a notebook, each as it was read. Raises Problem with the first that cannot be."""
    from slake.campaign.reading_tables import read_lines

    read = read_lines(read_text(file))
    if read.troubles:
        first, more = read.troubles[0], len(read.troubles) - 1
        raise Problem(
            f"line {first.number} of {file.name}: {first.why}" + (f" (and {more} more lines)" if more else "")
        )
    if not read.lines:
        raise Problem(f"{file.name} has headings and no batch: add one line per batch")
    return read


def add_lines(book, lines, file: Path) -> None:
    """Every line as a batch of the notebook."""
    for line in lines:
        total = sum(line.masses.values())
        fractions = {word: mass / total for word, mass in line.masses.items()}
        try:
            book.add(fractions, line.outcome or None, dict(line.readings), reached_cap=line.all_stood)
        except Problem as problem:
            raise Problem(f"line {line.number} of {file.name}: {problem}") from problem


def read_text(file: Path) -> str:
    """What is in the file. Raises Problem for one that is missing, too long or no text."""
    try:
        if file.stat().st_size > LONGEST_FILE_BYTES:
            raise Problem(f"{file.name} is longer than 2 MB: give it in parts")
        return file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise Problem(f"{file} cannot be read ({why}): save it as text or CSV, UTF-8") from error


def window(text: str) -> tuple[str, tuple[str | None, str | None]]:
    name, mark, span = text.partition("=")
    low, dots, high = span.partition("..")
    if not mark or not dots:
        raise Problem(f"“{text[:40]}” is no line of a brief: write for example cone_depth_mm=14..20 or crack_grade=..1")
    return name.strip(), (low.strip() or None, high.strip() or None)


def _show(proposal, grams: float, have: int, which: str) -> None:
    typer.echo(
        f"after {have} {'batch' if have == 1 else 'batches'}, mix next, {which}for {grams:g} g of paste as received:"
    )
    for name, fraction in proposal.fractions.items():
        if fraction > 0:
            typer.echo(f"  {fraction * grams:8.1f} g  {name}")
    show_expected(proposal)
    for reason in proposal.why:
        if not reason.startswith("Chance that all"):
            typer.echo(f"  {reason}")


def show_expected(proposal) -> None:
    """The chance of all lines, and the reading expected of each."""
    from slake.bench.shelf import test_of_reading

    low, mid, high = (round(100 * part) for part in (proposal.chance.low, proposal.chance.mid, proposal.chance.high))
    typer.echo(f"chance that all lines of the brief hold: {mid} % (80 % range {low} to {high} %)")
    for name, span in proposal.predictions.items():
        test = test_of_reading(name)
        unit = f" {test.notebook_unit}" if test else ""
        typer.echo(f"  {name}: {span.mid:.3g}{unit} (80 % range {span.low:.3g} to {span.high:.3g}{unit})")
