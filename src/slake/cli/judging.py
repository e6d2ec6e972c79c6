"""`slake verdict`: will a paste of this stiffness run and stand on this press. Nothing is recorded, no Django."""

from __future__ import annotations

from typing import Annotated

import typer

Cone = Annotated[str, typer.Option("--cone-mm", help="How deep a 30 g, 30 deg cone goes into the paste.")]
Barrel = Annotated[str, typer.Option("--barrel-mm", help="Bore of the barrel.")]
Nozzle = Annotated[str, typer.Option("--nozzle-mm", help="Bore of the nozzle.")]
Force = Annotated[str, typer.Option("--force-n", help="Force of the ram; left out: what small drives usually have.")]
High = Annotated[str, typer.Option("--wall-height-mm", help="Height of a wall one bead thick; left out: no wall.")]


def verdict(
    cone_mm: Cone, barrel_mm: Barrel, nozzle_mm: Nozzle, force_n: Force = "", wall_height_mm: High = ""
) -> None:
    """Say line by line whether it will run and stand, and the smallest changes that would make it pass."""
    from slake.campaign.verdict import judge
    from slake.campaign.verdict.smallest import mends

    question = _question({"cone": cone_mm, "barrel": barrel_mm, "nozzle": nozzle_mm}, force_n, wall_height_mm)
    found = judge(question)
    typer.echo(f"{found.word}: all lines at once hold about {_percent(found.chance)} in 100 times")
    for line in found.lines:
        typer.echo(
            f"  {line.words}: {_span(line.value, line.unit)}, limit {_span(line.limit, line.unit)}; {_held(line)}"
        )
    fix = mends(question)
    heading = (
        "the smallest changes that would make it pass:" if fix.whole else "no change here makes it pass; in part helps:"
    )
    for n, one in enumerate(fix.whole or fix.part):
        typer.echo(("" if n else f"{heading}\n") + "  " + "; ".join(step.words(question) for step in one.steps))


def _question(typed, force_n: str, wall_height_mm: str):
    from slake.campaign.verdict import Paste, Plan, Press, Question, Wall, practice
    from slake.campaign.verdict.cone import cone_stress
    from slake.campaign.verdict.spread import known
    from slake.ground.numbers import Limits, read_number, read_optional
    from slake.ground.units import to_si
    from slake.paste.ram import Barrel

    mm = {"cone": (1.5, 40), "barrel": (1, 500), "nozzle": (0.1, 50)}
    said = {n: read_number(typed[n], n, Limits(low=low, high=high, unit="mm")) for n, (low, high) in mm.items()}
    force = read_optional(force_n, "the force", Limits(low=1, high=50_000, unit="N"))
    high = read_optional(wall_height_mm, "height of the wall", Limits(low=0.5, high=2000, unit="mm"))
    nozzle_m = to_si(said["nozzle"], "mm")
    stated = practice.FORCE if force is None else known(force, practice.FORCE_WEIGHED_SD_LOG)
    wall = None if high is None else Wall(height_m=to_si(high, "mm"), wall_m=practice.BEAD_PER_NOZZLE * nozzle_m)
    return Question(
        paste=Paste(yield_stress_pa=cone_stress(said["cone"])),
        press=Press(barrel=Barrel(barrel_m=to_si(said["barrel"], "mm"), nozzle_m=nozzle_m), force_n=stated),
        plan=Plan(wall=wall),
    )


def _percent(chance: float) -> int:
    return min(max(round(100 * chance), 1), 99)


def _held(line) -> str:
    return "not judged" if line.chance is None else f"holds {_percent(line.chance)} in 100 times"


def _span(around, unit: str) -> str:
    from slake.campaign.verdict.change import said
    from slake.ground.units import from_si

    low, mid, high = (said(from_si(side, unit)) for side in (around.low, around.mid, around.high))
    return f"{mid} {unit}" if low == high else f"{mid} {unit} (80 % {low} to {high})"
