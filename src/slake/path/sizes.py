"""Size of an object: whether its unit is believed, whether it fits the bed, and what paste it takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import LineString, linestrings, minimum_bounding_radius, minimum_rotated_rectangle

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import from_si, to_si
from slake.paste.cartridges import Cartridge, PasteNeed, paste_for_parts

from .mesh import Mesh
from .mesh_in import LENGTHS_M

SMALLEST_PRINT_M = to_si(15, "mm")
LARGEST_PRINT_M = to_si(1500, "mm")
"""Between these the largest side of a paste print on a table lies. Practice, no source."""
ASKED = ("mm", "cm", "in", "m")


@dataclass(frozen=True, kw_only=True)
class UnitAsked:
    """A size that is hardly meant: in which unit are the file's numbers? `would_be_m`: largest side by unit, likely
    ones only; the one it was read in is not among them.
    """

    read_in: str
    largest_m: float
    would_be_m: dict[str, float]

    @property
    def question(self) -> str:
        sizes = ", ".join(f"in {unit}: {from_si(size, 'mm'):.4g} mm" for unit, size in self.would_be_m.items())
        return (
            f"the largest side is {from_si(self.largest_m, 'mm'):.3g} mm when its numbers are taken as {self.read_in}: "
            f"which unit is it in ({sizes})?"
        )


def units_asked(mesh: Mesh) -> UnitAsked | None:
    """A question where the largest side is smaller or larger than paste is printed; None where the size is likely.

    An object drawn in inches and read as millimetres comes out 25.4 times too small; one of 15 inches and more still
    looks likely then, so pages show the size beside the object in any case.
    """
    largest = float(mesh.size_m.max())
    if SMALLEST_PRINT_M <= largest <= LARGEST_PRINT_M:
        return None
    raw = largest / LENGTHS_M[mesh.unit]
    likely = {
        unit: raw * LENGTHS_M[unit]
        for unit in ASKED
        if unit != mesh.unit and SMALLEST_PRINT_M <= raw * LENGTHS_M[unit] <= LARGEST_PRINT_M
    }
    return UnitAsked(read_in=mesh.unit, largest_m=largest, would_be_m=likely)


@dataclass(frozen=True, kw_only=True)
class Bed:
    """Where a print fits: a box, or a cylinder as wide as `x_m` where `round` is set."""

    x_m: float
    y_m: float
    z_m: float
    round: bool = False

    def __post_init__(self) -> None:
        require_positive(bed_x_m=self.x_m, bed_y_m=self.y_m, bed_z_m=self.z_m)


@dataclass(frozen=True, kw_only=True)
class Fit:
    """turn_deg: how far to turn it about the upright, 0 as drawn, None where no turn helps. Over: by how much it is
    too wide (as it fits best) and too high, 0 where it is not.
    """

    fits: bool
    turn_deg: float | None
    over_across_m: float
    over_height_m: float


def fits_the_bed(mesh: Mesh, bed: Bed) -> Fit:
    """As drawn, else turned about the upright by its tightest rectangle; beads' own width is not added."""
    size = mesh.size_m
    over_height = max(float(size[2]) - bed.z_m, 0.0)
    turn, over = _round(mesh, bed) if bed.round else _box(mesh, bed)
    fits = over <= 0 and over_height <= 0
    return Fit(fits=fits, turn_deg=turn, over_across_m=max(over, 0.0), over_height_m=over_height)


def _footprint(mesh: Mesh) -> LineString:
    """A line through all corners seen from above: the same hull as theirs, and made at one stroke."""
    return linestrings(mesh.corners_m[mesh.used][:, :2])


def _round(mesh: Mesh, bed: Bed) -> tuple[float | None, float]:
    over = 2 * float(minimum_bounding_radius(_footprint(mesh))) - bed.x_m
    return (0.0 if over <= 0 else None), over


def _box(mesh: Mesh, bed: Bed) -> tuple[float | None, float]:
    """(turn, over) of the first that fits, else of the one that is least over."""
    width, depth = float(mesh.size_m[0]), float(mesh.size_m[1])
    tries = [(0.0, width, depth), (90.0, depth, width)]
    tight = minimum_rotated_rectangle(_footprint(mesh))
    if tight.geom_type == "Polygon":
        corners = np.asarray(tight.exterior.coords)
        (along, across) = corners[1] - corners[0], corners[2] - corners[1]
        angle = math.degrees(math.atan2(along[1], along[0]))
        sides = float(np.hypot(*along)), float(np.hypot(*across))
        tries += [(-angle % 180, *sides), ((90 - angle) % 180, sides[1], sides[0])]
    over, turn = min((max(w - bed.x_m, d - bed.y_m, 0.0), turn) for turn, w, d in tries)
    return (turn if over <= 0 else None), over


@dataclass(frozen=True, kw_only=True)
class MeshPaste:
    """Paste in the object itself, and with purge, residue and bowl loss in `need`. Grams as a range by the density."""

    volume_m3: float
    paste_kg: Range
    need: PasteNeed
    mix_kg: Range


def paste_of_volume(volume_m3: float, density_kg_m3: Range, cartridge: Cartridge) -> MeshPaste:
    """Volume of the wet print -> paste, grams and cartridges. Raises OutsideRange."""
    require_positive(volume_m3=volume_m3, density_kg_m3=density_kg_m3.low)
    need = paste_for_parts(volume_m3, cartridge)
    if not math.isfinite(density_kg_m3.high):
        raise OutsideRange("density (kg/m3)", got=density_kg_m3.high, low=500, high=4000, do="weigh a syringe of paste")
    return MeshPaste(
        volume_m3=volume_m3,
        paste_kg=density_kg_m3.scaled(volume_m3),
        need=need,
        mix_kg=density_kg_m3.scaled(need.paste_m3),
    )
