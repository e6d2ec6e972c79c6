"""Made-up wastes whose pastes obey laws of their own: the yardstick for proposals.

Imports nothing of slake and knows none of its forms. All numbers are invented but of a plausible size.
"""

from __future__ import annotations

from .draw import draw_waste
from .kitchen import Mixed, mix
from .materials import Filler, Gum, Waste
from .readings import NAMES, truth
from .windows import feasible_share, meets, random_recipes, twenty_wastes

__all__ = [
    "NAMES",
    "VERSION",
    "Filler",
    "Gum",
    "Mixed",
    "Waste",
    "draw_waste",
    "feasible_share",
    "meets",
    "mix",
    "random_recipes",
    "truth",
    "twenty_wastes",
]

VERSION = 3
