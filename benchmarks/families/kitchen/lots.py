"""The next lot of a known waste, and another material of its kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .draw import FILLERS, Rng, asked_bench, bounds_of
from .materials import Filler, Gum, Waste
from .windows import MOST_DRAWS, in_share, with_brief

LOT_LOG = {"moisture": 0.35, "drinks": 0.12, "grain_um": 0.15, "clings": 0.2, "fibre": 0.1}
PACKS_SD, LIMITED = 0.012, {"moisture": 0.25, "fibre": 0.95}
OWN = 0.5
"""How far the habits of a relative go from those of the first material towards some other one's, on a log scale."""
KIN_OF_BENCH = ("seal_n", "cone_mm", "cone_power", "wall_mm", "slump")
"""Habits that are the bench's and not the material's."""


def _next_lot(filler: Filler, rng: Rng, times: float) -> Filler:
    """The same waste collected, dried and ground another day."""
    moved = {
        name: min(getattr(filler, name) * float(np.exp(rng.normal(0.0, sd * times))), LIMITED.get(name, 1e9))
        for name, sd in LOT_LOG.items()
    }
    packs = float(np.clip(filler.packs + rng.normal(0.0, PACKS_SD * times), 0.4, 0.75))
    return replace(filler, packs=packs, **moved)


def another_lot(waste: Waste, seed: int) -> Waste:
    """The same recipe book and brief with new lots of the fillers, weighed, dripped and sieved on arrival."""
    for attempt in range(3 * MOST_DRAWS):
        rng = np.random.default_rng([seed, waste.number, attempt, 23])
        times = 1.0 if attempt < MOST_DRAWS else 0.6
        moved = replace(waste, fillers=tuple(_next_lot(f, rng, times) for f in waste.fillers))
        if in_share(moved):
            break
    told = {f.key: round(max(0.001, f.moisture + float(rng.normal(0.0, 0.004))), 3) for f in moved.fillers}
    return asked_bench(replace(moved, told_moisture={**waste.told_moisture, **told}), rng, 1.0)


def _same_shelf(gum: Gum, rng: Rng) -> Gum:
    return replace(gum, stiffens_pa=gum.stiffens_pa * float(np.exp(rng.normal(0.0, 0.08))))


def kin(waste: Waste, seed: int) -> Waste:
    """Another material of the kind: drawn as the first was, on the same bench, gums off the same shelf."""
    for attempt in range(MOST_DRAWS):
        rng = np.random.default_rng([seed, waste.number, attempt, 29])
        fillers = tuple(
            replace(FILLERS[part](rng), kitchen_name=f.kitchen_name)
            for part, f in zip(waste.kind.split("+"), waste.fillers, strict=True)
        )
        habits = {k: _between(k, v, rng) for k, v in waste.habits.items()}
        moved = replace(waste, fillers=fillers, gums=tuple(_same_shelf(g, rng) for g in waste.gums), habits=habits)
        told = {f.key: round(max(0.001, f.moisture + float(rng.normal(0.0, 0.006))), 3) for f in fillers}
        moved = replace(moved, told_moisture={**waste.told_moisture, **told}, bounds=bounds_of(rng, moved), brief={})
        bounded = with_brief(asked_bench(moved, rng, 0.7), seed * 1000 + attempt)
        if in_share(bounded):
            break
    return bounded


def _between(name: str, value: float, rng: Rng) -> float:
    """A habit of the relative; what belongs to the bench stays as it is."""
    return value if name in KIN_OF_BENCH else value * float(np.exp(OWN * rng.normal(0.0, 0.35)))
