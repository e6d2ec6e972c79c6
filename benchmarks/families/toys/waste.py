"""One made-up waste and its noise-free truth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .laws import LAWS, Array, Powders, Readings

Window = tuple[float | None, float | None]
PUDDLES_MM = 32.0
SHARE = (0.003, 0.03)


@dataclass(frozen=True, kw_only=True)
class Waste:
    """habits: of the law, and `cracks` (factor of the grade) and `whole` (1 where grades are whole)."""

    number: int
    kind: str
    names: tuple[str, ...]
    kitchen: Mapping[str, str]
    roles: Mapping[str, str]
    powders: Powders
    habits: Mapping[str, float]
    bounds: Mapping[str, tuple[float, float]]
    brief: Mapping[str, Window] = field(default_factory=dict)
    told_moisture: Mapping[str, float | None] = field(default_factory=dict)
    told_demand: Mapping[str, float | None] = field(default_factory=dict)
    told_grain_um: Mapping[str, float | None] = field(default_factory=dict)
    force_limit_n: float = math.inf
    nozzle_mm: float = 2.0
    cap_layers: int = 60
    object_layers: int = 60

    def limits(self) -> tuple[Array, Array]:
        pairs = np.array([self.bounds[n] for n in self.names])
        return pairs[:, 0], pairs[:, 1]


def truth(waste: Waste, recipes: Array) -> Readings:
    """Readings at 60 minutes; what the ram cannot push, or what runs flat, stands no layer."""
    found = LAWS[waste.kind][1](waste.powders, waste.habits, np.atleast_2d(recipes))
    grade = np.clip(found["crack_grade"] * waste.habits.get("cracks", 1.0), 0, 5)
    grade = np.round(grade) if waste.habits.get("whole", 0.0) else grade
    prints = (found["ram_force_n"] <= waste.force_limit_n) & (found["cone_depth_mm"] <= PUDDLES_MM)
    return {**found, "crack_grade": grade, "layers_stood": np.where(prints, found["layers_stood"], 0.0)}


def meets(waste: Waste, recipes: Array) -> NDArray[np.bool_]:
    found = truth(waste, recipes)
    fine = np.ones(len(next(iter(found.values()))), dtype=bool)
    for name, (low, high) in waste.brief.items():
        fine &= found[name] >= (-math.inf if low is None else low)
        fine &= found[name] <= (math.inf if high is None else high)
    return fine


def within(low: Array, high: Array, count: int, rng: np.random.Generator) -> Array:
    """Rows within bounds, the widest part taking up the rest."""
    free = int(np.argmax(high - low))
    rows = np.zeros((0, len(low)))
    while len(rows) < count:
        tried = low + (high - low) * rng.random((4 * count, len(low)))
        tried[:, free] = 1 - np.delete(tried, free, axis=1).sum(1)
        keep = (tried[:, free] >= low[free]) & (tried[:, free] <= high[free])
        rows = np.concatenate([rows, tried[keep]])
    return rows[:count]


def feasible_share(waste: Waste, count: int = 20000) -> float:
    return float(meets(waste, within(*waste.limits(), count, np.random.default_rng([waste.number, 9]))).mean())


def in_share(waste: Waste) -> bool:
    return SHARE[0] <= feasible_share(waste) <= SHARE[1]
