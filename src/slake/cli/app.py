"""All commands of `slake`, gathered."""

from __future__ import annotations

import typer

from . import (
    checking,
    drying,
    judging,
    keeping,
    lot_changing,
    making,
    moving,
    past,
    proposing,
    reading,
    serving,
    swapping,
)

app = typer.Typer(
    name="slake",
    help="From waste to a printable paste: readings, their meaning, and the next batch in grams.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.command("start")(serving.start)
app.command("serve")(serving.serve)
app.command("backup")(keeping.backup)
app.command("restore")(keeping.restore)
app.command("where")(keeping.where)
app.command("take-along")(moving.take_along)
app.command("move-in")(moving.move_in)
app.command("take-in")(past.take_in)
app.command("tests")(reading.tests)
app.command("read")(reading.read)
app.command("next")(proposing.next_batch)
app.command("new-lot")(lot_changing.new_lot)
app.command("verdict")(judging.verdict)
app.command("swap")(swapping.swap)
app.command("check")(checking.check)
app.command("drying")(drying.drying)
app.command("piece")(making.piece)
app.command("vessel")(making.vessel)


@app.callback(invoke_without_command=True)
def slake(version: bool = typer.Option(False, "--version", help="Print the version.")) -> None:
    if version:
        from slake import __version__

        typer.echo(f"slake {__version__}")
        raise typer.Exit
