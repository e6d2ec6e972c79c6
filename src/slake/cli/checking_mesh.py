"""A mesh in plain words: body, bed, size to print, paste, slopes, spans, thin walls; and the scaled mesh written."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import typer

from slake.bench.shrinkage_bar import TYPICAL_SD
from slake.campaign.verdict import Paste
from slake.campaign.verdict.law import Law
from slake.ground.evidence import Z80, Range
from slake.ground.numbers import is_open
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.path.checked_mesh_words import told_of_drawing
from slake.path.checked_words import Line, Part, Told
from slake.path.from_mesh import check_mesh
from slake.path.mesh_checked import MeshChecked, MeshPrint
from slake.path.mesh_in import in_unit, read_mesh_file
from slake.path.mesh_out import write_3mf, write_stl
from slake.path.scaling import TO_AND_FRO
from slake.path.shrinking import Bars, Today
from slake.path.slopes import USUAL_LEAN

from .print_machine import SAID, PrintMachine
from .print_telling import Progress, require_free, show, write
from .printing_options import LEANS, shrinkages_of, span

WRITTEN = {".3mf": write_3mf, ".stl": write_stl}


@dataclass(frozen=True, kw_only=True)
class MeshAsked:
    """What was typed that only a mesh needs."""

    unit: str
    shrink: str
    lean_deg: str
    out: Path | None


def show_mesh(file: Path, machine: PrintMachine, paste: tuple[Paste, Law], typed: MeshAsked) -> None:
    """Check the mesh at the size it must be printed, and write it where asked. Raises Problem in one sentence."""
    require_free([typed.out] if typed.out else [], tuple(WRITTEN))
    progress, loaded = Progress(), machine.loaded(paste, bars_of_said(typed.shrink))
    printing = MeshPrint(
        bead_m=loaded.bead_m,
        layer_height_m=loaded.layer_height_m,
        bed=machine.bed,
        density_kg_m3=loaded.density_kg_m3,
        cartridge=loaded.cartridge,
        lean_deg=span(typed.lean_deg, "the lean the paste bears", LEANS) or USUAL_LEAN,
        runs=TO_AND_FRO,
    )
    mesh = read_mesh_file(file)
    mesh = mesh if is_open(typed.unit) else in_unit(mesh, typed.unit)
    found = check_mesh(
        mesh, loaded.bars, Today(batch=SAID), printing, lambda share: progress(f"looking at it, {100 * share:.0f} %")
    )
    told = told_of_drawing(found, loaded)
    basis = {name: words for name, words in told.basis.items() if name == "density"}
    nozzle = {} if machine.nozzle_said else {"nozzle": "taken as 2 mm, as nobody said: common practice, no source"}
    told = replace(told, basis=basis | nozzle)
    show(told if machine.cartridge_m3 or machine.barrel_m else _without_cartridges(told), file)
    _write(found, typed)


def bars_of_said(typed: str) -> Bars | None:
    """Shrinkages that were said stand for bars of this batch: of a range the range, of one number the usual scatter."""
    said = zip(TO_AND_FRO, shrinkages_of(typed), strict=True)
    known = {direction: found for direction, found in said if found is not None}
    if not known:
        return None
    return Bars(
        batch=SAID,
        mean={direction: (found.low + found.high) / 2 for direction, found in known.items()},
        sd={direction: _sd(found) for direction, found in known.items()},
        count=dict.fromkeys(known, 1),
    )


def _sd(found: Range) -> float:
    """Of one bar, such that the range foreseen is the one that was said."""
    return (found.high - found.low) / 2 / Z80 / math.sqrt(2) if found.high > found.low else TYPICAL_SD


def _without_cartridges(told: Told) -> Told:
    """The same without a count of cartridges nobody said the size of."""
    return replace(told, parts=tuple(_part(part) for part in told.parts))


def _part(part: Part) -> Part:
    if "cartridge" not in part.heading.lower() or not part.lines:
        return part
    needs = Line(words="cartridges and what to mix", value="not told: give --cartridge-ml or --barrel-mm")
    return Part(heading=part.heading, sentences=part.sentences, lines=(*map(_volume_only, part.lines), needs))


def _volume_only(line: Line) -> Line:
    return replace(line, more=line.more.partition(";")[0] + ".")


def _write(found: MeshChecked, typed: MeshAsked) -> None:
    if typed.out is None:
        return
    if not found.soundness.closed:
        raise Problem("nothing was written, as the mesh is not closed: close it where it was drawn")
    if found.unit is not None and is_open(typed.unit):
        raise Problem("nothing was written, as its unit is doubted: say it with --unit, such as --unit in")
    write(typed.out, WRITTEN[typed.out.suffix.lower()](found.scaled.mesh))
    typer.echo(f"  {_times([axis.times.mid for axis in found.scaled.axes])} of the drawing, in mm")


def _times(factors: Sequence[float]) -> str:
    return ", ".join(f"{axis} {from_si(times, '%'):.1f} %" for axis, times in zip("xyz", factors, strict=True))
