"""A toolpath with its clock: when each bead is laid, how fast paste runs, and where nothing is laid."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import DoesNotFit, Problem, plain
from slake.ground.units import from_si, to_si

from .gcode import Toolpath
from .pushing import AS_WRITTEN, Motion
from .speeds import durations_s

Array = NDArray[np.float64]
Places = NDArray[np.int64]
LONGEST_S = to_si(10, "day")


def _require_even(rows: object, count: int) -> None:
    """Every array holds one entry per move."""
    for field in fields(rows):  # type: ignore[arg-type]
        value = getattr(rows, field.name)
        if isinstance(value, np.ndarray) and len(value) != count:
            raise DoesNotFit(
                f"{field.name} holds {len(value)} entries where there are {count} moves: give one for each"
            )


@dataclass(frozen=True, kw_only=True)
class Travels:
    """Moves that lay no bead: travels, waits, and the ram pushed or pulled back on the spot. One entry each.

    wait_s: the part of it that stands still. pushed_m3: paste the ram pushes meanwhile, negative where it is pulled
    back. after: place of the bead before it in the beads, -1 before the first.
    """

    start_m: Array  # (k, 3)
    end_m: Array  # (k, 3)
    start_s: Array  # (k,)
    end_s: Array  # (k,)
    wait_s: Array  # (k,)
    pushed_m3: Array  # (k,)
    after: Places  # (k,)
    line: Places  # (k,)

    def __post_init__(self) -> None:
        _require_even(self, len(self.line))


@dataclass(frozen=True, kw_only=True)
class Replayed:
    """Every bead of a toolpath, in the order it is laid. Heights are those of the nozzle: the top of the bead.

    start_s, end_s: machine time from the first move. flow_m3_s: mean over the bead. line: of the source, from 1.
    """

    start_m: Array  # (n, 3)
    end_m: Array  # (n, 3)
    start_s: Array  # (n,)
    end_s: Array  # (n,)
    flow_m3_s: Array  # (n,)
    volume_m3: Array  # (n,)
    line: Places  # (n,)
    travels: Travels
    duration_s: float

    def __post_init__(self) -> None:
        _require_even(self, len(self.line))

    @cached_property
    def length_m(self) -> Array:
        """Length of each bead, (n,)."""
        away = self.end_m - self.start_m
        return np.asarray(np.sqrt(np.einsum("ij,ij->i", away, away)))


def replay(toolpath: Toolpath, motion: Motion = AS_WRITTEN) -> Replayed:
    """The toolpath with its clock. Raises Problem where no bead is laid.

    Constant speed unless the motion has an acceleration. Flow is what the ram pushes: with air or a soft spring in the
    paste the nozzle follows late (see oozing). What a controller does beyond its words is left out.
    """
    moves = toolpath.speed_m_s > 0
    beads = moves & (toolpath.pushed_m3 > 0)
    if not beads.any():
        raise Problem("the toolpath lays no bead: nothing is pushed while the nozzle moves, so check what its E counts")
    end_s = _clock_s(toolpath, motion)
    start_s = np.append(0.0, end_s[:-1])
    laid = _together(beads)
    begun, done, volume = start_s[laid], end_s[laid], toolpath.pushed_m3[laid]
    return Replayed(
        start_m=toolpath.start_m[laid],
        end_m=toolpath.end_m[laid],
        start_s=begun,
        end_s=done,
        flow_m3_s=volume / (done - begun),
        volume_m3=volume,
        line=toolpath.line[laid],
        travels=_travels(toolpath, beads, start_s, end_s),
        duration_s=float(end_s[-1]),
    )


def _clock_s(toolpath: Toolpath, motion: Motion) -> Array:
    """When each move ends, (n,)."""
    end_s = durations_s(toolpath, motion)
    end_s += toolpath.still_s
    np.cumsum(end_s, out=end_s)
    if not end_s[-1] < LONGEST_S:
        raise Problem(
            f"this path would take {plain(from_si(float(end_s[-1]), 'day'))} days at the speeds it says, more than the "
            f"{from_si(LONGEST_S, 'day'):g} that are followed: check its F words"
        )
    return end_s


def _together(beads: NDArray[np.bool_]) -> NDArray[np.bool_] | slice:
    """The beads; as one stretch where nothing lies between them, which then needs no copy."""
    first, last = int(beads.argmax()), len(beads) - int(beads[::-1].argmax())
    return slice(first, last) if beads[first:last].all() else beads


def _travels(toolpath: Toolpath, beads: NDArray[np.bool_], start_s: Array, end_s: Array) -> Travels:
    rest = np.flatnonzero(~beads)
    return Travels(
        start_m=toolpath.start_m[rest],
        end_m=toolpath.end_m[rest],
        start_s=start_s[rest],
        end_s=end_s[rest],
        wait_s=toolpath.still_s[rest],
        pushed_m3=toolpath.pushed_m3[rest],
        after=np.cumsum(beads)[rest] - 1,
        line=toolpath.line[rest],
    )
