"""From a mesh: everything that is asked of it before the print, in one go, with what stands in the way in words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from slake.ground.problems import Problem, require_positive
from slake.ground.units import to_si

from .mesh import Mesh, on_the_bed
from .mesh_checked import MeshChecked, MeshPrint
from .mesh_checks import MOST_BODIES, Soundness, check_closed
from .mesh_findings import findings_of
from .other_sides import better_side
from .scaling import scale_to_dry
from .sections import Cut, cuts_at, joined_m3, level_heights_m, solid_of
from .shrinking import Bars, Today
from .sizes import MeshPaste, fits_the_bed, paste_of_volume, units_asked
from .slopes import slopes_beyond
from .spans import spans_beyond
from .thin_walls import walls_thinner

MOST_CUTS = 120
MOST_JOINED = 50
FLATTEST_M = to_si(1, "um")
SAME_SHARE = 1e-6
Tell = Callable[[float], None]


def _nobody_asks(share: float) -> None:
    """Progress that nobody follows."""


def check_mesh(
    mesh: Mesh, bars: Bars | None, today: Today, printing: MeshPrint, tell: Tell = _nobody_asks
) -> MeshChecked:
    """The mesh, put on the bed and scaled so that it dries to size, checked as it would be printed.

    tell: called with the share that is done, and may raise to stop. Raises Problem for a flat mesh.
    """
    _require_height(mesh)
    sound = check_closed(mesh)
    scaled = scale_to_dry(on_the_bed(sound.mesh), bars, today, printing.runs)
    tell(0.2)
    cuts, step_m = _cuts(scaled.mesh, sound, printing)
    tell(0.5)
    joined_m3 = _joined_m3(sound)
    found = MeshChecked(
        soundness=sound,
        unit=units_asked(mesh),
        scaled=scaled,
        fit=None if printing.bed is None else fits_the_bed(scaled.mesh, printing.bed),
        slopes=slopes_beyond(scaled.mesh, printing.lean_deg),
        better_side=better_side(scaled.mesh, printing.lean_deg.mid),
        spans=spans_beyond(cuts, step_m, printing.lean_deg.mid, printing.span_m) if cuts else None,
        thin=walls_thinner(cuts, printing.bead_m) if cuts else None,
        overlap_m3=(sound.volume_m3 or 0.0) - (joined_m3 or 0.0),
        as_drawn=_paste(None if joined_m3 is None else joined_m3 * scaled.volume_factor, printing),
        one_wall=_paste(one_wall_m3(cuts, step_m, printing.bead_m), printing) if cuts else None,
    )
    tell(1.0)
    return replace(found, findings=tuple(findings_of(found)))


def _require_height(mesh: Mesh) -> None:
    """Raise Problem for a mesh that is flat: it has no layer to be printed."""
    flat = [axis for axis, size in zip("xyz", mesh.size_m.tolist(), strict=True) if size < FLATTEST_M]
    if flat:
        raise Problem(f"“{mesh.name}” is flat along {' and '.join(flat)}: draw it as a body with a thickness")


def _joined_m3(sound: Soundness) -> float | None:
    """Volume with what bodies have in common counted once, where they are few and without hollows; None if open."""
    if sound.volume_m3 is None or sound.bodies == 1 or sound.bodies > MOST_JOINED or sound.hollows:
        return sound.volume_m3
    try:
        found = joined_m3(sound.mesh)
    except Problem:
        return sound.volume_m3
    return found if 0 < found < sound.volume_m3 * (1 - SAME_SHARE) else sound.volume_m3


def _cuts(mesh: Mesh, sound: Soundness, printing: MeshPrint) -> tuple[list[Cut], float]:
    """Level cuts a layer apart, fewer for a tall object; none of a mesh that is open, of very many bodies, or that
    the library finds to be no solid.
    """
    if not sound.closed or sound.bodies > MOST_BODIES:
        return [], 1.0
    heights, step = level_heights_m(float(mesh.size_m[2]), printing.layer_height_m, MOST_CUTS)
    try:
        return cuts_at(solid_of(mesh), heights), step
    except Problem:
        return [], 1.0


def one_wall_m3(cuts: list[Cut], step_m: float, bead_m: float) -> float:
    """Paste of one bead laid round the outer outline of every layer, its outside on the outline. Source: geometry.

    Holds for outlines that bend less sharply than the bead is wide; holes and floors are not counted.
    """
    require_positive(step_m=step_m, bead_m=bead_m)
    rounds = (to_si(float(shape.exterior.length), "mm") - math.pi * bead_m for cut in cuts for shape in cut.shape.geoms)
    return sum(max(length, 0.0) for length in rounds) * bead_m * step_m


def _paste(volume_m3: float | None, printing: MeshPrint) -> MeshPaste | None:
    if volume_m3 is None or volume_m3 <= 0 or printing.density_kg_m3 is None or printing.cartridge is None:
        return None
    return paste_of_volume(volume_m3, printing.density_kg_m3, printing.cartridge)
