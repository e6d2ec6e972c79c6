"""Where a path stops laying: each stretch between two beads, how long, how far, and what kind of stop it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import to_si

from .layers import Layers
from .replay import Replayed

Array = NDArray[np.float64]
Places = NDArray[np.int64]
NEXT_LAYER, WAIT, BESIDE, PIECES = range(4)
"""Kinds: up to the next layer; on the spot; to a bead close by; over a gap."""
ON_THE_SPOT_M = to_si(0.1, "mm")
CLOSE_BEADS = 3.0
"""A gap of up to this many bead widths could be closed by a wider bead or wall; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Stops:
    """One entry per stop between two beads, (k,); before the first and after the last bead is none of the object.

    after: the bead before it. gap_m: from the end of that bead to the start of the next, in the plane. pulled_m3: how
    far the ram was pulled back meanwhile. line: of its first move. layers: how many the object has.
    """

    after: Places  # (k,)
    layer: Places  # (k,)
    kind: Places  # (k,)
    lasts_s: Array  # (k,)
    gap_m: Array  # (k,)
    pulled_m3: Array  # (k,)
    line: Places  # (k,)
    layers: int


def stops_of(replayed: Replayed, layers: Layers) -> Stops:
    """The stops of a path. A pause between two beads that meet end to end counts too."""
    travels, last = replayed.travels, len(replayed.line) - 1
    after = np.unique(travels.after[(travels.after >= 0) & (travels.after < last)])
    back = np.bincount(travels.after + 1, weights=np.minimum(travels.pushed_m3, 0.0), minlength=last + 2)
    away = replayed.start_m[after + 1, :2] - replayed.end_m[after, :2]
    gap = np.hypot(away[:, 0], away[:, 1])
    return Stops(
        after=after,
        layer=layers.layer[after],
        kind=_kinds(after, gap, layers),
        lasts_s=replayed.start_s[after + 1] - replayed.end_s[after],
        gap_m=gap,
        pulled_m3=np.maximum(-np.asarray(back, dtype=np.float64)[after + 1], 0.0),
        line=travels.line[np.searchsorted(travels.after, after)],
        layers=len(layers.height_m),
    )


def _kinds(after: Places, gap: Array, layers: Layers) -> Places:
    climbs = layers.layer[after + 1] != layers.layer[after]
    close = CLOSE_BEADS * layers.width_m[layers.layer[after]]
    return np.select([climbs, gap < ON_THE_SPOT_M, gap <= close], [NEXT_LAYER, WAIT, BESIDE], PIECES).astype(np.int64)
