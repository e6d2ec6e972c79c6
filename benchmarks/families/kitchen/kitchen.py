"""One batch in a kitchen: weighed with error, read with noise, some readings never taken, ended in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from .materials import Waste
from .paste import Array, paste_of
from .readings import CUP_MM, cannot_push, layers_stood, truth

# absolute and relative scatter of one reading
NOISE = {
    "cone_depth_mm": (0.5, 0.03), "ram_force_n": (4.0, 0.10), "springback_percent": (0.1, 0.15),
    "layers_stood": (0.7, 0.06), "shrinkage_percent": (0.15, 0.05), "crack_grade": (0.35, 0.0),
    "strength_mpa": (0.05, 0.16), "density_g_per_ml": (0.0, 0.01), "slump_mm": (1.0, 0.03),
}  # fmt: skip
DRY_READINGS = ("shrinkage_percent", "crack_grade", "strength_mpa")
TAKEN = {
    "cone_depth_mm": 0.9, "ram_force_n": 0.6, "springback_percent": 0.5, "layers_stood": 0.9,
    "shrinkage_percent": 0.7, "crack_grade": 0.9, "strength_mpa": 0.5, "density_g_per_ml": 0.3, "slump_mm": 0.3,
}  # fmt: skip
DAY = 24 * 60.0
LEAST_MARK_MM = 2.0  # less than this is no reading of a cone


@dataclass(frozen=True, kw_only=True)
class Mixed:
    """What the notebook line of one batch holds. readings: name -> (value, minutes since first water)."""

    fractions: Mapping[str, float]
    outcome: str
    readings: Mapping[str, tuple[float, float]]
    reached_cap: bool


def mix(waste: Waste, recipe: Array, rng: np.random.Generator) -> Mixed:
    """Weigh, knead, wait, read, print, dry. `recipe` in the order of waste.names."""
    weighed = np.array(recipe, dtype=float) * np.exp(rng.normal(0.0, 0.004, size=len(recipe)))
    weighed[-1] *= 1.0 + rng.normal(0.0, 0.006)  # drips, splashes, what dries on the bowl
    weighed = (weighed / weighed.sum())[None, :]
    read_at = float(rng.choice([45.0, 60.0, 75.0, 90.0]))
    print_at = read_at + float(rng.choice([10.0, 20.0, 30.0]))
    wet, printed = truth(waste, weighed, read_at), truth(waste, weighed, print_at)
    outcome, layers = _ended(waste, weighed, printed, print_at, rng)
    told = {k: (round(float(v), 4)) for k, v in zip(waste.names, recipe, strict=True)}
    readings = _read(waste, {"wet": wet, "printed": printed}, outcome, layers, (read_at, print_at), rng)
    cap = "layers_stood" in readings and readings["layers_stood"][0] >= waste.cap_layers
    return Mixed(fractions=told, outcome=outcome, readings=readings, reached_cap=cap)


def _ended(
    waste: Waste, recipe: Array, now: Mapping[str, Array], minutes: float, rng: np.random.Generator
) -> tuple[str, int]:
    """How it ended in words, and the layers it stood (0 when it never printed)."""
    paste = paste_of(waste, recipe, minutes)
    stood = int(np.clip(np.rint(_noisy("layers_stood", layers_stood(waste, paste)[0], rng)), 0, waste.cap_layers))
    felt_force = now["ram_force_n"] * np.exp(rng.normal(0, 0.05))
    stuck = str(cannot_push(waste, paste, felt_force)[0])
    if stuck:
        return stuck, 0
    if paste.yield_pa[0] < 110:
        return "puddled", 0
    if paste.yield_pa[0] < 230 or stood < 3:
        return "too runny", min(stood, 3)
    if stood < waste.object_layers:
        return f"fell at layer {stood}", stood
    if _noisy("crack_grade", now["crack_grade"][0], rng) >= 1.6:
        return "good but cracked", stood
    return "good", stood


def _noisy(name: str, value: float, rng: np.random.Generator) -> float:
    absolute, share = NOISE[name]
    return float(max(0.0, value * np.exp(rng.normal(0.0, share)) + rng.normal(0.0, absolute)))


def _possible(outcome: str) -> set[str]:
    """Which readings such a batch can give at all."""
    wet = {"cone_depth_mm", "slump_mm", "density_g_per_ml"}
    if outcome == "would not extrude":
        return wet - {"slump_mm"}
    if outcome == "puddled":
        return wet
    if outcome in {"clogged", "stalled"}:
        return wet | {"springback_percent"}
    pushed = wet | {"ram_force_n", "springback_percent", "layers_stood"}
    return pushed if outcome == "too runny" else pushed | set(DRY_READINGS)


def _read(
    waste: Waste, true: Mapping[str, Mapping[str, Array]], outcome: str, layers: int,
    ages: tuple[float, float], rng: np.random.Generator,
) -> dict[str, tuple[float, float]]:  # fmt: skip
    read: dict[str, tuple[float, float]] = {}
    for name, chance in TAKEN.items():
        taken = rng.random() < (0.5 * (1 + chance) if name in waste.brief else chance * 0.6)
        value = _noisy(name, float(true["wet"][name][0]), rng)
        if not taken or name not in _possible(outcome):
            continue
        if name == "layers_stood":
            read[name] = (float(layers), ages[1])
        elif name in DRY_READINGS:
            dried = _noisy(name, float(true["printed"][name][0]), rng)
            read[name] = (_shown(name, dried), DAY * 3)
        elif name != "cone_depth_mm" or LEAST_MARK_MM < value < CUP_MM - 1.0:
            read[name] = (_shown(name, value), ages[0])
    return read


def _shown(name: str, value: float) -> float:
    if name == "crack_grade":
        return float(np.clip(np.rint(value), 0, 5))
    return round(value, 2 if name in {"density_g_per_ml", "strength_mpa"} else 1)
