"""The next lot of a known waste, and another material of its kind."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from .draw import MENU, MOST_DRAWS, Rng, bounds_of, powders_of, told, usual_cracks, with_brief
from .laws import LAWS
from .waste import Waste, in_share

LOT_DEMAND_LOG, LOT_MOISTURE_LOG, LOT_HABIT_LOG = 0.12, 0.35, 0.05
KEPT_HABITS = ("cracks", "whole", "turn", "packing")
OWN = 0.5
"""How far the habits of a relative lie from the first one's towards a fresh draw of the law, on a log scale."""


def another_lot(waste: Waste, seed: int) -> Waste:
    """The same recipe book and brief with new lots of the fillers, weighed and dripped on arrival."""
    for attempt in range(3 * MOST_DRAWS):
        rng = np.random.default_rng([seed, waste.number, attempt, 73])
        moved = _moved(waste, rng, 1.0 if attempt < MOST_DRAWS else 0.6)
        if in_share(moved):
            break
    return told(moved, rng, 1.0)


def _moved(waste: Waste, rng: Rng, times: float) -> Waste:
    has, n = waste.powders, len(waste.powders.demand)
    moist = has.moist.copy()
    moist[:n] = np.minimum(moist[:n] * np.exp(rng.normal(0.0, LOT_MOISTURE_LOG * times, n)), 0.25)
    demand = has.demand * np.exp(rng.normal(0.0, LOT_DEMAND_LOG * times, n))
    habits = {
        k: v if k in KEPT_HABITS else v * math.exp(rng.normal(0.0, LOT_HABIT_LOG * times))
        for k, v in waste.habits.items()
    }
    return replace(waste, powders=replace(has, demand=demand, moist=moist), habits=habits)


def kin(waste: Waste, seed: int) -> Waste:
    """Another material of the kind: same names, its own powders, habits, bounds and brief."""
    for attempt in range(MOST_DRAWS):
        rng = np.random.default_rng([seed, waste.number, attempt, 79])
        n = len(waste.powders.demand)
        menu = {str(entry[0]): entry for entry in MENU}
        fillers = [menu[waste.kitchen[key]] for key in waste.names[:n]]
        powders = powders_of(fillers, len(waste.names) - 1 - n, rng)
        fresh = LAWS[waste.kind][0](rng)
        habits = {k: waste.habits[k] * (v / waste.habits[k]) ** OWN for k, v in fresh.items()}
        bare = replace(waste, powders=powders, habits=habits, brief={}, force_limit_n=math.inf)
        bare = replace(bare, bounds=bounds_of(powders.demand, waste.names, rng))
        found = told(with_brief(usual_cracks(bare, rng), rng), rng, 0.7)
        if in_share(found):
            break
    return found
