"""Test pieces that are bars: purge line, shrinkage bar, six bend bars, crack ring."""

from __future__ import annotations

import math

import numpy as np

from slake.bench.own import OwnReading
from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, require_positive
from slake.ground.units import from_si, to_si

from .beads import Printer, Run, bead, circle, filled, moved, to_and_fro
from .mesh import FloatArray
from .pieces import Piece, block, mesh_of, rectangle, strip

PURGE_M = to_si(300, "mm")
PURGE_APART_BEADS = 4.0
BAR_M = (to_si(120, "mm"), to_si(15, "mm"), to_si(6, "mm"))
BEND_M = (to_si(80, "mm"), to_si(10, "mm"), to_si(6, "mm"))
"""Sizes the bench tests ask for; width and height become whole beads and layers."""
BEND_BARS, BEND_APART_M = 6, to_si(8, "mm")
EDGE_M = to_si(10, "mm")
CORE_M, RING_HIGH_M, RING_BEADS = to_si(50, "mm"), to_si(20, "mm"), 2
GAP_M = to_si(0.5, "mm")
"""Free of the core all round, so that the wet ring slips on. Practice."""
LINE = OwnReading(
    key="purge_line_g", title="Purge line of 300 mm", unit="g", floor=0.0, informs="mass_kg",
    note="Weigh the line wet, at once. Told are the mL on its label, times the density of the paste.",
)  # fmt: skip


def purge_line(printer: Printer) -> Piece:
    """300 mm of one bead, folded where the bed is short: weighed, it says how much the machine really pushes."""
    passes, points = _folded(printer)
    run = bead(points, printer.bead_m, printer.layer_height_m)
    return Piece(
        key="purge_line",
        title="Purge line",
        reading="",
        own=LINE,
        runs=(run,),
        mesh=mesh_of([block(strip(points, printer.bead_m), 0.0, printer.layer_height_m)], "purge line"),
        printer=printer,
        how=("Push until the bead is even, then print this on a weighed foil.", "Weigh it wet, at once."),
        marks=(f"300 mm in {passes} passes, {from_si(float(run.volume_m3.sum()), 'mL'):.3g} mL as told",),
    )


def _folded(printer: Printer) -> tuple[int, FloatArray]:
    """300 mm to and fro within the bed: (passes, points)."""
    bed, apart = printer.bed, PURGE_APART_BEADS * printer.bead_m
    room = (bed.x_m * 0.7 if bed.round else bed.x_m) - 2 * EDGE_M
    passes = next((n for n in range(1, 40) if (PURGE_M - (n - 1) * apart) / n <= room), 0)
    long = (PURGE_M - (passes - 1) * apart) / max(passes, 1)
    if not passes or long < 4 * apart:
        raise OutsideRange("bed (mm)", got=from_si(bed.x_m, "mm"), low=80, high=2000, do="the bed is too small for it")
    y = (np.arange(passes) - (passes - 1) / 2) * apart
    ways = [(side * long / 2, at) for n, at in enumerate(y) for side in ((-1, 1) if n % 2 == 0 else (1, -1))]
    return passes, np.array([[x, at, printer.layer_height_m] for x, at in ways])


def flow_factor(weighed_kg: float, piece: Piece, density_kg_m3: Range) -> Range:
    """What to multiply what is pushed by, from a weighed purge line: told over weighed. Own bookkeeping.

    Holds while the ram runs evenly: a line begun on an unfilled nozzle weighs too little.
    """
    require_positive(mass_kg=weighed_kg, density_kg_m3=density_kg_m3.low)
    return density_kg_m3.scaled(piece.paste_m3 / weighed_kg)


def _bar(size_m: tuple[float, float, float], printer: Printer) -> tuple[tuple[Run, ...], tuple[float, float, float]]:
    """A full bar of passes along x about the middle, and the size it comes to in whole beads and layers."""
    passes = max(round(size_m[1] / printer.bead_m), 1)
    layers = max(round(size_m[2] / printer.layer_height_m), 1)
    real = (size_m[0], passes * printer.bead_m, layers * printer.layer_height_m)
    ways = [to_and_fro(real[:2], passes, (n + 1) * printer.layer_height_m, back=n % 2 == 1) for n in range(layers)]
    runs = [bead(way, printer.bead_m, printer.layer_height_m) for way in ways]
    return filled(runs, math.prod(real)), real


