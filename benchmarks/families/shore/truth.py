"""Noise-free readings of a waste at an hour (dried ones at three days)."""

from dataclasses import replace

import numpy as np

from . import dry, wet
from .liquid import liquid
from .skeleton import crowd, yield_pa
from .waste import Part, Temper, Waste
from .water import Array, budget


def paste_of(parts: tuple[Part, ...], temper: Temper, recipes: Array) -> wet.Paste:
    """The pastes of some recipes (n, parts), fractions of wet paste as weighed."""
    at = budget(parts, temper, np.atleast_2d(np.asarray(recipes, dtype=float)))
    between = liquid(parts, temper, at)
    packed = crowd(parts, temper, at)
    pa, gum = yield_pa(packed, temper, between)
    pa = np.clip(pa, 2.0, 3e5)
    air = np.minimum(temper.air * (1.0 + np.sqrt(pa / 3e3)), 0.15)
    return wet.Paste(at=at, between=between, packed=packed, pa=pa, gum_pa=np.minimum(gum, pa), air=air)


def aged(paste: wet.Paste, temper: Temper, minutes: float) -> wet.Paste:
    """The same paste read earlier or later than an hour."""
    return replace(paste, pa=paste.pa * (minutes / 60.0) ** temper.ageing)


def readings(paste: wet.Paste, waste: Waste) -> dict[str, Array]:
    """All readings of some pastes."""
    parts, temper = waste.parts, waste.temper
    return {
        "cone_depth_mm": wet.cone_mm(paste, temper),
        "slump_mm": wet.slump_mm(paste),
        "ram_force_n": wet.ram_n(paste, waste),
        "springback_percent": wet.spring_percent(paste, temper),
        "bleed_g_per_100g": wet.bleed_g(paste, temper),
        "layers_stood": wet.layers(paste, waste),
        "shrinkage_percent": dry.shrink_percent(paste, parts, temper),
        "crack_grade": dry.crack_grade(paste, parts, temper),
        "strength_mpa": dry.strength_mpa(paste, parts, temper),
        "density_g_per_ml": paste.density,
    }


def truth(waste: Waste, recipes: Array) -> dict[str, Array]:
    """Noise-free readings at an hour by name, for recipes (n, parts)."""
    return readings(paste_of(waste.parts, waste.temper, recipes), waste)
