"""What a flawless bench would read of a paste: the noise-free truth, in bench units."""

from __future__ import annotations

import numpy as np

from .materials import Waste
from .paste import Array, Paste, paste_of

NAMES = (
    "cone_depth_mm", "ram_force_n", "springback_percent", "layers_stood", "shrinkage_percent",
    "crack_grade", "strength_mpa", "density_g_per_ml", "slump_mm",
)  # fmt: skip
CUP_MM = 35.0
LAYER_MM = 1.2


def truth(waste: Waste, recipes: Array, minutes: float = 60.0) -> dict[str, Array]:
    """Every reading of each recipe (n, names) at one age; what cannot be pushed stands no layer."""
    paste = paste_of(waste, np.atleast_2d(recipes), minutes)
    shrink = shrinkage_percent(waste, paste)
    crack = crack_grade(waste, paste, shrink)
    force = ram_force_n(waste, paste)
    stood = np.where(cannot_push(waste, paste, force) == "", layers_stood(waste, paste), 0.0)
    return {
        "cone_depth_mm": cone_depth_mm(waste, paste),
        "ram_force_n": force,
        "springback_percent": springback_percent(waste, paste),
        "layers_stood": stood,
        "shrinkage_percent": shrink,
        "crack_grade": np.rint(crack),
        "strength_mpa": strength_mpa(waste, paste, shrink, crack),
        "density_g_per_ml": density_g_per_ml(paste),
        "slump_mm": slump_mm(waste, paste),
    }


def cone_depth_mm(waste: Waste, paste: Paste) -> Array:
    """Sinks by a power of the yield stress that differs from paste to paste; the cup has a bottom."""
    sink = waste.habits["cone_mm"] * (paste.yield_pa / 1000.0) ** -waste.habits["cone_power"]
    return sink / (1.0 + (sink / CUP_MM) ** 8) ** (1 / 8)


def weeping(waste: Waste, paste: Paste) -> Array:
    """Tendency of the water to run ahead of the grains: pressure against gel and pore size."""
    size = (paste.share * np.array([f.grain_um for f in waste.fillers])).sum(axis=1)
    press = paste.yield_pa / (paste.gel_pa + 15.0) * (size / 150.0) ** 1.2
    return press / waste.habits["weep_at"]


def cannot_push(waste: Waste, paste: Paste, force_n: Array) -> Array:
    """Why this printer never lays a bead of it, in words; empty where it does."""
    crumbles = (paste.yield_pa > 15000) | (paste.free < 0.015)
    jams = weeping(waste, paste) > 3.0
    return np.select([crumbles, jams, force_n > waste.force_limit_n], ["would not extrude", "clogged", "stalled"], "")


def ram_force_n(waste: Waste, paste: Paste) -> Array:
    """Entry, wall slip on a gel film, seal; a weeping paste jams progressively."""
    stiff = 0.062 * paste.yield_pa**1.04 * (2.0 / waste.nozzle_mm) ** 0.7
    film = waste.habits["film"] * paste.gel_pa**0.6
    jam = 1.0 + np.minimum(weeping(waste, paste), 20.0) ** 1.6 * 0.5
    return np.minimum(waste.habits["seal_n"] + (stiff + film) * jam, 5000.0)


def springback_percent(waste: Waste, paste: Paste) -> Array:
    """A springy skeleton is damped by gel; a stringy gel springs by itself: a valley between."""
    fibrous = (paste.share * np.array([f.fibre for f in waste.fillers])).sum(axis=1)
    damp = 1.0 + (paste.gel_pa / 45.0) ** 0.9
    skeleton = 22.0 * (0.12 + fibrous) * paste.phi**1.5 / damp
    gel = (paste.doses**1.6 * np.array([g.stringy for g in waste.gums])).sum(axis=1)
    return 0.3 + skeleton + gel


def density_g_per_ml(paste: Paste) -> Array:
    """Stiff pastes keep more air."""
    air = 0.006 + 0.05 * paste.yield_pa / (paste.yield_pa + 2500.0)
    return (1.0 - air) / paste.volume


