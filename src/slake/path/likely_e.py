"""What E most likely counts, where nobody said: the one that makes likely beads of this nozzle."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from slake.ground.problems import DoesNotFit

from .beads import USUAL_BEAD
from .checked_words import short
from .doubting import THINNEST, WIDEST
from .gcode import Source, Tell, read_gcode
from .layers import layers_of
from .pushing import Motion, Pushed
from .replay import replay


def likely_e(
    source: Source, tried: Sequence[Pushed], nozzle_m: float, motion: Motion, tell: Tell | None = None
) -> tuple[Pushed, str]:
    """What E is taken to count of those tried, and why. The file is read once more for it.

    Raises DoesNotFit where no meaning of E makes a bead of this nozzle, or the path has no height to tell by.
    """
    widths = layers_of(replay(read_gcode(source, tried[0], motion, tell), motion)).width_m
    widths = widths[np.isfinite(widths)]
    if not widths.size:
        raise DoesNotFit("the path has no height to tell what E counts by: say it")
    wide = [float(np.median(widths)) * one.m3_per_e / tried[0].m3_per_e for one in tried]
    likely = [place for place, width in enumerate(wide) if THINNEST <= width / nozzle_m <= WIDEST]
    if not likely:
        raise DoesNotFit(
            f"with no meaning of E tried does it lay beads of a nozzle of {short(nozzle_m, 'mm')} mm: "
            "say what E counts, and the bores"
        )
    best = min(likely, key=lambda place: abs(math.log(wide[place] / nozzle_m / USUAL_BEAD)))
    others = "".join(f", as {tried[place].words} {short(wide[place], 'mm')} mm" for place in likely if place != best)
    return tried[best], f"E taken to count {tried[best].words}: beads {short(wide[best], 'mm')} mm wide{others}"
