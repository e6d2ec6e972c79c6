"""Test pieces built until they fail: a free wall and a tube."""

from __future__ import annotations

import math

import numpy as np

from slake.ground.problems import OutsideRange
from slake.ground.units import from_si, to_si

from .beads import Printer, bead
from .mesh import FloatArray
from .pieces import Piece, block, mesh_of, rectangle
from .spiral import Laying, spiral_wall, turns_of_wall
from .vessel_mesh import vessel_mesh

WALL_M, TUBE_RADIUS_M = to_si(150, "mm"), to_si(30, "mm")
HIGH_M = to_si(150, "mm")
"""Higher than pastes of the bench stand in one bead: it fails, or the test says “at least”. Practice."""
MESH_STEP_M = to_si(2, "mm")
STOP = "Stop when it moves. Count the layers that stood before, and say how it went."


def _height(printer: Printer, high_m: float) -> float:
    """As high as asked, or as the bed lets it."""
    height = min(high_m, printer.bed.z_m - 6 * printer.layer_height_m)
    if height < 5 * printer.layer_height_m:
        raise OutsideRange(
            "height of the bed (mm)", got=from_si(printer.bed.z_m, "mm"), low=20, high=2000, do="measure it"
        )
    return height


def _already(printer: Printer) -> dict[str, float]:
    return {"layer_height_mm": from_si(printer.layer_height_m, "mm")}


def failing_wall(printer: Printer, high_m: float = HIGH_M) -> Piece:
    """A straight wall of one bead, to and fro without a stop, until it falls."""
    long = min(WALL_M, (printer.bed.x_m * 0.7 if printer.bed.round else printer.bed.x_m) - 4 * printer.bead_m)
    layers = max(round(_height(printer, high_m) / printer.layer_height_m), 1)
    h, x = printer.layer_height_m, long / 2
    ways = [np.array([[-x, 0, (n + 1) * h], [x, 0, (n + 1) * h]]) for n in range(layers)]
    runs = tuple(bead(way if n % 2 == 0 else way[::-1].copy(), printer.bead_m, h) for n, way in enumerate(ways))
    return Piece(
        key="failing_wall",
        title="Wall until it falls",
        reading="layers_stood",
        runs=runs,
        mesh=mesh_of([block(rectangle((long, printer.bead_m)), 0.0, layers * h)], "wall"),
        printer=printer,
        how=("A straight wall, one bead wide.", STOP),
        already=_already(printer),
        marks=(f"straight, {from_si(long, 'mm'):.3g} mm long, {_seconds(long, printer)} a layer",),
    )


def failing_tube(printer: Printer, high_m: float = HIGH_M, radius_m: float = TUBE_RADIUS_M) -> Piece:
    """A round tube of one bead as one spiral without a travel, until it falls."""
    if not 5 * printer.bead_m <= radius_m < min(printer.bed.x_m, printer.bed.y_m) / 2 - printer.bead_m:
        raise OutsideRange(
            "radius of the tube (mm)", got=from_si(radius_m, "mm"), low=from_si(5 * printer.bead_m, "mm"),
            high=from_si(printer.bed.x_m / 2, "mm"), do="five beads or more, and within the bed",
        )  # fmt: skip
    laying = Laying(bead_m=printer.bead_m, layer_height_m=printer.layer_height_m)
    height = turns_of_wall(_height(printer, high_m), laying) * printer.layer_height_m

    def radius(turn: FloatArray, _: FloatArray) -> FloatArray:
        return np.full(turn.shape, radius_m)

    around = 2 * math.pi * radius_m
    return Piece(
        key="failing_tube",
        title="Tube until it falls",
        reading="layers_stood",
        runs=(spiral_wall(radius, height, laying),),
        mesh=vessel_mesh(radius, height, printer.bead_m, 0.0, MESH_STEP_M),
        printer=printer,
        how=("A round tube, one bead wide, one spiral.", STOP),
        already=_already(printer),
        marks=(f"round, radius {from_si(radius_m, 'mm'):.3g} mm, {_seconds(around, printer)} a turn",),
    )


def _seconds(way_m: float, printer: Printer) -> str:
    return f"{way_m / printer.speed_m_s:.0f} s"
