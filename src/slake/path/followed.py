"""A toolpath followed from its first line to its last bead: clock, layers, cartridges, force, stops. One call."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Range
from slake.ground.units import to_si
from slake.paste.cartridges import Cartridge

from .cartridge_use import CartridgeUse, pushed_by_end_m3, use_cartridges
from .doubting import doubt_of_e
from .force_along import ForceAlong, force_along
from .force_law import PushDraws, Run
from .gcode import Source, Tell, Toolpath, read_gcode
from .layers import Layers, layers_of
from .oozing import Oozing, Running, late_starts_s, oozing
from .pushing import AS_WRITTEN, Motion, Pushed, filament_mm, millilitres, ram_mm
from .replay import Replayed, replay
from .stops import Stops, stops_of

Array = NDArray[np.float64]
USUAL_FILAMENTS_MM = (1.75, 2.85)
"""What slicers made for filament write E for; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Press:
    """The machine as a path needs it, and the paste in it. draws: hold when the first move begins."""

    pushed: Pushed
    cartridge: Cartridge
    draws: PushDraws
    air_fraction: Range
    density_kg_m3: Range
    motion: Motion = AS_WRITTEN
    primed_m3: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Followed:
    """Everything a path says of itself on one machine with one paste.

    starts: the first bead of each cartridge; late_s: seconds until it runs, least, middle and most air, (3, count).
    doubt: one sentence where the beads are none of this nozzle; None where they are.
    """

    toolpath: Toolpath
    replayed: Replayed
    layers: Layers
    use: CartridgeUse
    force: ForceAlong
    stops: Stops
    oozing: Oozing
    starts: NDArray[np.int64]
    late_s: Array
    doubt: str | None


def follow(source: Source, press: Press, tell: Tell | None = None) -> Followed:
    """Read, replay and judge a file. Raises Problem with one clear sentence; tell as for `read_gcode`."""
    toolpath = read_gcode(source, press.pushed, press.motion, tell)
    return judged(toolpath, replay(toolpath, press.motion), press)


def judged(toolpath: Toolpath, replayed: Replayed, press: Press) -> Followed:
    layers = layers_of(replayed)
    use = use_cartridges(replayed, press.cartridge, press.primed_m3)
    force = force_along(replayed, use, press.draws)
    stops = stops_of(replayed, layers)
    starts = np.searchsorted(use.cartridge, np.arange(1, use.count + 1))
    starts = starts[starts < len(use.cartridge)]
    running = _running(press, replayed, (use, force), stops.after)
    begins = _running(press, replayed, (use, force), starts)
    return Followed(
        toolpath=toolpath,
        replayed=replayed,
        layers=layers,
        use=use,
        force=force,
        stops=stops,
        oozing=oozing(stops, running, press.air_fraction, press.density_kg_m3),
        starts=starts,
        late_s=_late_s(replayed, starts, np.stack(late_starts_s(begins, press.air_fraction)) * begins.flow_m3_s),
        doubt=doubt_of_e(layers, press.draws.barrel.nozzle_m, press.pushed, could_count(press.draws.barrel.barrel_m)),
    )


def _late_s(replayed: Replayed, starts: NDArray[np.int64], stored_m3: Array) -> Array:
    """Seconds from each of these beads until the ram has pushed what the air takes up, (3, k): as the path's flows are,
    so that a thin first bead does not make it hours; at most the whole print.
    """
    pushed = np.maximum.accumulate(pushed_by_end_m3(replayed))
    upto = pushed[starts] - replayed.volume_m3[starts] + stored_m3
    begun, done = replayed.start_s[0], replayed.end_s
    until = np.interp(upto, np.append(0.0, pushed), np.append(begun, done))
    return np.asarray(until - replayed.start_s[starts])


def could_count(barrel_m: float) -> tuple[Pushed, ...]:
    """What E counts on such machines."""
    return (
        ram_mm(barrel_m),
        millilitres(),
        *(filament_mm(to_si(bore, "mm")) for bore in USUAL_FILAMENTS_MM),
    )


def _running(
    press: Press, replayed: Replayed, pushing: tuple[CartridgeUse, ForceAlong], at: NDArray[np.int64]
) -> Running:
    """The press at these beads."""
    use, force = pushing
    return Running(
        pressure_pa=force.pressure_pa[at],
        still_pa=_still_pa(press.draws, replayed.end_s[at], use.in_barrel_m3[at]),
        in_barrel_m3=use.in_barrel_m3[at],
        flow_m3_s=replayed.flow_m3_s[at],
    )


def _still_pa(draws: PushDraws, at_s: Array, in_barrel_m3: Array) -> Array:
    """Pressure that holds the paste just before it moves, middle draw, (k,)."""
    middle = draws.middle()
    run = Run(speed_m_s=np.zeros((len(at_s), 1)), fill_m=(in_barrel_m3 / draws.barrel.area_m2)[:, None])
    need = middle.need_n(at_s[:, None], run)[:, 0]
    return np.asarray(np.maximum(need - middle.ring_n[0], 0.0) / draws.barrel.area_m2)
