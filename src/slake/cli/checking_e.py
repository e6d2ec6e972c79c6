"""What E most likely counts, where nobody said: the one that makes likely beads of this nozzle."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from slake.ground.problems import DoesNotFit
from slake.ground.units import to_si
from slake.path.beads import USUAL_BEAD
from slake.path.checked_words import short
from slake.path.doubting import THINNEST, WIDEST
from slake.path.followed import USUAL_FILAMENTS_MM
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.pushing import Motion, Pushed, filament_mm, millilitres, ram_mm
from slake.path.replay import replay

from .print_machine import PrintMachine
from .print_telling import Progress


def pushed_by_beads(file: Path, machine: PrintMachine, motion: Motion, progress: Progress) -> tuple[Pushed, str]:
    """What E is taken to count, and why. Raises DoesNotFit where no meaning of E makes a bead of this nozzle."""
    tried = [millilitres(), *(filament_mm(to_si(bore, "mm")) for bore in USUAL_FILAMENTS_MM)]
    if machine.barrel_m is not None:
        tried.insert(0, ram_mm(machine.barrel_m))
    path = read_gcode(file, tried[0], motion, lambda _: progress("reading, to see what E counts"))
    widths = layers_of(replay(path, motion)).width_m
    widths = widths[np.isfinite(widths)]
    if not widths.size:
        raise DoesNotFit("the path has no height to tell what E counts by: say it with --e-counts")
    wide = [float(np.median(widths)) * one.m3_per_e / tried[0].m3_per_e for one in tried]
    likely = [place for place, width in enumerate(wide) if THINNEST <= width / machine.nozzle_m <= WIDEST]
    if not likely:
        raise DoesNotFit(
            f"with no meaning of E tried does it lay beads of a nozzle of {short(machine.nozzle_m, 'mm')} mm: "
            "say what E counts with --e-counts, and the bores"
        )
    best = min(likely, key=lambda place: abs(math.log(wide[place] / machine.nozzle_m / USUAL_BEAD)))
    others = "".join(f", as {tried[place].words} {short(wide[place], 'mm')} mm" for place in likely if place != best)
    return tried[best], f"E taken to count {tried[best].words}: beads {short(wide[best], 'mm')} mm wide{others}"
