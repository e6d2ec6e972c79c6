"""What is typed about machine and paste before a print, in bench units; every one of them may be left out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from slake.ground.evidence import Range
    from slake.path.pushing import Pushed
    from slake.path.sizes import Bed

SPAN = "LOW..HIGH"
Nozzle = Annotated[str, typer.Option("--nozzle-mm", help="Bore of the nozzle.")]
Barrel = Annotated[str, typer.Option("--barrel-mm", help="Bore of the barrel.")]
Force = Annotated[str, typer.Option("--force-n", metavar=SPAN, help="Force of the ram; one number, or a range.")]
Counts = Annotated[
    str, typer.Option("--e-counts", metavar="WHAT", help="What E counts: ram, ml, or filament:1,75 (its bore in mm).")
]
Cone = Annotated[str, typer.Option("--cone-mm", metavar=SPAN, help="How deep a 30 g, 30 deg cone goes in.")]
Yields = Annotated[str, typer.Option("--yield-pa", metavar=SPAN, help="Yield stress, in place of the cone.")]
Density = Annotated[str, typer.Option("--density", metavar=SPAN, help="Density of the wet paste, g/mL.")]
Shrinks = Annotated[
    str,
    typer.Option(
        "--shrink", metavar="X:Y:Z", help="Linear shrinkage, %, along x, y and z; each a number or LOW..HIGH."
    ),
]
BedSize = Annotated[str, typer.Option("--bed", metavar="X:Y:Z", help="Room on the bed, mm; ACROSS:Z of a round one.")]
Filling = Annotated[str, typer.Option("--cartridge-ml", help="Volume of one cartridge.")]
Bead = Annotated[str, typer.Option("--bead-mm", help="Width of a bead; left out: 1,2 times the nozzle.")]
Layer = Annotated[str, typer.Option("--layer-mm", help="Height of a layer; left out: 0,55 times the nozzle.")]
Speed = Annotated[str, typer.Option("--speed-mm-s", help="Speed of the nozzle where the file says none.")]
Lean = Annotated[str, typer.Option("--lean-deg", metavar=SPAN, help="How far the paste leans out; usual: 25..35.")]
USUAL_NOZZLE_MM = 2.0
"""Taken where nobody says; common practice, no source. It is always said that it was."""


@dataclass(frozen=True, kw_only=True)
class Bounds:
    """Limits of what may be typed, in its unit."""

    low: float
    high: float
    unit: str


MM_BORE = Bounds(low=0.1, high=50, unit="mm")
MM_BARREL = Bounds(low=1, high=500, unit="mm")
MM_BED = Bounds(low=10, high=5000, unit="mm")
FORCES = Bounds(low=1, high=50_000, unit="N")
PASCALS = Bounds(low=1, high=1e6, unit="Pa")
CONES = Bounds(low=1.5, high=40, unit="mm")
DENSITIES = Bounds(low=0.5, high=4, unit="g/mL")
SHRINKAGES = Bounds(low=-4, high=45, unit="%")
LEANS = Bounds(low=5, high=80, unit="deg")


def number(typed: str, what: str, bounds: Bounds) -> float | None:
    """One number, in SI; None where it was left open."""
    from slake.ground.numbers import Limits, read_optional
    from slake.ground.units import to_si

    found = read_optional(typed, what, Limits(low=bounds.low, high=bounds.high, unit=bounds.unit))
    return None if found is None else to_si(found, bounds.unit)


def span(typed: str, what: str, bounds: Bounds) -> Range | None:
    """An 80 % range, in SI; one number is both of its ends; None where it was left open."""
    from slake.ground.evidence import Range
    from slake.ground.problems import DoesNotFit

    low_text, dots, high_text = typed.partition("..")
    low = number(low_text, what, bounds)
    high = number(high_text, what, bounds) if dots else low
    if low is None or high is None:
        if dots:
            raise DoesNotFit(f"{what} has one open end: type both, such as 12..15, or one number")
        return None
    if low > high:
        raise DoesNotFit(f"{what} runs down from {low_text.strip()} to {high_text.strip()}: type the lower end first")
    return Range(low=low, mid=math.sqrt(low * high) if low > 0 else (low + high) / 2, high=high)


def bed_of(typed: str) -> Bed | None:
    """The room there is; None where it was left open."""
    from slake.ground.numbers import is_open
    from slake.ground.problems import DoesNotFit, as_typed
    from slake.path.sizes import Bed

    if is_open(typed):
        return None
    parts = typed.split(":")
    sizes = [number(part, "the bed", MM_BED) for part in parts]
    if len(parts) not in (2, 3) or None in sizes:
        raise DoesNotFit(f"the bed is “{as_typed(typed)}”: give x:y:z in mm, or across:z of a round one")
    return Bed(x_m=sizes[0], y_m=sizes[-2] if len(sizes) == 3 else sizes[0], z_m=sizes[-1], round=len(sizes) == 2)


def pushed_of(typed: str, barrel_m: float | None) -> Pushed | None:
    """What E counts as it was said; None where it was left open."""
    from slake.ground.numbers import is_open
    from slake.ground.problems import DoesNotFit, as_typed
    from slake.path.pushing import filament_mm, millilitres, ram_mm

    word, _, bore = typed.strip().lower().partition(":")
    if is_open(word):
        return None
    if word == "ml":
        return millilitres()
    if word == "filament":
        found = number(bore, "the bore of the filament", MM_BORE)
        if found is None:
            raise DoesNotFit("E counts mm of a filament of no known bore: say for example filament:1,75")
        return filament_mm(found)
    if word != "ram":
        raise DoesNotFit(f"E cannot count “{as_typed(typed)}”: say ram, ml or filament:1,75")
    if barrel_m is None:
        raise DoesNotFit("E counts mm of ram, so the bore of the barrel is needed: give --barrel-mm")
    return ram_mm(barrel_m)


def shrinkages_of(typed: str) -> list[Range | None]:
    """Along x, y and z; None where it was left open."""
    from slake.ground.problems import DoesNotFit, as_typed

    parts = typed.split(":")
    if len(parts) > 3:
        raise DoesNotFit(f"the shrinkage is “{as_typed(typed)}”: give x:y:z in %, such as 5:5:8 or 4..6:4..6:7..10")
    found = [span(part, f"shrinkage along {axis}", SHRINKAGES) for part, axis in zip(parts, "xyz", strict=False)]
    return found + [None] * (3 - len(found))
