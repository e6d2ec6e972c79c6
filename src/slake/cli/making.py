"""`slake piece` and `slake vessel`: test pieces and a form from numbers, as G-code and as mesh. Nothing is recorded."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .printing_options import Barrel, Bead, BedSize, Bounds, Counts, Density, Layer, Lean, Nozzle, Shrinks, number

if TYPE_CHECKING:
    from slake.path.beads import Printer
    from slake.path.mesh import Mesh

KINDS = "purge_line, shrinkage_bar, failing_wall, failing_tube, overhang_fan, span_ladder, bend_bars or crack_ring"
Kind = Annotated[str, typer.Argument(metavar="KIND", help=f"{KINDS}.")]
Outs = Annotated[
    list[Path] | None,
    typer.Option("--out", help="A new file, .gcode, .3mf or .stl; may be given again for another."),
]
Batch = Annotated[str, typer.Option("--batch", help="What the batch is called, for the label.")]
Speed = Annotated[str, typer.Option("--speed-mm-s", help="Speed of the nozzle; left out: 20.")]
Corner = Annotated[bool, typer.Option("--from-corner", help="The machine counts from a corner of its bed.")]
Numbers = Annotated[
    Path | None,
    typer.Argument(metavar="NUMBERS", help="A CSV; left out: the pot of the sample workshop (invented)."),
]
High = Annotated[str, typer.Option("--height-mm", help="Height of the wall.")]
Wide = Annotated[str, typer.Option("--radius-mm", help="Middle radius.")]
Swing = Annotated[str, typer.Option("--swing-mm", help="How far the numbers move the wall either way.")]
Floor = Annotated[int, typer.Option("--floor", min=0, max=20, help="Layers of floor; 0 is a tube.")]
Turns = Annotated[int, typer.Option("--turns", min=0, max=2000, help="Wind the series round in so many turns.")]
Column = Annotated[int, typer.Option("--column", min=0, help="Column of the table, from 1; left out: the last.")]
SIZES = Bounds(low=5, high=2000, unit="mm")
SWINGS = Bounds(low=0, high=1000, unit="mm")
SPEEDS = Bounds(low=0.5, high=200, unit="mm/s")
ENDINGS = (".gcode", ".3mf", ".stl")
USUAL_BED = "200:200:200"
USUAL_SPEED_M_S = 0.02
UNNAMED = "batch ____"
TRAVELS = 3.0
"""Times as fast as a bead is laid; practice."""


def piece(
    kind: Kind,
    out: Outs = None,
    batch: Batch = "",
    nozzle_mm: Nozzle = "",
    barrel_mm: Barrel = "",
    e_counts: Counts = "",
    bed: BedSize = "",
    bead_mm: Bead = "",
    layer_mm: Layer = "",
    speed_mm_s: Speed = "",
    from_corner: Corner = False,
) -> None:
    """Make a test piece for this machine, say which reading it will produce and what goes on its label."""
    _piece(kind, out or [], batch or UNNAMED, locals())


def _piece(kind: str, out: list[Path], batch: str, typed: dict[str, Any]) -> None:
    from slake.ground.problems import Problem, as_typed
    from slake.path.checked_words import short
    from slake.path.pieces import gcode_of, label_of
    from slake.path.pieces_all import EVERY_PIECE

    from .print_telling import require_free

    require_free(out, ENDINGS)
    make = EVERY_PIECE.get(kind.strip().lower().replace("-", "_").replace(" ", "_"))
    if make is None:
        raise Problem(f"there is no piece called “{as_typed(kind)}”: name one of {', '.join(EVERY_PIECE)}")
    printer, taken = _printer(typed)
    made = make(printer)
    _write_all(out, gcode_of(made, batch), made.mesh)
    typer.echo(f"{made.title}: {short(made.paste_m3, 'mL')} mL of paste; it will be read as {made.reads}")
    for line in (*taken, *made.how, *(f"label: {words}" for words in label_of(made, batch))):
        typer.echo(f"  {line}")


def vessel(
    numbers: Numbers = None,
    out: Outs = None,
    height_mm: High = "80",
    radius_mm: Wide = "36",
    swing_mm: Swing = "6",
    floor: Floor = 2,
    turns: Turns = 0,
    column: Column = 0,
    shrink: Shrinks = "",
    lean_deg: Lean = "",
    density: Density = "",
    nozzle_mm: Nozzle = "",
    barrel_mm: Barrel = "",
    e_counts: Counts = "",
    bed: BedSize = "",
    bead_mm: Bead = "",
    layer_mm: Layer = "",
    speed_mm_s: Speed = "",
    from_corner: Corner = False,
) -> None:
    """Make a vessel whose wall follows a series of numbers, as a closed mesh and as one bead without a travel."""
    _vessel(numbers, out or [], locals())


def _vessel(numbers: Path | None, out: list[Path], typed: dict[str, Any]) -> None:
    from slake.path.vessel import radius_by_height, surface_by_turns, vessel_from_numbers
    from slake.path.writing import write_gcode

    from .print_telling import require_free

    require_free(out, ENDINGS)
    printer, taken = _printer(typed)
    wished, wet = _wished(typed)
    follow = surface_by_turns(typed["turns"]) if typed["turns"] else radius_by_height
    series = _series(numbers, typed["column"])
    made = vessel_from_numbers(series, wished, printer, _bears(typed["lean_deg"]), follow)
    _write_all(out, write_gcode([made.run], printer, made.says), made.mesh)
    _show(made, (*taken, *wet), typed["density"])


def _show(made, more: tuple[str, ...], density: str) -> None:
    from slake.path.checked_words import short, spanned

    from .print_paste import paste_of

    grams = spanned(paste_of("", "", density)[0].density_kg_m3.range80().scaled(made.paste_m3), "g")
    typer.echo(f"vessel: {made.turns} turns of one spiral, {short(made.paste_m3, 'mL')} mL of paste, {grams}")
    for line in (*more, *made.says):
        typer.echo(f"  {line}")


def _printer(typed: dict[str, Any]) -> tuple[Printer, list[str]]:
    """What is printed with, and what stands in for what nobody said."""
    from slake.ground.numbers import is_open
    from slake.path.beads import Printer
    from slake.path.pushing import millilitres

    from .print_machine import machine_of
    from .printing_options import pushed_of

    machine = machine_of(typed | {"bed": USUAL_BED if is_open(typed["bed"]) else typed["bed"]})
    pushed = pushed_of(typed["e_counts"], machine.barrel_m)
    speed = number(typed["speed_mm_s"], "the speed", SPEEDS) or USUAL_SPEED_M_S
    printer = Printer(
        nozzle_m=machine.nozzle_m,
        bead_m=machine.bead_m,
        layer_height_m=machine.layer_height_m,
        speed_m_s=speed,
        travel_m_s=TRAVELS * speed,
        bed=machine.bed,
        pushed=pushed or millilitres(),
        from_corner=typed["from_corner"],
    )
    standing_in = {
        "a nozzle of 2 mm": machine.nozzle_said,
        f"a bed of {USUAL_BED} mm": not is_open(typed["bed"]),
        "E counting mL of paste": pushed,
    }
    return printer, [f"taken, as nobody said: {words}" for words, said in standing_in.items() if not said]


def _wished(typed: dict[str, Any]):
    """The vessel as printed wet, and how it was made so. Where a shrinkage is said, sizes are those it dries to."""
    from slake.ground.problems import DoesNotFit
    from slake.path.shrinking import Direction, Today, foreseen
    from slake.path.vessel import Wished, wet_of

    from .checking_mesh import bars_of_said
    from .print_machine import SAID

    bounds = {"height": SIZES, "radius": SIZES, "swing": SWINGS}
    said = {name: number(typed[f"{name}_mm"], f"the {name}", bound) for name, bound in bounds.items()}
    if None in said.values():
        raise DoesNotFit("height, radius and swing of a vessel are needed: leave the option out for the usual one")
    sizes = {f"{name}_m": size for name, size in said.items()}
    wished = Wished(**sizes, floor_layers=typed["floor"])
    bars = bars_of_said(typed["shrink"])
    if bars is None:
        return wished, ("sizes are those it is printed at: say --shrink to give those it dries to",)
    plan, upright = (foreseen(way, bars, Today(batch=SAID)) for way in (Direction.ALONG, Direction.UPRIGHT))
    return wet_of(wished, plan, upright), ("made larger so that it dries to the size said", *upright.warnings)


def _bears(typed: str):
    from slake.path.softening import Bears

    from .printing_options import LEANS, span

    lean = span(typed, "the lean the paste bears", LEANS)
    return Bears() if lean is None else Bears(lean_deg=lean)


def _series(file: Path | None, column: int):
    """The series of a file, or the invented pot."""
    from importlib.resources import files

    from slake.ground.problems import Problem, as_typed
    from slake.path.series import MOST_BYTES, read_series

    if file is None:
        return read_series(files("slake").joinpath("demo/pot.csv").read_bytes(), column or None)
    try:
        with file.open("rb") as table:
            content = table.read(MOST_BYTES + 1)
    except OSError as error:
        why = (error.strerror or "not readable").lower()
        raise Problem(f"“{as_typed(file.name)}” cannot be read ({why}): check its name and place") from None
    return read_series(content, column or None)


def _write_all(out: list[Path], gcode: str, mesh: Mesh) -> None:
    from slake.path.mesh_out import write_3mf, write_stl

    from .print_telling import write

    for file in out:
        ending = file.suffix.lower()
        write(file, gcode.encode() if ending == ".gcode" else (write_3mf if ending == ".3mf" else write_stl)(mesh))
    if not out:
        typer.echo("nothing was written: name files with --out")
