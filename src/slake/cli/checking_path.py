"""A toolpath in plain words: does it stand, the push, paste and cartridges, stops; as the page says it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from slake.campaign.verdict import Paste
from slake.campaign.verdict.law import Law
from slake.ground.evidence import percent
from slake.ground.problems import DoesNotFit
from slake.path.checked import ToolpathChecked, check_toolpath
from slake.path.checked_asked import Asked
from slake.path.checked_path_words import told_of_toolpath
from slake.path.checked_words import Line, Part, Told, capital
from slake.path.pushing import Motion

from .checking_e import pushed_by_beads
from .print_machine import PrintMachine
from .print_telling import Progress, show
from .printing_options import Bounds, number, pushed_of

SPEEDS = Bounds(low=0.1, high=500, unit="mm/s")
NEEDS_BORES = "not told: give --nozzle-mm and --barrel-mm"

OF_THE_PASTE = ("yield stress", "stiffness over yield stress", "density")


@dataclass(frozen=True, kw_only=True)
class PathAsked:
    """What was typed that only a toolpath needs."""

    e_counts: str
    speed_mm_s: str
    beads_across: int
    out: Path | None


def show_path(file: Path, machine: PrintMachine, paste: tuple[Paste, Law], typed: PathAsked) -> None:
    """Follow the file and say what is found. Raises Problem in one sentence for what cannot be followed."""
    if typed.out is not None:
        raise DoesNotFit("a toolpath is only looked at, and nothing is written: leave out --out, or bring the mesh")
    progress = Progress()
    motion = Motion(speed_m_s=number(typed.speed_mm_s, "the speed where the file says none", SPEEDS))
    pushed, why = pushed_of(typed.e_counts, machine.barrel_m), ""
    if pushed is None:
        pushed, why = pushed_by_beads(file, machine, motion, progress)
    asked = Asked(
        pushed=pushed, sure_of_e=not why, motion=motion, primed_m3=0.0,
        beads_across=typed.beads_across, unit="", bed=None,
    )  # fmt: skip
    found = check_toolpath(file, machine.loaded(paste), asked, lambda done, of, words: progress(words))
    told = told_of_toolpath(found)
    if why:
        told = replace(told, parts=(*told.parts, Part(heading="What E counts", sentences=(capital(why),))))
    show(told if machine.pushes else _without_bores(told, found), file)


def _without_bores(told: Told, found: ToolpathChecked) -> Told:
    """The same without what depends on bores nobody said: force, ooze and cartridges."""
    stands = "is not known" if found.stands is None else f"has a chance of {percent(found.stands.chance)}"
    basis = {name: words for name, words in told.basis.items() if name in OF_THE_PASTE}
    return replace(
        told,
        headline=f"That it stands to its top {stands}; whether the ram has the force is {NEEDS_BORES}.",
        parts=tuple(_part_without_bores(part) for part in told.parts),
        basis=basis,
    )


def _part_without_bores(part: Part) -> Part:
    heading = part.heading.lower()
    if "push" in heading:
        return Part(heading=part.heading, sentences=(capital(NEEDS_BORES),))
    if "stops" in heading:
        lines = tuple(Line(words=line.words, value="ooze not told", more=line.more) for line in part.lines)
        return Part(heading="Stops", sentences=() if part.lines else part.sentences[:1], lines=lines)
    if "cartridge" in heading:
        cartridges = Line(words="cartridges", value=NEEDS_BORES)
        return Part(heading=part.heading, lines=(*part.lines[:1], cartridges))
    return part
