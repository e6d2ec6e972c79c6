"""Whether E counts what the machine's record says: beads far thinner or wider than the nozzle say it does not."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from slake.ground.problems import plain
from slake.ground.units import from_si

from .layers import Layers
from .pushing import Pushed

THINNEST, WIDEST = 0.4, 4.0
"""Bead widths over the nozzle's bore outside which E is doubted; common practice, no source."""


def doubt_of_e(layers: Layers, nozzle_m: float, pushed: Pushed, others: Sequence[Pushed] = ()) -> str | None:
    """One sentence where the middle bead is no bead of this nozzle; names what E would have to count instead.

    others: what E could count on this machine. None where the beads are likely ones, or have no thickness to tell by.
    """
    widths = layers.width_m[np.isfinite(layers.width_m)]
    if not widths.size:
        return None
    width = float(np.median(widths))
    if THINNEST <= width / nozzle_m <= WIDEST:
        return None
    likely = [
        f"as {other.words} they would be {_mm(width * other.m3_per_e / pushed.m3_per_e)}"
        for other in others
        if THINNEST <= width * other.m3_per_e / pushed.m3_per_e / nozzle_m <= WIDEST
    ]
    return (
        f"the beads would be {_mm(width)} wide under a nozzle of {_mm(nozzle_m)}, "
        f"so E likely counts something else than {pushed.words}: "
        + (", ".join(likely) if likely else "check the file, and what E counts in the machine's record")
    )


def _mm(size_m: float) -> str:
    two_figures = float(f"{from_si(size_m, 'mm'):.2g}")
    return f"{plain(two_figures)} mm"
