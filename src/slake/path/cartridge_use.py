"""Which cartridge lays which bead: how full the barrel stands at each, and where each one runs out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import OutsideRange, Problem
from slake.ground.units import from_si
from slake.paste.cartridges import Cartridge

from .replay import Replayed

Array = NDArray[np.float64]
Places = NDArray[np.int64]
MOST_CARTRIDGES = 1000


@dataclass(frozen=True, kw_only=True)
class RunOut:
    """Where a cartridge is empty. bead: the one being laid; share: of it already laid.

    stop_after: the last bead before it after which the nozzle stops anyway, where changing leaves no new seam; None
    where the path has not stopped since the cartridge began.
    """

    cartridge: int
    bead: int
    share: float
    line: int
    at_s: float
    height_m: float
    stop_after: int | None


@dataclass(frozen=True, kw_only=True)
class CartridgeUse:
    """cartridge: (n,) number of the cartridge each bead is begun from, from 1. in_barrel_m3: (n,) at its start.

    laid_m3: paste in the beads; pushed_m3: with what is pushed on the spot; primed_m3: pushed out by each new one.
    """

    cartridge: Places  # (n,)
    in_barrel_m3: Array  # (n,)
    run_outs: tuple[RunOut, ...]
    count: int
    laid_m3: float
    pushed_m3: float
    primed_m3: float
    left_m3: float

    def kg_per_cartridge(self, density_kg_m3: float, volume_m3: Array) -> Array:
        """Paste in the beads by cartridge, (count,). volume_m3: of each bead."""
        whole = np.bincount(self.cartridge - 1, weights=volume_m3, minlength=self.count)
        return np.asarray(whole * density_kg_m3)


def use_cartridges(replayed: Replayed, cartridge: Cartridge, primed_m3: float = 0.0) -> CartridgeUse:
    """Cartridges along the path, each changed where it runs out. primed_m3: pushed out and thrown away by each.

    What oozes is not counted, nor time for changing. Raises OutsideRange, and Problem for more than 1000 cartridges.
    """
    usable = cartridge.usable_m3 - primed_m3
    if not (primed_m3 >= 0 and usable > 0):
        raise OutsideRange(
            "paste primed by each cartridge (mL)",
            got=from_si(primed_m3, "mL"),
            low=0,
            high=from_si(cartridge.usable_m3, "mL"),
            do="it must be less than a cartridge gives",
        )
    end = pushed_by_end_m3(replayed)
    start, pushed = end - replayed.volume_m3, float(end[-1])
    count = _count(pushed / usable)
    number = np.clip(np.floor(start / usable * (1 + 1e-12)), 0, count - 1).astype(np.int64)
    gone = primed_m3 + np.maximum(start - number * usable, 0.0)
    return CartridgeUse(
        cartridge=number + 1,
        in_barrel_m3=cartridge.fill * cartridge.volume_m3 - gone,
        run_outs=_run_outs(replayed, end, usable, count),
        count=count,
        laid_m3=float(replayed.volume_m3.sum()),
        pushed_m3=pushed,
        primed_m3=primed_m3,
        left_m3=count * usable - pushed,
    )


def pushed_by_end_m3(replayed: Replayed) -> Array:
    """Paste the ram has pushed by the end of each bead, with what it pushed and pulled back on the spot, (n,)."""
    travels = replayed.travels
    between = np.bincount(travels.after + 1, weights=travels.pushed_m3, minlength=len(replayed.line) + 1)
    return np.asarray(np.cumsum(replayed.volume_m3) + np.cumsum(between[:-1]))


def _count(exact: float) -> int:
    if not exact < MOST_CARTRIDGES:
        raise Problem(
            f"this path would take {exact:.3g} cartridges: check what its E counts in the machine's record, "
            "and the cartridge's volume"
        )
    return max(math.ceil(exact - 1e-9), 1)


def _run_outs(replayed: Replayed, end: Array, usable: float, count: int) -> tuple[RunOut, ...]:
    """Where each cartridge but the last is empty: the first bead by whose end so much was pushed."""
    upto = np.arange(count) * usable
    beads = (
        np.searchsorted(np.maximum.accumulate(end), upto * (1 - 1e-12)) if count > 1 else np.zeros(1, dtype=np.int64)
    )
    beads = np.minimum(beads, len(end) - 1)
    beads[0] = -1
    return tuple(
        _run_out(
            replayed, number, int(beads[number]), (int(beads[number - 1]), float(end[beads[number]] - upto[number]))
        )
        for number in range(1, count)
    )


def _run_out(replayed: Replayed, number: int, bead: int, known: tuple[int, float]) -> RunOut:
    """The cartridge of this number, empty within this bead. known: bead it was begun in, paste pushed beyond it."""
    begun, beyond_m3 = known
    share = min(max(1 - beyond_m3 / float(replayed.volume_m3[bead]), 0.0), 1.0)
    after = replayed.travels.after
    before = int(np.searchsorted(after, bead, side="left")) - 1
    stop = int(after[before]) if before >= 0 and after[before] > begun else None
    low, high = replayed.start_m[bead, 2], replayed.end_m[bead, 2]
    return RunOut(
        cartridge=number,
        bead=bead,
        share=share,
        line=int(replayed.line[bead]),
        at_s=float(replayed.start_s[bead] + share * (replayed.end_s[bead] - replayed.start_s[bead])),
        height_m=float(low + share * (high - low)),
        stop_after=stop,
    )
