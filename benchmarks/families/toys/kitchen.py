"""One batch of a made-up waste on a kitchen bench: words, readings with noise, some never taken."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from .laws import Array
from .waste import PUDDLES_MM, Waste, truth

Rng = np.random.Generator
WEIGHED, DAY_LOG = 0.004, 0.06
TAKEN, SELDOM, STRENGTH_TAKEN = 0.87, 0.35, 0.6
NEXT_DAYS = 3 * 24 * 60.0


@dataclass(frozen=True, kw_only=True)
class Mixed:
    """readings: name -> (value, minutes since first water)."""

    fractions: Mapping[str, float]
    outcome: str
    readings: Mapping[str, tuple[float, float]]
    reached_cap: bool


def mix(waste: Waste, recipe: Array, rng: Rng) -> Mixed:
    """`recipe` in the order of waste.names."""
    weighed = np.array(recipe, dtype=float) * np.exp(rng.normal(0.0, WEIGHED, len(recipe)))
    true = {k: float(v[0]) for k, v in truth(waste, weighed[None, :] / weighed.sum()).items()}
    day = math.exp(rng.normal(0.0, DAY_LOG))
    outcome, read = _ended(waste, true, day, rng)
    kept = {name: value for name, value in read.items() if rng.random() < _taken(waste, name)}
    told = {k: round(float(v), 4) for k, v in zip(waste.names, recipe, strict=True)}
    cap = kept.get("layers_stood", (0.0, 0.0))[0] >= waste.cap_layers
    return Mixed(fractions=told, outcome=outcome, readings=kept, reached_cap=cap)


def _taken(waste: Waste, name: str) -> float:
    if name == "strength_mpa":
        return STRENGTH_TAKEN if name in waste.brief else SELDOM
    return TAKEN if name in waste.brief else SELDOM


def _ended(waste: Waste, true: Mapping[str, float], day: float, rng: Rng) -> tuple[str, dict[str, tuple[float, float]]]:
    """The words, and every reading such a batch can give."""
    cone = float(np.clip(true["cone_depth_mm"] * day**-0.5 * math.exp(rng.normal(0, 0.05)), 1.5, 40))
    read = {"cone_depth_mm": (round(cone, 1), 60.0)}
    force = true["ram_force_n"] * day * math.exp(rng.normal(0, 0.08))
    if force > waste.force_limit_n:
        return "stalled", read
    read["ram_force_n"] = (round(force, 1), 60.0)
    spring = true["springback_percent"] * math.exp(rng.normal(0, 0.16))
    read["springback_percent"] = (round(spring, 2), 60.0)
    if cone > PUDDLES_MM:
        return "puddled", read
    layers = int(min(true["layers_stood"] * day**0.8 * math.exp(rng.normal(0, 0.07)), waste.cap_layers))
    read["layers_stood"] = (float(layers), 75.0)
    shrink = true["shrinkage_percent"] * math.exp(rng.normal(0, 0.04)) + rng.normal(0, 0.15)
    read["shrinkage_percent"] = (round(max(0.0, shrink), 1), NEXT_DAYS)
    grade = int(np.clip(round(true["crack_grade"] + rng.normal(0, 0.35)), 0, 5))
    read["crack_grade"] = (float(grade), NEXT_DAYS)
    read["strength_mpa"] = (round(true["strength_mpa"] * math.exp(rng.normal(0, 0.15)), 2), NEXT_DAYS)
    words = "good" if layers >= waste.cap_layers else f"fell at layer {layers + 1}"
    return words + (" but cracked" if grade >= 2 and words == "good" else ""), read
