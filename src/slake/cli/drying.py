"""`slake drying`: hours covered, when to turn it, when it has shrunk and is dry. No Django, nothing is recorded."""

from __future__ import annotations

from typing import Annotated

import typer

Wall = Annotated[str, typer.Option("--wall-mm", help="Thickness of the wall.")]
Air = Annotated[str, typer.Option("--air", metavar="C:PERCENT", help="Temperature and humidity, such as 20:50.")]
Draught = Annotated[str, typer.Option("--draught", help="still or fan.")]
Bed = Annotated[str, typer.Option("--bed", help="open (mesh, porous bat) or closed (film, glass, plate).")]
Shape = Annotated[str, typer.Option("--shape", help="pot, ring or tile.")]
Kind = Annotated[str, typer.Option("--kind", help="mineral or plant: what the paste is mostly made of.")]
Also = Annotated[
    list[str] | None,
    typer.Option("--also", metavar="NAME=NUMBER", help="Anything else the page asks, such as water_percent=31."),
]
Weighed = Annotated[
    list[str] | None,
    typer.Option("--weighed", metavar="HOURS:GRAMS", help="A weighing of the piece, tray off; give two or more."),
]


def drying(
    wall_mm: Wall = "",
    air: Air = "",
    draught: Draught = "",
    bed: Bed = "",
    shape: Shape = "",
    kind: Kind = "",
    also: Also = None,
    weighed: Weighed = None,
) -> None:
    """Say how a piece of this wall dries in this air on this bed; whatever is left out is taken as not known."""
    from slake.path.drying_answer import answer
    from slake.path.drying_asked import asked_of
    from slake.path.drying_words import cautions, crack_sentence, face_lines, lines_of, warp_sentence

    typed = {"wall_mm": wall_mm, "draught": draught, "bed": bed, "shape": shape, "kind": kind}
    answered = answer(asked_of(typed | _air(air) | _others(also or []) | _weighings(weighed or [])))
    found, asked = answered.schedule, answered.asked
    corrected = f", corrected by {len(asked.weighed.at_s)} weighings" if asked.weighed else ""
    typer.echo(f"hours since it was laid, 80 % ranges{corrected}:")
    for line in (*lines_of(found, asked.weighed), *face_lines(asked, found)):
        typer.echo(f"  {line.words}: {line.value}; {line.more}")
    for sentence in (crack_sentence(found.cracks), warp_sentence(found, asked.drying.piece.across_m)):
        typer.echo(sentence)
    for sentence in cautions(asked, found):
        typer.echo(f"Caution. {sentence}")


def _two(text: str, what: str, example: str) -> tuple[str, str]:
    from slake.ground.problems import NotANumber

    first, colon, second = text.partition(":")
    if not colon:
        raise NotANumber(what, typed=text, do=f"give two numbers with a colon between, such as {example}")
    return first, second


def _air(text: str) -> dict[str, str]:
    if not text.strip():
        return {}
    celsius, humidity = _two(text, "the air", "20:50")
    return {"air_c": celsius, "humidity_percent": humidity}


def _weighings(texts: list[str]) -> dict[str, str]:
    from slake.ground.problems import DoesNotFit
    from slake.path.drying_asked import ROWS

    if len(texts) > ROWS:
        raise DoesNotFit(f"{len(texts)} weighings are more than the {ROWS} taken here: leave out what lies between")
    pairs = [_two(text, "the weighing", "20:274,8") for text in texts]
    return {f"{what}_{n}": one[k] for n, one in enumerate(pairs, 1) for k, what in enumerate(("hours", "grams"))}


def _others(texts: list[str]) -> dict[str, str]:
    from slake.ground.problems import DoesNotFit
    from slake.path.drying_asked import CHOICES, NUMBERS

    found = {}
    for text in texts:
        name, _, value = text.partition("=")
        if name not in {*NUMBERS, *CHOICES}:
            raise DoesNotFit(f"“{name[:30]}” is not asked here: name one of {', '.join((*NUMBERS, *CHOICES))}")
        found[name] = value
    return found
