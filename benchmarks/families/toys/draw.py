"""Draws a waste of one law: powders, habits, bounds, and a brief around one recipe of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from .laws import LAWS, Array, Powders
from .waste import Waste, Window, in_share, meets, truth, within

MENU = (
    ("mussel shell", 0.34, 2700, 0.03),
    ("oyster shell", 0.38, 2650, 0.03),
    ("spent grain", 2.7, 1370, 0.06),
    ("coffee grounds", 1.6, 1300, 0.08),
    ("olive stone", 0.8, 1350, 0.07),
    ("wood dust", 2.5, 1500, 0.08),
)
GUM_MOISTURE = (0.1, 0.12, 0.09)
LAW_NAMES = tuple(LAWS)
MOST_DRAWS = 20
SHARES = (0.004, 0.025)
KITCHEN = {"guar": "guar gum", "alginate": "sodium alginate", "psyllium": "psyllium", "water": "water"}
ROLES = {"guar": "thickener", "alginate": "binder", "psyllium": "thickener", "water": "liquid"}
Rng = np.random.Generator


def draw(number: int, seed: int) -> Waste:
    """Laws by turns; drawn again where the share of recipes that meet the brief is not as asked."""
    law = LAW_NAMES[number % len(LAW_NAMES)]
    for attempt in range(MOST_DRAWS):
        rng = np.random.default_rng([seed, number, attempt, 71])
        made = told(replace(brewed(law, rng), number=number), rng, 0.5)
        if in_share(made):
            break
    return made


def brewed(law: str, rng: Rng) -> Waste:
    """Waste 0 of this law with bounds and brief; nothing of its powders is told."""
    picks = rng.choice(len(MENU), size=int(rng.integers(1, 3)), replace=False)
    fillers = [MENU[i] for i in picks]
    kitchen = {f"f{i}": str(name) for i, (name, *_) in enumerate(fillers)}
    gums = ["guar", "alginate", *(["psyllium"] if rng.random() < 0.4 else [])]
    powders = powders_of(fillers, len(gums), rng)
    names = (*kitchen, *gums, "water")
    bounds = bounds_of(powders.demand, names, rng)
    habits = LAWS[law][0](rng)
    roles = {**dict.fromkeys(kitchen, "filler"), **{k: ROLES[k] for k in (*gums, "water")}}
    kitchen |= {k: KITCHEN[k] for k in (*gums, "water")}
    bare = Waste(
        number=0, kind=law, names=names, kitchen=kitchen, roles=roles, powders=powders, habits=habits, bounds=bounds
    )
    return with_brief(usual_cracks(bare, rng), rng)


def powders_of(fillers: list[tuple[str, float, int, float]], gums: int, rng: Rng) -> Powders:
    demand = np.array([f[1] for f in fillers]) * np.exp(rng.normal(0, 0.15, len(fillers)))
    moist = np.array([*(f[3] * rng.uniform(0.5, 1.7) for f in fillers), *GUM_MOISTURE[:gums]])
    return Powders(demand=demand, density=np.array([float(f[2]) for f in fillers]), moist=moist)


def bounds_of(demand: Array, names: tuple[str, ...], rng: Rng) -> dict[str, tuple[float, float]]:
    n, gums = len(demand), len(names) - 1 - len(demand)
    blend = rng.dirichlet(np.ones(n) * 2)
    dry = 1 / (1 + float(blend @ demand) * rng.uniform(1.1, 1.5))
    low = [*(0.4 * dry * blend), *([0.0005] * gums), 0.6 * (1 - dry)]
    gum = (1 - dry) * np.array([0.03, 0.08, 0.06])[:gums]
    high = [*(np.minimum(1.6 * dry * blend, 0.97)), *gum, min(0.95, 1.4 * (1 - dry))]
    return {k: (float(a), float(b)) for k, a, b in zip(names, low, high, strict=True)}


def usual_cracks(waste: Waste, rng: Rng) -> Waste:
    """The same waste, its cracks scaled to a middle grade of 1.2 to 2.5, graded in whole steps or not."""
    grade = truth(waste, within(*waste.limits(), 600, rng))["crack_grade"]
    cracks = rng.uniform(1.2, 2.5) / max(float(np.median(grade)), 0.1)
    return replace(waste, habits={**waste.habits, "cracks": cracks, "whole": float(rng.random() < 0.5)})


def with_brief(waste: Waste, rng: Rng) -> Waste:
    """A brief that some share (SHARES) of the bounded mixtures meets, around a recipe that prints if there is one."""
    rows = within(*waste.limits(), 4000, rng)
    found = truth(waste, rows)
    shape = (found["cone_depth_mm"] > 10) & (found["cone_depth_mm"] < 19) & (found["layers_stood"] > 15)
    good = np.flatnonzero(shape & (found["crack_grade"] < 2.5))
    centre = int(rng.choice(good)) if len(good) else int(rng.integers(len(rows)))
    names = ["cone_depth_mm", "layers_stood", "crack_grade", "shrinkage_percent"]
    names += [str(n) for n in rng.choice(["ram_force_n", "strength_mpa", "springback_percent"], size=2, replace=False)]
    at = {name: float(found[name][centre]) for name in found}
    asked = replace(waste, force_limit_n=1.6 * at["ram_force_n"])
    wide, aim = 0.5, math.exp(rng.uniform(*np.log(SHARES)))
    for _ in range(40):
        asked = replace(asked, brief={name: _window(name, at[name], wide) for name in names})
        share = float(meets(asked, rows).mean())
        if 0.85 <= share / aim <= 1.15:
            break
        wide = min(wide * (0.9 if share > aim else 1.06), 1.2)
    return asked


def _window(name: str, value: float, wide: float) -> Window:
    if name == "cone_depth_mm":
        return round(max(1.6, value * math.exp(-0.35 * wide)), 2), round(min(39, value * math.exp(0.35 * wide)), 2)
    if name in ("layers_stood", "strength_mpa"):
        return round(value * math.exp(-0.5 * wide), 2), None
    if name == "crack_grade":
        return None, float(np.clip(math.ceil(value), 1, 4))
    return None, round(value * math.exp(0.5 * wide), 2)


def told(waste: Waste, rng: Rng, share: float) -> Waste:
    """What the kitchen weighed and dripped, with error; nobody tests a gum and nobody here has a sieve."""
    nothing: Mapping[str, float | None] = dict.fromkeys(waste.names[:-1])
    moisture, demand = dict(nothing), dict(nothing)
    for i, water in enumerate(waste.powders.demand):
        weighed, dripped = rng.random(2) < share
        off = rng.normal(0.0, [0.005, 0.06])
        moisture[f"f{i}"] = round(max(0.001, float(waste.powders.moist[i] + off[0])), 3) if weighed else None
        demand[f"f{i}"] = round(float(water) * math.exp(off[1]), 2) if dripped else None
    return replace(waste, told_moisture=moisture, told_demand=demand, told_grain_um=nothing)