def layers_stood(waste: Waste, paste: Paste) -> Array:
    """Crushing of the foot and folding of the wall in interaction, then dry layers that do not join."""
    stress_per_mm = 9.81 * density_g_per_ml(paste)  # Pa
    crush = 1.55 * paste.yield_pa / stress_per_mm
    modulus = waste.habits["stiffness"] * paste.yield_pa**0.92
    fold = 1.9 * (modulus * waste.habits["wall_mm"] ** 2 / stress_per_mm) ** 0.36 / 3.0
    tall = (crush**-3 + fold**-3) ** (-1 / 3)
    join = 1.0 / (1.0 + (0.16 * paste.phi / np.maximum(1.0 - paste.phi, 1e-3) / waste.habits["join"]) ** 3)
    return np.minimum(np.floor(tall * join / LAYER_MM), waste.cap_layers).astype(float)


def shrinkage_percent(waste: Waste, paste: Paste) -> Array:
    """Grains close up until the skeleton locks; soaked cell walls go on shrinking, unless minerals lock first."""
    minerals = (paste.share * np.array([f.mineral for f in waste.fillers])).sum(axis=1)
    gum_hold = 1.0 - 0.10 * paste.doses.sum(axis=1) / (1.0 + paste.doses.sum(axis=1))
    fibrous = (paste.share * np.array([f.fibre for f in waste.fillers])).sum(axis=1)
    lock = (0.86 + 0.10 * minerals + 0.85 * fibrous**0.7) * paste.packs * gum_hold
    close = 0.02 * np.logaddexp(0.0, (1.0 - paste.phi / lock) / 0.02)
    inside = paste.drunk / (paste.drunk + paste.dry.sum(axis=1))
    locked = 1.0 / (1.0 + (minerals * paste.phi / 0.22) ** 4)
    volume = np.clip(waste.habits["closes"] * close + waste.habits["collapse"] * inside * locked, 0.0, 0.8)
    return 100.0 * (1.0 - (1.0 - volume) ** (1 / 3))


def crack_grade(waste: Waste, paste: Paste, shrink: Array) -> Array:
    """Strain against what fibres bridge and gum stretches; brittle below, 5 is broken. Not rounded."""
    fibrous = (paste.share * np.array([f.fibre for f in waste.fillers])).sum(axis=1)
    glue = paste.doses.sum(axis=1)
    bridge = 2.2 + 8.0 * fibrous + 1.6 * glue / (glue + 1.0)
    over = shrink / (bridge * waste.habits["bridge"])
    return 5.0 * over**3.2 / (1.0 + over**3.2)


def strength_mpa(waste: Waste, paste: Paste, shrink: Array, crack: Array) -> Array:
    """Glue saturates, pores weaken exponentially, cracks cut."""
    solid = paste.dry.sum(axis=1) / np.mean([f.density for f in waste.fillers])
    shrunk = paste.volume * (1.0 - shrink / 100.0) ** 3
    pores = np.clip(1.0 - solid / shrunk, 0.05, 0.97)
    glue = (np.array([g.glue for g in waste.gums]) * paste.doses / (paste.doses + 1.0)).sum(axis=1)
    clings = (paste.share * np.array([f.clings for f in waste.fillers])).sum(axis=1)
    return waste.habits["strong"] * (clings + 2.0 * glue) * np.exp(-2.6 * (pores - 0.4)) * (1.0 - 0.13 * crack)


def slump_mm(waste: Waste, paste: Paste) -> Array:
    """Nothing below a load set by weight, then a rounded rise to a flat cake (50 mm cylinder)."""
    load = 9.81 * density_g_per_ml(paste) * 50.0
    ratio = paste.yield_pa / (waste.habits["slump"] * load)
    return 46.0 * np.clip(1.0 - ratio**0.8, 0.0, 1.0) ** 1.3
