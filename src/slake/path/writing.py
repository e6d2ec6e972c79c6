"""Beads written as G-code: millimetres, absolute places, E counted bead by bead in the machine's own unit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from slake.ground.problems import DoesNotFit
from slake.ground.units import from_si

from .beads import Printer, Run, moved, pushed_m3
from .mesh import FloatArray

LIFT_LAYERS = 5.0
NEAR_BEADS = 2.5
"""A next bead that begins this near goes on without lifting the nozzle."""
E_DIGITS = 6
CAUTIONS = (
    "Keep fingers off the moving ram and bed: a geared ram crushes.",
    "Relieve the pressure before the barrel is opened.",
)


def write_gcode(runs: Sequence[Run], printer: Printer, says: Sequence[str] = ()) -> str:
    """The text of a file. Heights count from the bed; home the machine as it is used to before it.

    What is pushed is what the beads fill: rounding of E is carried on and never adds up. Raises DoesNotFit where a bead
    would leave the bed.
    """
    if not runs:
        raise DoesNotFit("there is no bead to write: make the piece first")
    _require_on_the_bed(runs, printer)
    millilitres = from_si(pushed_m3(runs), "mL")
    lines = [f"; {_plain(line)}" for line in (*says, *CAUTIONS)]
    lines += [f"; {millilitres:.1f} mL of paste, E in {printer.pushed.words}", "G21", "G90", "M83"]
    lift = LIFT_LAYERS * printer.layer_height_m
    fast, slow = (from_si(speed, "mm/s") * 60 for speed in (printer.travel_m_s, printer.speed_m_s))
    left, before = 0.0, None
    for run in (moved(run, _middle_m(printer)) for run in runs):
        lines += _way_to(run, before, lift, fast, NEAR_BEADS * printer.bead_m)
        pushed, left = _pushed(run, printer.pushed.m3_per_e, left)
        lines += _beads(run, pushed, slow)
        before = run
    top = max(float(run.points_m[:, 2].max()) for run in runs)
    lines.append(f"G0 Z{from_si(top + lift, 'mm'):.3f} F{fast:.0f}")
    return "\n".join(lines) + "\n"


def _plain(line: str) -> str:
    """A comment on one line that closes nothing."""
    return "".join(letter if letter.isprintable() and letter not in "();" else " " for letter in line)[:200]


def _middle_m(printer: Printer) -> tuple[float, float]:
    """Where the middle of the bed lies as the machine counts."""
    return (printer.bed.x_m / 2, printer.bed.y_m / 2) if printer.from_corner else (0.0, 0.0)


def _require_on_the_bed(runs: Sequence[Run], printer: Printer) -> None:
    points = np.concatenate([run.points_m for run in runs])
    low, high = points.min(axis=0), points.max(axis=0)
    bed, edge = printer.bed, printer.bead_m / 2
    if bed.round:
        over = 2 * (float(np.hypot(points[:, 0], points[:, 1]).max()) + edge) - bed.x_m
    else:
        over = 2 * max(
            float(max(-low[0], high[0])) + edge - bed.x_m / 2, float(max(-low[1], high[1])) + edge - bed.y_m / 2
        )
    if over > 1e-9 or float(high[2]) > bed.z_m + 1e-9:
        raise DoesNotFit(
            f"it needs {from_si(max(over, 0.0), 'mm'):.3g} mm more bed, and {from_si(float(high[2]), 'mm'):.3g} of "
            f"{from_si(bed.z_m, 'mm'):.3g} mm height: make it smaller"
        )


def _way_to(run: Run, before: Run | None, lift_m: float, fast: float, near_m: float) -> list[str]:
    """Travel to the beginning of a bead: over what is printed, or straight on where it is near."""
    x, y, z = (round(from_si(float(n), "mm"), 3) + 0.0 for n in run.points_m[0])
    if before is not None:
        apart = float(np.linalg.norm(run.points_m[0] - before.points_m[-1]))
        if apart == 0:
            return []
        if apart <= near_m:
            return [f"G0 X{x:.3f} Y{y:.3f} Z{z:.3f} F{fast:.0f}"]
    top = max(float(run.points_m[:, 2].max()), 0.0 if before is None else float(before.points_m[:, 2].max()))
    over = from_si(top + lift_m, "mm")
    return [f"G0 Z{over:.3f} F{fast:.0f}", f"G0 X{x:.3f} Y{y:.3f}", f"G0 Z{z:.3f}"]


def _pushed(run: Run, m3_per_e: float, left: float) -> tuple[FloatArray, float]:
    """E of each stretch in whole steps of its last digit, and what of them is left over for the next bead."""
    whole = np.cumsum(run.volume_m3 / m3_per_e) + left
    rounded = np.round(whole, E_DIGITS)
    return np.diff(rounded, prepend=0.0), float(whole[-1] - rounded[-1])


def _beads(run: Run, pushed: FloatArray, slow: float) -> list[str]:
    places = np.round(run.points_m[1:] * from_si(1.0, "mm"), 3) + 0.0
    form = f"G1 X%.3f Y%.3f Z%.3f E%.{E_DIGITS}f"
    lines = [form % (x, y, z, e) for (x, y, z), e in zip(places.tolist(), pushed.tolist(), strict=True)]
    lines[0] += f" F{slow:.0f}"
    return lines
