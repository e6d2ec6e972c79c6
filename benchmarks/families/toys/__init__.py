"""Made-up wastes of three laws: one paste jams (a power of the distance to packing), one adds a polymer network to a
grain network, one switches between two regimes. Imports nothing of slake. Invented numbers of a plausible size.

They were used to choose slake's look ahead, so they flatter it.
"""

from __future__ import annotations

from .draw import LAW_NAMES, draw
from .kitchen import Mixed, mix
from .lots import another_lot, kin
from .waste import Waste, feasible_share, meets, truth, within

__all__ = [
    "LAW_NAMES",
    "NAME",
    "VERSION",
    "Mixed",
    "Waste",
    "another_lot",
    "draw",
    "feasible_share",
    "kin",
    "meets",
    "mix",
    "truth",
    "within",
]

NAME = "toys"
VERSION = 1
