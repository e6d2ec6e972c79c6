"""Before the print: one file checked on a machine with a paste, from a toolpath or from a mesh."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit, Problem
from slake.paste.cartridges import Cartridge

from .carrying import stack_from
from .checked_asked import Asked
from .followed import Followed, Press, follow
from .force_along import force_along
from .force_law import PushDraws
from .from_mesh import check_mesh
from .gcode import Source
from .likely_e import likely_e
from .mesh_checked import MeshChecked, MeshPrint
from .mesh_in import in_unit, read_mesh
from .shrinking import Bars, Today
from .standing import Laid, Stack
from .stands_answer import Stands, stands
from .stands_fixes import LEVERS, SURE, Fix, fix_of

Tell = Callable[[int, int, str], None]
"""Called with how far it is, of how much, and what is done; may raise to stop."""
STEPS = 10 + len(LEVERS)
READ, STOOD = 6, 9
STIFFER = "stiffer paste"


@dataclass(frozen=True, kw_only=True)
class Loaded:
    """Paste and machine as a check takes them. bars: shrinkage bars, of this batch or another, None without any.

    basis: what each number rests on, in words.
    """

    push: PushDraws
    laid: Laid
    density_kg_m3: Range
    air_fraction: Range
    cartridge: Cartridge
    bead_m: float
    layer_height_m: float
    bars: Bars | None
    today: Today
    basis: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class ToolpathChecked:
    """A toolpath followed, and whether what it lays stands. stands is None where the layers could not be looked at;
    why_not says why. fixes: what would carry it, where it is not likely to stand. planned_all_chance: that the force is
    enough at every bead of the stiffer paste among them.
    """

    asked: Asked
    loaded: Loaded
    followed: Followed
    stack: Stack | None
    stands: Stands | None
    why_not: str
    fixes: tuple[Fix, ...]
    planned_all_chance: float | None


def untold(done: int, total: int, words: str) -> None:
    """Nobody asked how far it is."""


def check_toolpath(source: Source, loaded: Loaded, asked: Asked, tell: Tell = untold) -> ToolpathChecked:
    """Read, replay and judge a toolpath. Raises Problem for a file that cannot be followed."""
    tell(0, STEPS, "reading the toolpath")
    asked = _e_by_beads(source, loaded, asked)
    press = Press(
        pushed=asked.pushed,
        cartridge=loaded.cartridge,
        draws=loaded.push,
        air_fraction=loaded.air_fraction,
        density_kg_m3=loaded.density_kg_m3,
        motion=asked.motion,
        primed_m3=asked.primed_m3,
    )
    followed = follow(source, press, lambda read: tell(min(read // 2**20, READ - 1), STEPS, "reading the toolpath"))
    tell(READ, STEPS, "looking whether it stands")
    try:
        stack = stack_from(followed.replayed, followed.layers, asked.beads_across)
        found = stands(stack, loaded.laid)
    except Problem as problem:
        return _checked((loaded, asked), followed, None, (), str(problem))
    return _checked((loaded, asked), followed, (stack, found), _fixes(stack, found, loaded.laid, tell))


def _e_by_beads(source: Source, loaded: Loaded, asked: Asked) -> Asked:
    """What E counts, told by the beads where nobody said; as it was where they tell nothing."""
    if not asked.could_count or not isinstance(source, Path | bytes):
        return asked
    try:
        pushed, why = likely_e(source, asked.could_count, loaded.push.barrel.nozzle_m, asked.motion)
    except DoesNotFit:
        return asked
    return replace(asked, pushed=pushed, why_e=why)


def _fixes(stack: Stack, found: Stands, laid: Laid, tell: Tell) -> tuple[Fix, ...]:
    """What would carry it, one by one; nothing where it is likely enough to stand."""
    if found.chance >= SURE:
        return ()
    fixes = []
    for number, lever in enumerate(LEVERS):
        tell(STOOD + number, STEPS, f"trying what would carry it: {lever.name}")
        fixes.append(fix_of(lever, stack, laid))
    return tuple(fixes)


def _checked(
    given: tuple[Loaded, Asked],
    followed: Followed,
    found: tuple[Stack, Stands] | None,
    fixes: tuple[Fix, ...],
    why_not: str = "",
) -> ToolpathChecked:
    stack, answer = found or (None, None)
    stiffer = next((fix.amount for fix in fixes if fix.name == STIFFER), None)
    return ToolpathChecked(
        loaded=given[0],
        asked=given[1],
        followed=followed,
        stack=stack,
        stands=answer,
        why_not=why_not,
        fixes=fixes,
        planned_all_chance=None if stiffer is None else _pushed_stiffer(followed, given[0].push, stiffer),
    )


def _pushed_stiffer(followed: Followed, push: PushDraws, times: float) -> float:
    """Chance that the ram has the force throughout for a paste so many times as stiff."""
    stiffer = replace(push, yield_stress_pa=push.yield_stress_pa * times)
    return force_along(followed.replayed, followed.use, stiffer).all_chance


def check_drawing(content: bytes, name: str, given: tuple[Loaded, Asked], tell: Tell = untold) -> MeshChecked:
    """Read and check a mesh at the size it must be printed. given: paste and machine, and what was asked.

    Raises Problem for a file that is no mesh.
    """
    loaded, asked = given
    tell(0, 100, "reading the drawing")
    mesh = read_mesh(content, name)
    mesh = in_unit(mesh, asked.unit) if asked.unit and not mesh.unit_said else mesh
    tell(20, 100, "looking at its surface")
    printing = MeshPrint(
        bead_m=loaded.bead_m,
        layer_height_m=loaded.layer_height_m,
        bed=asked.bed,
        density_kg_m3=loaded.density_kg_m3,
        cartridge=loaded.cartridge,
    )
    return check_mesh(
        mesh,
        loaded.bars,
        loaded.today,
        printing,
        lambda share: tell(20 + round(78 * share), 100, "cutting it into layers"),
    )
