"""Test pieces that reach out: an overhang fan and a ladder of free spans."""

from __future__ import annotations

import math

import numpy as np

from slake.bench.own import OwnReading
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.ground.units import from_si, to_si

from .beads import Printer, Run, bead, moved
from .mesh import FloatArray
from .pieces import Piece, block, mesh_of, strip
from .spiral import Laying, Radius, spiral_wall, turns_of_wall
from .vessel_mesh import vessel_mesh

LEAST_DEG, MOST_DEG = 10.0, 60.0
FAN_FOOT_M, FAN_HIGH_M = to_si(25, "mm"), to_si(15, "mm")
RISING = 5 / 6
"""The lean grows over five sixths of the round and falls back over the last. Practice."""
MESH_STEP_M = to_si(1.5, "mm")
SPANS_M = tuple(to_si(span, "mm") for span in (4, 6, 8, 10, 12, 15, 18, 22, 26, 30))
RUNG_APART_BEADS = 3.0
RAIL_LAYERS = 5
FAN = OwnReading(
    key="overhang_deg", title="Lean borne, overhang fan", unit="deg", floor=0.0, ceiling=MOST_DEG, informs="lean_deg",
    scatter=5.0, note="The largest lean whose beads still lie on one another.",
)  # fmt: skip
LADDER = OwnReading(
    key="free_span_mm", title="Free span borne, ladder", unit="mm", floor=0.0, ceiling=30.0, informs="span_m",
    scatter=2.0, note="The longest rung that sags by less than its own height.",
)  # fmt: skip


def lean_at(turn: FloatArray) -> FloatArray:
    """Lean (degrees) of the fan at each angle round (rad): from 10 to 60 and back."""
    share = (turn / (2 * math.pi)) % 1.0
    grown = np.where(share < RISING, share / RISING, (1 - share) / (1 - RISING))
    return np.asarray(LEAST_DEG + (MOST_DEG - LEAST_DEG) * grown)


def _fan_radius(turn: FloatArray, height: FloatArray) -> FloatArray:
    return np.asarray(FAN_FOOT_M + height * np.tan(np.radians(lean_at(turn))))


def overhang_fan(printer: Printer) -> Piece:
    """A flaring collar whose lean grows from 10 to 60 degrees round its circle, as one spiral without a travel.

    A closed curve bears more than a free edge: what it bears is for vessels. Beads beyond sag on purpose.
    """
    laying = Laying(bead_m=printer.bead_m, layer_height_m=printer.layer_height_m)
    height = turns_of_wall(FAN_HIGH_M, laying) * printer.layer_height_m
    radius: Radius = _fan_radius
    steps = [f"{deg:.0f} at {_round(deg):.0f}" for deg in (20, 30, 40, 50)]
    return Piece(
        key="overhang_fan",
        title="Overhang fan",
        reading="",
        own=FAN,
        runs=(spiral_wall(radius, height, laying),),
        mesh=vessel_mesh(radius, height, printer.bead_m, 0.0, MESH_STEP_M),
        printer=printer,
        how=(
            "The lean grows from 10 to 60 degrees, from where it begins anticlockwise.",
            f"Degrees of lean at degrees round: {', '.join(steps)}.",
            "Read the largest lean whose beads still lie on one another.",
        ),
        marks=("10 to 60 degrees round",),
    )


def _round(lean_deg: float) -> float:
    """Degrees round the fan where it leans so much."""
    return 360 * RISING * (lean_deg - LEAST_DEG) / (MOST_DEG - LEAST_DEG)


def span_ladder(printer: Printer) -> Piece:
    """Two rails that part, and one bead to and fro over them: rungs of 4 to 30 mm with nothing below."""
    apart, h = RUNG_APART_BEADS * printer.bead_m, printer.layer_height_m
    _require_room(apart, printer)
    y: FloatArray = np.asarray((np.arange(len(SPANS_M)) - (len(SPANS_M) - 1) / 2) * apart, dtype=np.float64)
    rails = [_rail(side, y, printer) for side in (-1, 1)]
    low = [bead(_at(rail, (n + 1) * h, n % 2 == 1), printer.bead_m, h) for rail in rails for n in range(RAIL_LAYERS)]
    rungs = _rungs(y, (RAIL_LAYERS + 1) * h, printer)
    solids = [block(strip(_at(rail, 0.0, False), printer.bead_m), 0.0, RAIL_LAYERS * h) for rail in rails]
    solids.append(block(strip(rungs.points_m, printer.bead_m), RAIL_LAYERS * h, (RAIL_LAYERS + 1) * h))
    spans = ", ".join(f"{from_si(span, 'mm'):.0f}" for span in SPANS_M)
    return Piece(
        key="span_ladder",
        title="Free-span ladder",
        reading="",
        own=LADDER,
        runs=(*low, rungs),
        mesh=mesh_of(solids, "free-span ladder"),
        printer=printer,
        how=(f"Rungs from front to back: {spans} mm.", "Read the longest that sags by less than its own height."),
        marks=(f"rungs {spans} mm",),
    )


def _require_room(apart_m: float, printer: Printer) -> None:
    need = max(apart_m * len(SPANS_M) + 8 * printer.bead_m, SPANS_M[-1] + 10 * printer.bead_m)
    room = min(printer.bed.x_m, printer.bed.y_m)
    if need > room:
        got, low = from_si(room, "mm"), from_si(need, "mm")
        raise OutsideRange("bed (mm)", got=got, low=low, high=2000, do="take a narrower bead")


def _rail(side: int, y: FloatArray, printer: Printer) -> FloatArray:
    """A rail of two beads side by side, there and back, whose inner edges lie half a span from the middle, (2 k, 2)."""
    half = np.array(SPANS_M) / 2
    inner = np.stack([side * (half + printer.bead_m / 2), y], axis=1)
    outer = np.stack([side * (half + printer.bead_m * 3 / 2), y], axis=1)
    return np.concatenate([inner, outer[::-1]])


def _at(rail: FloatArray, height_m: float, back: bool) -> FloatArray:
    points = np.concatenate([rail, np.full((len(rail), 1), height_m)], axis=1)
    return points[::-1].copy() if back else points


def _rungs(y: FloatArray, height_m: float, printer: Printer) -> Run:
    """One bead over both rails and along them, rung after rung."""
    reach = np.array(SPANS_M) / 2 + printer.bead_m
    ways = [
        (side * over, at)
        for n, (over, at) in enumerate(zip(reach, y, strict=True))
        for side in ((-1, 1) if n % 2 == 0 else (1, -1))
    ]
    return bead(np.array([[x, at, height_m] for x, at in ways]), printer.bead_m, printer.layer_height_m)


def all_at(pieces: list[Piece], places_m: list[tuple[float, float]]) -> tuple[Run, ...]:
    """The beads of several pieces, each at its own place on the bed. Raises DoesNotFit where places are too few."""
    if len(pieces) != len(places_m):
        raise DoesNotFit(f"there are {len(pieces)} pieces and {len(places_m)} places: give one for each")
    return tuple(moved(run, place) for piece, place in zip(pieces, places_m, strict=True) for run in piece.runs)
