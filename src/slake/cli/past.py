"""`slake take-in`: a table of your own past from the command line, by the reader and the action the page uses."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slake.ground.problems import Problem

from .serving import ready

Table = Annotated[Path, typer.Argument(metavar="FILE", help="CSV or XLSX, one row a batch, headings above.")]
Columns = Annotated[
    list[str] | None,
    typer.Option(
        "--column",
        metavar='"LETTER=MEANING NAME=WORD ..."',
        help="Put a guess right: B=amount unit=kg/m3 lot=new:filler moisture=0, or H=slump unit=cm "
        "mould=concrete_cone, or K=ignore.",
    ),
]
Sheet = Annotated[str, typer.Option("--sheet", help="Which sheet of a workbook; left open: the first.")]
Headings = Annotated[int, typer.Option("--headings", min=0, help="Row of the headings; left open: found.")]
Unit = Annotated[str, typer.Option("--unit", help="Unit of every amount whose heading says none.")]
NewLots = Annotated[str, typer.Option("--new-lots", metavar="ROLE", help="Ingredients without a lot become new lots.")]
GoodOnly = Annotated[bool, typer.Option("--good-rows", help="Leave rows out that cannot be read.")]
Yes = Annotated[bool, typer.Option("--yes", help="Take it in; without it nothing is kept.")]
SHOWN = 20


def take_in(
    file: Table,
    column: Columns = None,
    sheet: Sheet = "",
    headings: Headings = 0,
    unit: Unit = "",
    new_lots: NewLots = "",
    good_rows: GoodOnly = False,
    yes: Yes = False,
) -> None:
    """Show how a table of your past is read and which rows cannot be; with --yes take it in, all or nothing."""
    content = _content(file)
    ready()
    from datetime import UTC, datetime

    from slake.actions.past import Asked
    from slake.campaign.past.opening import open_table

    table = open_table(content, sheet)
    settled, picks = _settled(_guessed(table, headings), column or [], unit, new_lots)
    asked = Asked(settled=settled, picks=picks, only_good=good_rows)
    looked = _looked(table, asked, datetime.now(UTC))
    if not yes:
        typer.echo(f"{len(looked.good)} rows can be taken in; nothing is kept yet: add --yes")
        return
    _keep(file.name, content, asked)


def _content(file: Path) -> bytes:
    from slake.campaign.past.table import LARGEST_BYTES

    try:
        if file.stat().st_size > LARGEST_BYTES:
            raise Problem(f"{file.name} has more than {LARGEST_BYTES // 2**20} MB: cut it, or bring several files")
        return file.read_bytes()
    except OSError as error:
        raise Problem(f"{file} cannot be read ({error.strerror}): give the file that holds the table") from error


def _guessed(table, headings: int):
    from slake.campaign.past.guessing import guess_settled
    from slake.records.models import Lot

    words = frozenset(name.casefold() for name in Lot.objects.values_list("name", flat=True))
    return guess_settled(table, headings or None, words)


def _settled(settled, texts: list[str], unit: str, new_lots: str):
    """The guesses with what was typed in their place, and the lots each amount means."""
    from dataclasses import replace

    from slake.actions.past_lots import NEW, suggested
    from slake.campaign.past.meanings import Means
    from slake.campaign.past.table import letter
    from slake.records.models import Lot

    said = dict(_parts(text) for text in texts)
    unknown = sorted(set(said) - {letter(one.at) for one in settled.columns})
    if unknown:
        raise Problem(f"there is no column {unknown[0][:10]}: the last one is {letter(settled.columns[-1].at)}")
    columns = tuple(_changed(one, said.get(letter(one.at)), unit) for one in settled.columns)
    lots, picks = list(Lot.objects.all()), {}
    for one in columns:
        if one.means is Means.AMOUNT:
            more = (said.get(letter(one.at)) or ("", {}))[1]
            pick = more.get("lot") or suggested(one, lots) or (NEW + new_lots if new_lots else "")
            picks[str(one.at)] = {"pick": pick, "moisture": more.get("moisture", "")}
    return replace(settled, columns=columns), picks


def _parts(text: str) -> tuple[str, tuple[str, dict[str, str]]]:
    """Letter, meaning, and named words of one --column."""
    head, *rest = text.split()
    column, mark, meaning = head.partition("=")
    if not mark or any("=" not in word for word in rest):
        raise Problem(f"“{text[:60]}” is no column: write for example B=amount unit=kg/m3 lot=new:filler")
    return column.upper(), (meaning, dict(word.split("=", 1) for word in rest))


def _changed(column, said: tuple[str, dict[str, str]] | None, unit: str):
    from dataclasses import replace

    from slake.bench.shelf import all_tests
    from slake.campaign.past.meanings import Column, Means

    masses = {Means.AMOUNT, Means.WATER}
    if said is None:
        return replace(column, unit=column.unit or unit) if column.means in masses else column
    meaning, more = said
    known = {means.value: means for means in Means if means is not Means.READING}
    test = meaning if meaning in all_tests() else ""
    if not test and meaning not in known:
        raise Problem(f"a column cannot mean “{meaning[:40]}”: say one of {', '.join([*known, *all_tests()])}")
    means = Means.READING if test else known[meaning]
    usual = column.unit or (all_tests()[test].notebook_unit if test else unit if means in masses else "")
    of = tuple(_place(letters) for letters in more.get("of", "").split(",") if letters)
    choices = {name: word for name, word in more.items() if name not in {"unit", "of", "lot", "moisture"}}
    return Column(
        at=column.at,
        heading=column.heading,
        means=means,
        unit=more.get("unit", usual).replace("_", " "),
        test=test,
        choices=choices if test else {},
        share_of=of or column.share_of,
    )


def _place(letters: str) -> int:
    number = 0
    for one in letters.upper()[:3]:
        number = number * 26 + ord(one) - 64
    return number - 1


def _said(column) -> str:
    """One line for a column: letter, heading, and what it is read as."""
    from slake.campaign.past.meanings import MEANS_WORDS
    from slake.campaign.past.table import letter

    means = f"reading {column.test}" if column.test else MEANS_WORDS[column.means]
    more = [f"in {column.unit}" if column.unit else "", *(f"{name} {word}" for name, word in column.choices.items())]
    return f"  {letter(column.at):<3} {column.heading[:40]:<40} {means} {', '.join(filter(None, more))}".rstrip()


def _looked(table, asked, now):
    """Every row read; what cannot be is listed with its number."""
    from slake.actions.past import look_at_table

    for one in asked.settled.columns:
        typer.echo(_said(one))
    looked = look_at_table(table, asked, now)
    for trouble in looked.troubles[:SHOWN]:
        typer.echo(f"row {trouble.number}: {trouble.why}")
    if len(looked.troubles) > SHOWN:
        typer.echo(f"and {len(looked.troubles) - SHOWN} more rows that cannot be read")
    for number, doubt in looked.doubts:
        typer.echo(f"row {number} is taken in with a note: {doubt}")
    if looked.already:
        typer.echo(f"{len(looked.already)} rows are on this bench already and stay out")
    return looked


def _keep(name: str, content: bytes, asked) -> None:
    import hashlib
    from datetime import UTC, datetime
    from uuid import uuid4

    from slake.actions.entry import Entry
    from slake.actions.past import keep_sheet, take_in_sheet

    now = datetime.now(UTC)
    digest = hashlib.sha256(content).hexdigest()
    kept = keep_sheet(Entry(id=f"cli.{digest[:40]}", at=now), name, content)
    answer = take_in_sheet(Entry(id=f"cli.{uuid4().hex}", at=now), kept.pk, asked, _progress)
    first, last = answer["batches"]
    which = f": batches {first} to {last}" if answer["taken"] else ""
    typer.echo(f"{answer['taken']} rows taken in{which}; {answer['left_out_count']} left out")


def _progress(done: int, total: int, words: str) -> None:
    typer.echo(f"  {words}: {done} of {total}", err=True)
