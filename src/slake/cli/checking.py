"""`slake check`: a toolpath or a mesh, looked at before the print. Nothing is recorded, no Django."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from .printing_options import (
    Barrel,
    Bead,
    BedSize,
    Cone,
    Counts,
    Density,
    Filling,
    Force,
    Layer,
    Lean,
    Nozzle,
    Shrinks,
    Speed,
    Yields,
)

File = Annotated[Path, typer.Argument(metavar="FILE", help="A toolpath (G-code), or a mesh: STL, 3MF, OBJ, PLY.")]
Unit = Annotated[str, typer.Option("--unit", help="Unit of a mesh that says none: mm, cm, in or m.")]
Across = Annotated[int, typer.Option("--beads-across", min=1, max=50, help="Beads side by side in a wall.")]
Out = Annotated[
    Path | None, typer.Option("--out", help="Write the mesh at the size to print: a new .3mf (with unit) or .stl.")
]


def check(
    file: File,
    nozzle_mm: Nozzle = "",
    barrel_mm: Barrel = "",
    force_n: Force = "",
    e_counts: Counts = "",
    cone_mm: Cone = "",
    yield_pa: Yields = "",
    density: Density = "",
    shrink: Shrinks = "",
    bed: BedSize = "",
    cartridge_ml: Filling = "",
    bead_mm: Bead = "",
    layer_mm: Layer = "",
    speed_mm_s: Speed = "",
    lean_deg: Lean = "",
    beads_across: Across = 1,
    unit: Unit = "",
    out: Out = None,
) -> None:
    """Say before the print whether an object extrudes, stands and comes out to size; what is left out is not known."""
    _look(file, locals())


def _look(file: Path, typed: dict[str, Any]) -> None:
    """typed: every option by its name."""
    from slake.path.checked_asked import is_toolpath

    from .print_machine import machine_of
    from .print_paste import paste_of

    on_path = is_toolpath(file.name)
    machine, paste = machine_of(typed), paste_of(typed["cone_mm"], typed["yield_pa"], typed["density"])
    if on_path:
        from .checking_path import PathAsked, show_path

        show_path(file, machine, paste, PathAsked(**{name: typed[name] for name in PathAsked.__annotations__}))
        return
    from .checking_mesh import MeshAsked, show_mesh

    show_mesh(file, machine, paste, MeshAsked(**{name: typed[name] for name in MeshAsked.__annotations__}))
