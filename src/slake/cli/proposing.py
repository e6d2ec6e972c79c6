"""`slake next`: a notebook kept as a table in, the next batch in grams out. Nothing is recorded, no Django."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from slake.ground.problems import Problem

Table = Annotated[
    Path, typer.Argument(metavar="FILE.csv", help="One line per batch: grams of each, outcome, readings.")
]
Wanted = Annotated[
    list[str] | None,
    typer.Option(
        "--want", metavar="NAME=LOW..HIGH", help="One line of the brief; leave a side empty where it is open."
    ),
]
Paste = Annotated[str, typer.Option("--paste-g", help="Grams of paste to weigh out.")]
LONGEST_FILE_BYTES = 2 * 2**20
OUTCOME, MINUTES, NOZZLE, BATCH = "outcome", "minutes", "nozzle", "batch"


def next_batch(table: Table, want: Wanted = None, paste_g: Paste = "500") -> None:
    """Say what to mix next after the batches of a table; open cells are fine, water is a column of its own."""
    from slake.campaign.gauges import known_names
    from slake.ground.numbers import Limits, read_number

    grams = read_number(paste_g, "the paste to weigh out", Limits(low=1, high=1e6, unit="g"))
    rows = read_table(table)
    special = {OUTCOME, MINUTES, NOZZLE, BATCH, *known_names()}
    ingredients = [name for name in rows[0] if name not in special]
    book = _book(ingredients, [_window(text) for text in want or []])
    for number, row in enumerate(rows, 1):
        try:
            _add(book, ingredients, row)
        except Problem as problem:
            raise Problem(f"line {number + 1} of {table.name}: {problem}") from problem
    _show(book.propose(), grams, len(rows))


def read_table(table: Path) -> list[dict[str, str]]:
    """Rows by lower-case column name; comma, semicolon or tab between cells. Raises Problem for what is no table."""
    try:
        if table.stat().st_size > LONGEST_FILE_BYTES:
            raise Problem(f"{table.name} is longer than 2 MB: send fewer lines")
        text = table.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise Problem(f"{table} cannot be read ({why}): save it as CSV, UTF-8") from error
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) < 2:
        raise Problem(f"{table.name} has no batch: a first line with names, then one line per batch")
    between = max(";\t,", key=lines[0].count)
    names, *cells = csv.reader(lines, delimiter=between)
    keys = [name.strip().casefold() for name in names]
    if len(set(keys)) < len(keys) or "" in keys:
        raise Problem(f"a column of {table.name} has no name, or two have the same: give each its own")
    wrong = next((n for n, row in enumerate(cells, 2) if len(row) != len(keys)), None)
    if wrong:
        raise Problem(
            f"line {wrong} of {table.name} has not {len(keys)} cells: use semicolons where commas are decimal"
        )
    return [dict(zip(keys, map(str.strip, row), strict=True)) for row in cells]


def _book(ingredients: list[str], windows: list[tuple[str, tuple[str | None, str | None]]]):
    from slake.campaign import Notebook

    if "water" not in ingredients:
        raise Problem("the table has no column called water: add one with the grams of water of each batch")
    return Notebook(lots={name: name for name in ingredients if name != "water"}, brief=dict(windows) or None)


def _window(text: str) -> tuple[str, tuple[str | None, str | None]]:
    name, mark, span = text.partition("=")
    low, dots, high = span.partition("..")
    if not mark or not dots:
        raise Problem(f"“{text[:40]}” is no line of a brief: write for example cone_depth_mm=14..20 or crack_grade=..1")
    return name.strip(), (low.strip() or None, high.strip() or None)


def _add(book, ingredients: list[str], row: Mapping[str, str]) -> None:
    """One line of the table into the notebook."""
    from slake.ground.numbers import Limits, read_number, read_optional

    limits = Limits(low=0, high=1e6, unit="g")
    grams = {name: read_optional(row[name], name, limits) or 0.0 for name in ingredients}
    total = sum(grams.values())
    if total <= 0:
        raise Problem("no grams are given: give the mass of each ingredient and of the water")
    minutes = read_optional(row.get(MINUTES), MINUTES, Limits(low=0, high=1e6, unit="min"))
    given = {
        name: text for name, text in row.items() if text and name not in {*ingredients, OUTCOME, MINUTES, NOZZLE, BATCH}
    }
    readings = {name: (read_number(text, name), minutes) for name, text in given.items()}
    nozzle = read_optional(row.get(NOZZLE), NOZZLE, Limits(low=0.2, high=30, unit="mm"))
    more = {} if nozzle is None else {"nozzle": nozzle}
    book.add({name: mass / total for name, mass in grams.items()}, row.get(OUTCOME) or None, readings, **more)


def _show(proposal, grams: float, have: int) -> None:
    from slake.bench.shelf import test_of_reading

    typer.echo(f"after {have} {'batch' if have == 1 else 'batches'}, mix next, for {grams:g} g of paste as received:")
    for name, fraction in proposal.fractions.items():
        if fraction > 0:
            typer.echo(f"  {fraction * grams:8.1f} g  {name}")
    low, mid, high = (round(100 * part) for part in (proposal.chance.low, proposal.chance.mid, proposal.chance.high))
    typer.echo(f"chance that all lines of the brief hold: {mid} % (80 % range {low} to {high} %)")
    for name, span in proposal.predictions.items():
        test = test_of_reading(name)
        unit = f" {test.notebook_unit}" if test else ""
        typer.echo(f"  {name}: {span.mid:.3g}{unit} (80 % range {span.low:.3g} to {span.high:.3g}{unit})")
    for reason in proposal.why:
        if not reason.startswith("Chance that all"):
            typer.echo(f"  {reason}")
