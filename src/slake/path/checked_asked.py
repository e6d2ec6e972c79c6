"""What is asked before a print, in typed texts: what E counts, the file's unit, the bed, walls of several beads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from slake.ground.numbers import Limits, is_open, read_optional
from slake.ground.problems import Problem, as_typed
from slake.ground.units import to_si

from .followed import could_count
from .mesh_in import LENGTHS_M, PACKED, WITHOUT_UNIT
from .mesh_limits import plain_name
from .pushing import Motion, Pushed, filament_mm, millilitres, ram_mm
from .sizes import ASKED as UNITS_ASKED
from .sizes import Bed

OPEN = "or leave it open"
NUMBERS = {
    "filament_mm": ("thickness of the filament", Limits(low=0.5, high=10, unit="mm", do="1.75 and 2.85 are usual")),
    "beads_across": ("beads across the wall", Limits(low=1, high=50, do="count them, or leave it open for one")),
    "file_speed_mm_s": ("speed where the file says none", Limits(low=0.1, high=500, unit="mm/s", do=OPEN)),
    "primed_ml": ("paste primed by each cartridge", Limits(low=0, high=2000, unit="mL", do=OPEN)),
    "bed_x_mm": ("width of the bed", Limits(low=10, high=5000, unit="mm", do=OPEN)),
    "bed_y_mm": ("depth of the bed", Limits(low=10, high=5000, unit="mm", do=OPEN)),
    "bed_z_mm": ("height there is", Limits(low=10, high=5000, unit="mm", do=OPEN)),
}
RAM, FILAMENT, VOLUME = "ram", "filament", "ml"
E_COUNTS = {RAM: "mm of ram", FILAMENT: "mm of filament", VOLUME: "mL of paste"}
UNITS = {unit: unit for unit in UNITS_ASKED}
CHOICES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "e_counts": ("what E counts", E_COUNTS),
    "unit": ("unit of the drawing", UNITS),
}
TOOLPATHS = (".gcode", ".gco", ".g", ".nc", ".ngc")
MESHES = (*WITHOUT_UNIT, PACKED)
USUAL_FILAMENT_MM = 1.75
LONGEST_NAME = 40


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is asked of a file. pushed: what E counts; sure_of_e: whether anybody said so. could_count: where
    nobody did, what E may count, to be told by the beads; why_e: what they said. unit: of the drawing, "" for its own.
    """

    pushed: Pushed
    sure_of_e: bool
    motion: Motion
    primed_m3: float
    beads_across: int
    unit: str
    bed: Bed | None
    could_count: tuple[Pushed, ...] = ()
    why_e: str = ""


def short_name(name: str) -> str:
    """The end of a file's name, fit for a sentence, with its ending."""
    last = "".join(letter if letter.isprintable() else " " for letter in name).strip()[-LONGEST_NAME:]
    return plain_name(last)


def is_toolpath(name: str) -> bool:
    """Whether a file is a toolpath rather than a mesh, by its ending. Raises Problem for any other ending."""
    shown = short_name(name)
    ending = Path(shown.lower()).suffix
    if ending not in (*TOOLPATHS, *MESHES):
        endings = f"{', '.join(MESHES)} or {', '.join(TOOLPATHS)}"
        raise Problem(f"“{shown}” is neither a mesh nor a toolpath slake reads: bring {endings}")
    return ending in TOOLPATHS


def asked_of(typed: Mapping[str, str], barrel_m: float) -> Asked:
    """Read what was typed; open is always allowed. barrel_m: bore of the barrel, for an E that counts mm of ram."""
    said = {name: read_optional(typed.get(name), *NUMBERS[name]) for name in NUMBERS}
    word = _word(typed, "e_counts")
    speed, beads = said["file_speed_mm_s"], said["beads_across"] or 1.0
    return Asked(
        pushed=_pushed(word, barrel_m, said["filament_mm"] or USUAL_FILAMENT_MM),
        sure_of_e=bool(word),
        motion=Motion(speed_m_s=None if speed is None else to_si(speed, "mm/s")),
        primed_m3=to_si(said["primed_ml"] or 0.0, "mL"),
        beads_across=max(round(beads), 1),
        unit=_word(typed, "unit"),
        bed=_bed(said),
        could_count=() if word else could_count(barrel_m),
    )


def _word(typed: Mapping[str, str], name: str) -> str:
    what, words = CHOICES[name]
    text = typed.get(name, "").strip()
    if is_open(text):
        return ""
    if text not in words or (name == "unit" and text not in LENGTHS_M):
        raise Problem(f"{what} is “{as_typed(text)}”: say one of {', '.join(words)}, or leave it open")
    return text


def _pushed(word: str, barrel_m: float, filament: float) -> Pushed:
    """Left open: mm of ram, as paste printers count; the beads then say whether that can be."""
    if word == FILAMENT:
        return filament_mm(to_si(filament, "mm"))
    return millilitres() if word == VOLUME else ram_mm(barrel_m)


def _bed(said: Mapping[str, float | None]) -> Bed | None:
    """None where nothing of it was said; what was left open of it is without end."""
    sides = [said[name] for name in ("bed_x_mm", "bed_y_mm", "bed_z_mm")]
    if all(side is None for side in sides):
        return None
    x_m, y_m, z_m = (to_si(NUMBERS["bed_x_mm"][1].high if side is None else side, "mm") for side in sides)
    return Bed(x_m=x_m, y_m=y_m, z_m=z_m)
