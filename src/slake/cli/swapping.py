"""`slake swap`: the dose of one gum that does the work of another, from run-outs of both. No Django, no records."""

from __future__ import annotations

from typing import Annotated

import typer

Old = Annotated[str, typer.Argument(help="What the recipe has, such as guar.")]
New = Annotated[str, typer.Argument(help="What is to stand in for it, such as psyllium.")]
Dose = Annotated[str, typer.Option("--dose", help="What the recipe has of the old one: g dry per 100 g of water.")]
Runs = list[str] | None
OldRuns = Annotated[
    Runs, typer.Option("--old", metavar="DOSE:SECONDS", help="A run-out of the old one, such as 1,2:39; give three.")
]
NewRuns = Annotated[
    Runs, typer.Option("--new", metavar="DOSE:SECONDS", help="A run-out of the new one in the same syringe.")
]


def swap(old: Old, new: New, dose: Dose, old_runs: OldRuns = None, new_runs: NewRuns = None) -> None:
    """Say how much of another thickener gives the same run-out, what else changes, or which test would tell."""
    from slake.campaign.swap import may_replace, what_else, would_tell
    from slake.ground.numbers import Limits, read_number
    from slake.ground.problems import NotEnoughEvidence, Problem

    items = [_item(name) for name in (old, new)]
    if not may_replace(*items):
        raise Problem(f"{items[1].name} does other work than {items[0].name}: name two of the same kind")
    given = read_number(dose, "the dose", Limits(low=0.01, high=100, unit="g per 100 g water"))
    try:
        found = _equal(items, (old_runs or [], new_runs or []), given)
        typer.echo(f"for {given:g} g of {items[0].name} in 100 g of water take {_span(found)} g of {items[1].name}")
        typer.echo("  both dry; in a paste an equal run-out is worth about 15 % of the dose (common practice)")
    except NotEnoughEvidence as problem:
        telling = would_tell((items[0].name, given), (items[1].name, given * _usual(items)))
        typer.echo(f"unknown: {problem}")
        typer.echo(f"  {telling.minutes:.0f} minutes and {telling.waits_min:.0f} of waiting would tell: run out")
        for words in (*telling.weigh, *telling.also):
            typer.echo(f"  {words}")
    for change in what_else(*items, {}):
        size = f"times {_span(change.times)}" if change.times else change.words
        typer.echo(f"  {change.what}: {size} ({change.how})")


def _item(name: str):
    from slake.ground.problems import Problem
    from slake.paste.ingredients import close_to, find

    found = find(name)
    if found is None:
        alike = close_to(name)
        meant = f": did you mean {alike.name}?" if alike else ": name one of slake's list, such as guar or psyllium"
        raise Problem(f"“{name[:40]}” is not in slake's list{meant}")
    return found


def _usual(items) -> float:
    doses = [item.dose_per_100_water for item in items]
    return doses[1].value.mid / doses[0].value.mid if all(doses) else 1.0


def _equal(items, runs, dose: float):
    from slake.bench.gum_run_out import SCATTER_SHARE
    from slake.paste.dose_curve import equivalent_dose, fit_dose_curve

    curves = []
    for item, given in zip(items, runs, strict=True):
        pairs = [_run(text) for text in given]
        doses, seconds = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
        curves.append(fit_dose_curve(doses, seconds, [SCATTER_SHARE] * len(pairs), what=f"the curve of {item.name}"))
    return equivalent_dose(*curves, dose)


def _run(text: str) -> tuple[float, float]:
    from slake.ground.numbers import Limits, read_number
    from slake.ground.problems import Problem

    dose, mark, seconds = text.partition(":")
    if not mark:
        raise Problem(f"“{text[:40]}” is no run-out: write the dose and the seconds, such as 1,2:39")
    return (
        read_number(dose, "the dose", Limits(low=0.01, high=100, unit="g per 100 g water")),
        read_number(seconds, "the seconds", Limits(low=1, high=3600, unit="s")),
    )


def _span(value) -> str:
    return f"{value.mid:.3g} (80 % {value.low:.3g} to {value.high:.3g})"
