"""Made-up wastes whose pastes obey laws of their own: crowded grains in a gel, and felted fibres.

Imports nothing of slake and knows none of its forms. All numbers are invented but of a plausible size.
"""

from __future__ import annotations

from .draw import draw_waste
from .kitchen import Mixed, mix
from .lots import another_lot, kin
from .materials import Filler, Gum, Waste
from .readings import NAMES, truth
from .windows import draw, feasible_share, meets, random_recipes, twenty_wastes

__all__ = [
    "NAME",
    "NAMES",
    "VERSION",
    "Filler",
    "Gum",
    "Mixed",
    "Waste",
    "another_lot",
    "draw",
    "draw_waste",
    "feasible_share",
    "kin",
    "meets",
    "mix",
    "random_recipes",
    "truth",
    "twenty_wastes",
]

NAME = "kitchen"
VERSION = 4
