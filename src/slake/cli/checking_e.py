"""What E most likely counts, where nobody said, of what it can count on this machine."""

from __future__ import annotations

from pathlib import Path

from slake.ground.units import to_si
from slake.path.followed import USUAL_FILAMENTS_MM
from slake.path.likely_e import likely_e
from slake.path.pushing import Motion, Pushed, filament_mm, millilitres, ram_mm

from .print_machine import PrintMachine
from .print_telling import Progress


def pushed_by_beads(file: Path, machine: PrintMachine, motion: Motion, progress: Progress) -> tuple[Pushed, str]:
    """What E is taken to count, and why. Raises DoesNotFit where no meaning of E makes a bead of this nozzle."""
    tried = [millilitres(), *(filament_mm(to_si(bore, "mm")) for bore in USUAL_FILAMENTS_MM)]
    if machine.barrel_m is not None:
        tried.insert(0, ram_mm(machine.barrel_m))
    return likely_e(file, tried, machine.nozzle_m, motion, lambda _: progress("reading, to see what E counts"))