def shrinkage_bar(printer: Printer) -> Piece:
    """A bar of about 120 x 15 x 6 mm, beads along it."""
    runs, real = _bar(BAR_M, printer)
    return Piece(
        key="shrinkage_bar",
        title="Shrinkage bar",
        reading="shrinkage_bar",
        runs=runs,
        mesh=mesh_of([block(rectangle(real[:2]), 0.0, real[2])], "shrinkage bar"),
        printer=printer,
        how=(
            "Print it on film. Prick two marks along it, 100 mm apart, and measure.",
            "Measure width and height too. Dry it free, turn it once, measure the same again.",
        ),
        already={"wet_across_mm": from_si(real[1], "mm"), "wet_height_mm": from_si(real[2], "mm")},
        marks=(_size(real), "beads run along it"),
    )


def bend_bars(printer: Printer) -> Piece:
    """Six bars of about 80 x 10 x 6 mm side by side, beads along them."""
    runs, real = _bar(BEND_M, printer)
    step = real[1] + BEND_APART_M
    places = [(0.0, (n - (BEND_BARS - 1) / 2) * step) for n in range(BEND_BARS)]
    return Piece(
        key="bend_bars",
        title="Six bend bars",
        reading="three_point_bend",
        runs=tuple(moved(run, place) for place in places for run in runs),
        mesh=mesh_of([block(rectangle(real[:2], place), 0.0, real[2]) for place in places], "six bend bars"),
        printer=printer,
        how=(
            "Dry them free. Number them on the end.",
            "Keep them two days at one humidity, then break them over a span of 60 mm.",
        ),
        already={"span_mm": 60.0},
        marks=(_size(real), "beads run along them"),
    )


def crack_ring(printer: Printer, core_m: float = CORE_M) -> Piece:
    """A ring of two beads to be slipped wet over a stiff core, which keeps it from shrinking."""
    _require_core(core_m, printer)
    layers = max(round(RING_HIGH_M / printer.layer_height_m), 2)
    radii = [core_m / 2 + GAP_M + (n + 0.5) * printer.bead_m for n in range(RING_BEADS)]
    ring = strip(circle((radii[0] + radii[-1]) / 2, 0.0), RING_BEADS * printer.bead_m)
    core = f"{from_si(core_m, 'mm'):.3g} mm"
    return Piece(
        key="crack_ring",
        title="Crack ring",
        reading="crack_grade",
        runs=_ring(radii, layers, printer),
        mesh=mesh_of([block(ring, 0.0, layers * printer.layer_height_m)], "crack ring"),
        printer=printer,
        how=(
            f"Slip it wet over a stiff, waxed core of {core}: lift it with both hands on a sheet, wet rings tear.",
            "Note when the first crack shows.",
            "Grade the worst crack when it is dry.",
        ),
        marks=(f"core {core}, restrained",),
    )


def _require_core(core_m: float, printer: Printer) -> None:
    least, most = 10 * printer.bead_m, min(printer.bed.x_m, printer.bed.y_m) - 6 * printer.bead_m
    if not least <= core_m < most:
        low, got, high = (from_si(size, "mm") for size in (least, core_m, most))
        raise OutsideRange("core (mm)", got=got, low=low, high=high, do="take a core of ten beads that fits the bed")


def _ring(radii: list[float], layers: int, printer: Printer) -> tuple[Run, ...]:
    """Rings side by side, layer after layer, in turn from within and from without."""
    ways = [
        circle(radius, (layer + 1) * printer.layer_height_m)
        for layer in range(layers)
        for radius in (radii if layer % 2 == 0 else radii[::-1])
    ]
    return tuple(bead(way, printer.bead_m, printer.layer_height_m) for way in ways)


def _size(real_m: tuple[float, float, float]) -> str:
    return " x ".join(f"{from_si(side, 'mm'):.3g}" for side in real_m) + " mm wet"
