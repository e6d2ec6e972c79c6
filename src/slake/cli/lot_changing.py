"""`slake new-lot`: a notebook and what is known of a new lot in, what to change in the recipe out. No Django.

The lines are read as `slake next` reads them; the change is worked out as on the page of a new lot.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from slake.ground.problems import Problem

from .proposing import Kept, Wanted, add_lines, read_notebook, show_expected, window

Word = Annotated[str, typer.Argument(metavar="INGREDIENT", help="The new lot's ingredient, as FILE calls it.")]
Known = list[str] | None
MEANT = "drinks (g/g), moisture (%, wet basis), grains (um, the middle size)"
Now = Annotated[Known, typer.Option("--now", metavar="NAME=VALUE", help=f"Read of the new lot: {MEANT}.")]
Before = Annotated[Known, typer.Option("--before", metavar="NAME=VALUE", help="The same of the lot before it.")]
LineNumber = Annotated[str, typer.Option("--line", help="Line of FILE with your recipe; left out: the best one.")]
Called = Annotated[str, typer.Option("--called", help="What FILE calls the new lot in batches of it.")]
Paste = Annotated[str, typer.Option("--paste-g", help="Grams of paste of your recipe as it was.")]
FILLS = ("filler", "fibre")


def new_lot(
    file: Kept,
    ingredient: Word,
    now: Now = None,
    before: Before = None,
    want: Wanted = None,
    line: LineNumber = "",
    called: Called = "",
    paste_g: Paste = "500",
) -> None:
    """Say what to change in a known recipe for a new lot of one ingredient: grams, from the dry side, and readings."""
    from slake.campaign.known_line import known_recipe
    from slake.campaign.new_lot import lot_change
    from slake.ground.numbers import Limits, read_number

    grams = read_number(paste_g, "the paste of your recipe", Limits(low=20, high=100_000, unit="g"))
    facts = [_facts(said or [], of) for said, of in ((now, "--now"), (before, "--before"))]
    read = read_notebook(file)
    old, new = _lots(ingredient, called, read.words)
    book = _book(read.words, (old, new), facts, want)
    add_lines(book, read.lines, file)
    known = known_recipe(book, old, new, _batch(line, read.lines, file))
    found = lot_change(book, replace(known, sieved=_sieved(new, facts)))
    typer.echo(f"your recipe of line {read.lines[_place(book, known)].number} of {file.name}")
    _show(book, known, found, grams)
    _show_grains(found, new, facts)


def _lots(ingredient: str, called: str, words) -> tuple[str, str]:
    """What the file calls the old lot, and the new one."""
    old, new = (" ".join(text.casefold().split()) for text in (ingredient, called))
    if old not in words:
        raise Problem(f"no line has “{old[:40]}” in it: name one of {', '.join(words)}")
    new = new or f"new {old}"
    if new in {old, "water"}:
        raise Problem(f"the new lot cannot be called “{new[:40]}”: give it a name of its own with --called")
    return old, new


def _batch(line: str, lines, file) -> int | None:
    """Which batch the line of that number is."""
    from slake.ground.numbers import Limits, read_optional

    number = read_optional(line, "the line of your recipe", Limits(low=1, high=1e6))
    if number is None:
        return None
    found = [n for n, one in enumerate(lines) if one.number == number]
    if not found:
        raise Problem(f"line {number:g} of {file.name} is no batch: name a line from 1 to {lines[-1].number}")
    return found[0]


def _place(book, known) -> int:
    """The batch the recipe is of: the last with these very fractions."""
    row = [known.fractions.get(key, 0.0) for key in book.keys]
    return max(n for n, told in enumerate(book.batches) if list(told.fractions) == row)


def _facts(pairs: list[str], option: str) -> dict[str, float]:
    """What is known of one lot, as typed."""
    from slake.ground.numbers import Limits, read_number

    limits = {
        "drinks": Limits(low=0.01, high=20, unit="g/g"),
        "moisture": Limits(low=0, high=98, unit="%"),
        "grains": Limits(low=1, high=20_000, unit="um"),
    }
    found: dict[str, float] = {}
    for text in pairs:
        name, mark, value = text.partition("=")
        name = name.strip().casefold()
        if not mark or name not in limits:
            raise Problem(f"“{text[:40]}” after {option} is not understood: write one of {MEANT}, such as drinks=0,36")
        if name in found:
            raise Problem(f"{name} is given twice after {option}: give it once")
        found[name] = read_number(value, f"{name} after {option}", limits[name])
    return found


def _book(words, lots, facts, want):
    """The notebook, empty, with the new lot beside the old, of which there is none any more."""
    from slake.campaign import Notebook

    (old, new), (now, before) = lots, facts
    named = {word: word for word in words} | {old: _lot(old, before), new: _lot(old, now)}
    return Notebook(lots=named, brief=dict(window(text) for text in want or []) or None, bounds={old: (0.0, 0.0)})


def _lot(name: str, facts: dict[str, float]):
    from slake.campaign import Lot
    from slake.ground.units import to_si

    moisture = to_si(facts["moisture"], "%") if "moisture" in facts else None
    return Lot(name, moisture=moisture, water_demand=facts.get("drinks"))


def _sieved(new: str, facts):
    from slake.campaign.lot_grains import Sieved

    now, before = (one.get("grains") for one in facts)
    return {new: Sieved(grain_times=now / before, split=True)} if now and before else {}


def _show(book, known, found, paste_g: float) -> None:
    """What to change in grams, with the same dry filler as the recipe had; then the water from the dry side."""
    fills = [fact.key for fact in book.space.facts if fact.role.value in FILLS] or [f.key for f in book.space.facts]
    parts = found.proposal.fractions
    times = paste_g * sum(found.carried[key] for key in fills) / sum(parts[key] for key in fills)
    old = {new: before for before, new in known.swapped.items()}
    seen = f"{found.lots_seen} earlier lot{'' if found.lots_seen == 1 else 's'} of it mixed"
    typer.echo(f"for {paste_g:g} g of paste of your recipe, as received, with the same dry filler; {seen}:")
    for key in book.keys:
        was = paste_g * known.fractions.get(old.get(key, key), 0.0)
        if parts[key] * times > 0:
            typer.echo(f"  {parts[key] * times:8.1f} g  {key}  (was {was:.1f} g)")
    if found.watered:
        water_g = parts["water"] * times
        _show_water(found.watered, water_g, paste_g * known.fractions["water"])
    show_expected(found.proposal)


def _show_water(watered, water_g: float, was_g: float) -> None:
    low, mid, high = (part * water_g - was_g for part in (watered.water.low, watered.water.mid, watered.water.high))
    start, shows = water_g * min(watered.start, 1.0), watered.shows_at_start
    name, unit = watered.line.name, watered.line.gauge.unit
    typer.echo(f"water: {mid:+.1f} g (80 % range {low:+.1f} to {high:+.1f} g)")
    typer.echo(f"weigh in {start:.1f} g of water first and hold {water_g - start:.1f} g back;")
    typer.echo(f"  {name} should then be {shows.mid:.3g} (80 % range {shows.low:.3g} to {shows.high:.3g}) {unit}")
    for row in watered.then:
        less, likely, up_to = (max(part * water_g * watered.start, 0.0) for part in _ends(row.more_water))
        grams = f"begin with {max(less, likely / 2):.1f} g, likely {likely:.1f} in all, up to {up_to:.1f}"
        typer.echo(f"  where it is {row.reading:.3g} {unit}: {grams if likely > 0.05 else 'no more water'}")


def _ends(value) -> tuple[float, float, float]:
    return value.low, value.mid, value.high


def _show_grains(found, new: str, facts) -> None:
    """What the sieve did to these numbers, and what was left out."""
    drinks = found.drinks.get(new)
    if drinks is not None:
        low, mid, high = _ends(drinks)
        typer.echo(
            f"  by its grains it is expected to drink {mid:.2f} times what it would else (80 % range {low:.2f} to "
            f"{high:.2f}; common practice, no source); force, standing and clogging are not reckoned from grains"
        )
    left_out = [name for name in ("drinks", "moisture", "grains") if name not in facts[0]]
    if left_out:
        typer.echo(f"  left out of the new lot, which widens the range: {', '.join(left_out)}")
    if drinks is None and "grains" in facts[0]:
        typer.echo("  grains change no number here: give those of the lot before it as well, of a filler or fibre")
