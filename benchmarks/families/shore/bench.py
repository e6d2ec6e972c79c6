"""One batch in the kitchen: weighing, how it went, what was read and with which error."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from . import wet
from .truth import aged, paste_of, readings
from .waste import Mixed, Waste
from .water import Array

Rng = np.random.Generator
DRIED_MINUTES = 3 * 24 * 60.0
BATCH_G = 300.0
SPREAD = {
    "cone_depth_mm": "cone", "ram_force_n": "force", "springback_percent": "spring", "layers_stood": "layers",
    "shrinkage_percent": "shrink", "strength_mpa": "strength", "density_g_per_ml": "density",
}  # fmt: skip
ROUND = {"cone_depth_mm": 1, "slump_mm": 0, "ram_force_n": 0, "springback_percent": 1, "bleed_g_per_100g": 1,
         "layers_stood": 0, "shrinkage_percent": 1, "crack_grade": 0, "strength_mpa": 2,
         "density_g_per_ml": 2}  # fmt: skip
DRIED = ("shrinkage_percent", "crack_grade", "strength_mpa")
NEVER_PRINTED = ("too runny", "puddled", "stalled", "would not extrude", "clogged")


def weighed(waste: Waste, recipe: Array, rng: Rng) -> Array:
    """What went into the bowl: a share off each ingredient, and a scale of 0.1 g."""
    grams = BATCH_G * np.asarray(recipe, dtype=float)
    there = grams * (1.0 + rng.normal(0.0, waste.bench.weighing, len(grams))) + rng.normal(0.0, 0.04, len(grams))
    there = np.where(grams > 0, np.maximum(there, 0.0), 0.0)
    return there / there.sum()


def _flow(paste: wet.Paste, waste: Waste, said: Mapping[str, float], rng: Rng) -> str:
    """How it left the nozzle; "" when it printed."""
    pa = float(paste.pa[0]) * float(np.exp(rng.normal(0, 0.06)))
    if pa < 90:
        return "too runny"
    push = said["ram_force_n"] * float(np.exp(rng.normal(0, 0.05))) / waste.force_limit_n
    if push > 2.5:
        return "would not extrude"
    if push > 1.0:
        return "stalled"
    length = float(paste.packed.grain[0]) * 1e-3 * np.sqrt(float(paste.packed.aspect[0]))
    thirsty = 0.15 if said["bleed_g_per_100g"] > 3 else 0.0
    if rng.random() < 0.01 + thirsty + 0.6 / (1 + np.exp(-(length / waste.nozzle_mm - 0.36) / 0.03)):
        return "clogged"
    return "puddled" if pa < 160 else ""


def _stood(paste: wet.Paste, waste: Waste, said: Mapping[str, float], height: float) -> str:
    """How a printed batch ended."""
    if height < waste.object_layers:
        fold, bulge = wet.fold_and_bulge_mm(paste, waste)
        way = float(fold[0] / bulge[0])
        end = ", folded" if way < 0.85 else ", foot bulged" if way > 1.15 else ", leaned"
        return f"fell at layer {max(1, round(height) + 1)}{end}"
    if said["springback_percent"] > 13:
        return "kept oozing"
    if float(paste.gum_pa[0] / paste.pa[0]) < 0.03 and float(paste.pa[0]) > 2500:
        return "tore"
    if said["crack_grade"] > 2.4:
        return "good but cracked"
    return "printed well" if said["crack_grade"] < 1 else "good"


def _read(name: str, value: float, waste: Waste, rng: Rng) -> float:
    """One reading off the instrument."""
    if name == "crack_grade":
        return float(np.clip(round(value + rng.normal(0, waste.bench.grade)), 0, 5))
    if name == "slump_mm":
        return float(max(0, round(value + rng.normal(0, 1.0))))
    size = getattr(waste.bench, SPREAD[name]) if name in SPREAD else 0.15
    read = value * float(np.exp(rng.normal(0, size)))
    if name == "shrinkage_percent":
        read += float(rng.normal(0, 0.15))
    return round(max(read, 0.0), ROUND[name])


def _taken(name: str, asked: bool, rng: Rng) -> bool:
    """Whether someone found the time."""
    chance = float(rng.uniform(0.75, 0.95)) if asked else float(rng.uniform(0.2, 0.5))
    return bool(rng.random() < (0.75 * chance if name == "strength_mpa" else chance))


def _possible(outcome: str) -> set[str]:
    """Readings that such a batch can give."""
    if outcome in ("stalled", "would not extrude", "clogged"):
        return {"cone_depth_mm", "bleed_g_per_100g", "density_g_per_ml", "springback_percent"}
    if outcome == "too runny":
        return {"cone_depth_mm", "slump_mm", "bleed_g_per_100g", "density_g_per_ml"}
    if outcome == "puddled":
        return {"cone_depth_mm", "slump_mm", "bleed_g_per_100g", "density_g_per_ml", "ram_force_n",
                "springback_percent"}  # fmt: skip
    return set(ROUND)


def _layers(waste: Waste, true: float, rng: Rng) -> tuple[float, bool]:
    """Layers counted, and whether all that were tried stood."""
    counted = round(true * float(np.exp(rng.normal(0, waste.bench.layers))))
    return float(min(max(counted, 0), waste.cap_layers)), counted >= waste.cap_layers


def mix(waste: Waste, recipe: Array, rng: Rng) -> Mixed:
    """One kitchen batch of a recipe (parts,)."""
    made = weighed(waste, recipe, rng)
    paste = paste_of(waste.parts, waste.temper, made)
    minutes = float(np.clip(round(rng.normal(60, 4)), 48, 75))
    then = aged(paste, waste.temper, minutes)
    uncapped = replace(waste, cap_layers=10_000)
    said = {name: float(values[0]) for name, values in readings(then, uncapped).items()}
    counted, all_stood = _layers(waste, said["layers_stood"], rng)
    stopped = _flow(then, waste, said, rng)
    outcome = stopped or _stood(then, waste, said, counted)
    got: dict[str, tuple[float, float]] = {}
    for name in sorted(_possible(outcome) & set(said)):
        if _taken(name, name in waste.brief, rng):
            value = counted if name == "layers_stood" else _read(name, said[name], waste, rng)
            got[name] = (value, DRIED_MINUTES if name in DRIED else minutes)
    written = {name: round(float(part), 4) for name, part in zip(waste.names, recipe, strict=True)}
    return Mixed(fractions=written, outcome=outcome, readings=got,
                 reached_cap=all_stood and "layers_stood" in got)  # fmt: skip
