"""The same path on another clock: with waits put in after some beads, or every move slower. Own bookkeeping."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, OutsideRange

from .cartridge_use import CartridgeUse
from .replay import Replayed

Array = NDArray[np.float64]
Places = NDArray[np.int64]


def paused(replayed: Replayed, after: Places, wait_s: Array) -> Replayed:
    """The path waiting so long after each of these beads, everything later by as much; a bead may be named twice.

    The wait is before the travels that follow the bead, and no travel of its own. Raises OutsideRange, DoesNotFit.
    """
    beads = len(replayed.line)
    if len(after) != len(wait_s) or np.any((after < 0) | (after >= beads)):
        raise DoesNotFit(f"each wait needs one of the {beads} beads it comes after: give as many of each")
    if not np.all((wait_s >= 0) & (wait_s < math.inf)):
        raise OutsideRange("wait (s)", got=float(np.min(wait_s)), low=0, high=1e7, do="give zero or more seconds")
    behind = np.cumsum(np.bincount(after, weights=wait_s, minlength=beads))
    before, travels = np.append(0.0, behind[:-1]), replayed.travels
    late = np.append(0.0, behind)[travels.after + 1]
    return replace(
        replayed,
        start_s=replayed.start_s + before,
        end_s=replayed.end_s + before,
        travels=replace(travels, start_s=travels.start_s + late, end_s=travels.end_s + late),
        duration_s=replayed.duration_s + float(behind[-1]),
    )


def changing_cartridges(replayed: Replayed, use: CartridgeUse, change_s: float) -> Replayed:
    """The path with the time each change of cartridge takes, at the last stop before it runs out where there is one."""
    places = [out.bead if out.stop_after is None else out.stop_after for out in use.run_outs]
    return paused(replayed, np.array(places, dtype=np.int64), np.full(len(places), change_s))


def slowed(replayed: Replayed, times: float) -> Replayed:
    """Every move and wait so many times as long, the flow as many times less."""
    if not 0 < times < math.inf:
        raise OutsideRange("times as long", got=times, low=0.01, high=100, do="1 leaves it as it is")
    travels = replayed.travels
    return replace(
        replayed,
        start_s=replayed.start_s * times,
        end_s=replayed.end_s * times,
        flow_m3_s=replayed.flow_m3_s / times,
        travels=replace(
            travels, start_s=travels.start_s * times, end_s=travels.end_s * times, wait_s=travels.wait_s * times
        ),
        duration_s=replayed.duration_s * times,
    )
