"""From a mesh: everything that is asked of it before the print, in one go, with what stands in the way in words."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum

from slake.ground.evidence import Range
from slake.ground.problems import Problem, require_positive
from slake.ground.units import from_si, to_si
from slake.paste.cartridges import Cartridge

from .mesh import Mesh, on_the_bed
from .mesh_checks import MOST_BODIES, Soundness, check_closed
from .scaling import ROUND_AND_ROUND, Scaled, scale_to_dry
from .sections import Cut, cuts_at, joined_m3, level_heights_m, solid_of
from .shrinking import Bars, Direction, Today
from .sizes import Bed, Fit, MeshPaste, UnitAsked, fits_the_bed, paste_of_volume, units_asked
from .slopes import USUAL_LEAN, Slopes, slopes_beyond
from .spans import USUAL_SPAN_M, Spans, spans_beyond
from .thin_walls import ThinWalls, walls_thinner

MOST_CUTS = 120
MOST_JOINED = 50
FLATTEST_M = to_si(1, "um")


class Weight(Enum):
    """How much a finding weighs: it stops, it asks the person, it warns."""

    STOPS = "stops"
    ASKS = "asks"
    WARNS = "warns"


@dataclass(frozen=True, kw_only=True)
class Finding:
    weight: Weight
    sentence: str


@dataclass(frozen=True, kw_only=True)
class MeshPrint:
    """How it would be printed; None where it is not known, and what needs it is left out. runs: of x, y and z."""

    bead_m: float
    layer_height_m: float
    bed: Bed | None = None
    density_kg_m3: Range | None = None
    cartridge: Cartridge | None = None
    lean_deg: Range = USUAL_LEAN
    span_m: Range = USUAL_SPAN_M
    runs: tuple[Direction, ...] = ROUND_AND_ROUND

    def __post_init__(self) -> None:
        require_positive(bead_m=self.bead_m, layer_height_m=self.layer_height_m)


@dataclass(frozen=True, kw_only=True)
class MeshChecked:
    """What is known of a mesh. None: it needs a closed body, or something of the print that is not known.

    as_drawn: paste of the full body. one_wall: paste of a single bead run round its outline, with no floor.
    """

    soundness: Soundness
    unit: UnitAsked | None
    scaled: Scaled
    fit: Fit | None
    slopes: Slopes
    spans: Spans | None
    thin: ThinWalls | None
    as_drawn: MeshPaste | None
    one_wall: MeshPaste | None
    findings: tuple[Finding, ...] = field(default=())


def check_mesh(mesh: Mesh, bars: Bars | None, today: Today, printing: MeshPrint) -> MeshChecked:
    """The mesh, put on the bed and scaled so that it dries to size, checked as it would be printed."""
    _require_height(mesh)
    sound = check_closed(mesh)
    scaled = scale_to_dry(on_the_bed(sound.mesh), bars, today, printing.runs)
    cuts, step_m = _cuts(scaled.mesh, sound, printing)
    whole = None if sound.volume_m3 is None else _joined_m3(sound) * scaled.volume_factor
    found = MeshChecked(
        soundness=sound,
        unit=units_asked(mesh),
        scaled=scaled,
        fit=None if printing.bed is None else fits_the_bed(scaled.mesh, printing.bed),
        slopes=slopes_beyond(scaled.mesh, printing.lean_deg),
        spans=spans_beyond(cuts, step_m, printing.lean_deg.mid, printing.span_m) if cuts else None,
        thin=walls_thinner(cuts, printing.bead_m) if cuts else None,
        as_drawn=_paste(whole, printing),
        one_wall=_paste(one_wall_m3(cuts, step_m, printing.bead_m), printing) if cuts else None,
    )
    return MeshChecked(**{**found.__dict__, "findings": tuple(_findings(found))})


def _require_height(mesh: Mesh) -> None:
    """Raise Problem for a mesh that is flat: it has no layer to be printed."""
    flat = [axis for axis, size in zip("xyz", mesh.size_m.tolist(), strict=True) if size < FLATTEST_M]
    if flat:
        raise Problem(f"“{mesh.name}” is flat along {' and '.join(flat)}: draw it as a body with a thickness")


def _joined_m3(sound: Soundness) -> float:
    """Volume with what bodies have in common counted once, where they are few and without hollows."""
    if sound.bodies == 1 or sound.bodies > MOST_JOINED or sound.hollows:
        return sound.volume_m3 or 0.0
    try:
        return joined_m3(sound.mesh)
    except Problem:
        return sound.volume_m3 or 0.0


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


def _findings(found: MeshChecked) -> list[Finding]:
    return [
        *(Finding(weight=Weight.ASKS, sentence=unit.question) for unit in (found.unit,) if unit is not None),
        *_of_the_body(found),
        *_of_the_bed(found),
        *_of_the_shape(found),
        *(Finding(weight=Weight.WARNS, sentence=warning) for warning in found.scaled.warnings),
    ]


def _of_the_body(found: MeshChecked) -> list[Finding]:
    sound = found.soundness
    stops, warns = [], []
    if sound.openings_count:
        places = "place" if sound.openings_count == 1 else "places"
        shown = "; ".join(opening.in_words for opening in sound.openings[:3])
        stops.append(f"the surface is open in {sound.openings_count} {places} ({shown}): close it where it was drawn")
    if sound.shared:
        stops.append(
            f"at {sound.shared} edges more than two triangles meet: join the bodies into one where it was drawn"
        )
    if sound.one_sided:
        stops.append("the surface has one side only, and so no inside: draw it as a body with a wall")
    if sound.bodies > MOST_BODIES:
        stops.append(f"it holds {sound.bodies} bodies, and at most {MOST_BODIES} are judged: bring one object")
    elif sound.bodies > 1:
        warns.append(f"it holds {sound.bodies} separate bodies: they are printed as one set")
    if sound.closed and sound.bodies <= MOST_BODIES and found.spans is None:
        warns.append("it could not be cut into layers, so spans and thin walls are not known: join its bodies first")
    if sound.flipped or sound.inside_out:
        what = f"{sound.flipped} flipped triangles" if sound.flipped else f"{sound.inside_out} bodies inside out"
        warns.append(f"{what} were turned; the file itself is unchanged")
    return [Finding(weight=Weight.STOPS, sentence=sentence) for sentence in stops] + [
        Finding(weight=Weight.WARNS, sentence=sentence) for sentence in warns
    ]


def _of_the_bed(found: MeshChecked) -> list[Finding]:
    if found.fit is None:
        return []
    if found.fit.fits and found.fit.turn_deg:
        return [Finding(weight=Weight.WARNS, sentence=f"it fits the bed turned by {found.fit.turn_deg:.0f} degrees")]
    over = [
        f"{from_si(by, 'mm'):.3g} mm too {how}"
        for by, how in ((found.fit.over_across_m, "wide"), (found.fit.over_height_m, "high"))
        if by > 0
    ]
    sentence = f"at the size it must be printed it is {' and '.join(over)} for the bed: draw it smaller or as two"
    return [Finding(weight=Weight.STOPS, sentence=sentence)] if over else []


def _of_the_shape(found: MeshChecked) -> list[Finding]:
    warns = []
    if found.slopes.beyond:
        patch = found.slopes.beyond[0]
        warns.append(f"{patch.in_words}; this paste bears about {found.slopes.limit_deg.mid:.0f} degrees")
    if found.spans is not None and found.spans.beyond:
        warns.append(f"{found.spans.beyond[0].in_words}: draw something under it, or an arch")
    if found.thin is not None and found.thin.found:
        bead = from_si(found.thin.bead_m, "mm")
        warns.append(f"a wall is thinner than the bead of {bead:.2g} mm: {found.thin.found[0].in_words}")
    return [Finding(weight=Weight.WARNS, sentence=sentence) for sentence in warns]
