"""Three laws from dry parts and water to readings. Each draws its habits, then reads recipes by them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Readings = dict[str, Array]
Habits = Mapping[str, float]
Rng = np.random.Generator


@dataclass(frozen=True, kw_only=True)
class Powders:
    """What nobody in the kitchen knows exactly: g water drunk per g dry, kg/m3, and moisture of every part."""

    demand: Array
    density: Array
    moist: Array

    def parts(self, rows: Array) -> tuple[Array, Array, Array, Array, Array]:
        """Dry fillers, guar, alginate, psyllium (0 where there is none) and all water, per g of paste."""
        n = len(self.demand)
        dry = rows[:, :-1] * (1 - self.moist)
        water = rows[:, -1] + rows[:, :-1] @ self.moist
        psyllium = rows[:, n + 2] * 0.91 if rows.shape[1] > n + 3 else np.zeros(len(rows))
        return dry[:, :n], dry[:, n], dry[:, n + 1], psyllium, water


def jams_habits(rng: Rng) -> dict[str, float]:
    return {
        "packing": rng.uniform(0.8, 0.95), "power": rng.uniform(1.3, 2.2),
        "gum_k": rng.uniform(0.35, 0.8), "bind_k": rng.uniform(0.06, 0.2),
        "scale": math.exp(rng.normal(math.log(55), 0.5)),
        "elastic": rng.uniform(0.5, 0.9), "wall": math.exp(rng.normal(0, 0.3)), "s0": rng.uniform(0.8, 1.25),
    }  # fmt: skip


def jams(has: Powders, own: Habits, rows: Array) -> Readings:
    fill, guar, alg, psyllium, water = has.parts(rows)
    packing, demand = min(own["packing"], 0.97), has.demand
    swollen = (fill * (0.75 * demand / 998 + 1 / has.density)).sum(1)
    phi = np.minimum(swollen / (swollen + np.maximum(water - 0.75 * fill @ demand, 0.004) / 998), packing - 0.002)
    gum, bind = 100 * (guar + 0.4 * psyllium) / water, 100 * alg / water
    tau = (
        own["scale"] * (1 - phi / packing) ** -own["power"] * (1 + own["gum_k"] * gum**1.5 + own["bind_k"] * bind**1.2)
    )
    thirst = fill @ demand / fill.sum(1)
    shrink = own["s0"] * 100 * 0.11 * (water / (water + 0.6 * fill.sum(1))) ** 1.6 * thirst**0.45 * (1 + 0.03 * bind)
    strong = 0.5 * (1 + bind) ** 0.9 * (phi / packing) ** 1.5 * (1 + 0.2 * gum)
    fold = own["wall"] * 0.05 * (tau / 1000) ** (own["elastic"] / 2)
    stand = np.minimum(1.73 * tau / (1550 * 9.81) / 1.3, fold) / 0.0012
    crack = np.maximum(0.55 * shrink / (strong + 0.4) ** 0.35 - 0.4, 0)
    spring = 2.5 * (0.2 + 0.5 * psyllium / water * 30) * (tau / 1000) ** -0.2 / (1 + 0.4 * gum)
    force = 0.135 * tau * (1 + 0.5 / (0.3 + gum))
    return _readings(tau, force, stand, shrink, crack, strong, spring)


def adds_habits(rng: Rng) -> dict[str, float]:
    return {
        "a": math.exp(rng.normal(math.log(60), 0.4)), "b": math.exp(rng.normal(math.log(500), 0.5)),
        "steep": rng.uniform(3.5, 8), "q": rng.uniform(1.6, 2.6), "spread": rng.uniform(0.6, 1.6),
    }  # fmt: skip


def adds(has: Powders, own: Habits, rows: Array) -> Readings:
    fill, guar, alg, psyllium, water = has.parts(rows)
    dry = rows[:, :-1].sum(1) - rows[:, :-1] @ has.moist
    thirst = fill @ has.demand / dry
    lean = water / dry / thirst
    gum, bind = 100 * guar / water, 100 * alg / water
    network = own["a"] * (gum + 0.35 * bind + 0.3 * 100 * psyllium / water) ** own["q"]
    grains = own["b"] * np.exp(-own["steep"] * (lean - 1.35))
    tau = network + grains + 0.5 * np.sqrt(network * grains)
    share = network / (network + grains)
    shrink = np.maximum(3.2 * thirst**0.7 * (1 + own["spread"] * (lean - 1.2)) * (1 + 0.5 * share), 0.3)
    strong = 0.8 + 1.2 * bind**0.8 / (1 + 0.05 * bind) * np.exp(-0.4 * (lean - 1.3))
    stand = 70 * (tau / 1000) ** 0.8 * np.exp(-0.6 * share)
    crack = np.maximum(0.35 * shrink + 0.8 * (lean - 1.2) - 0.25 * strong + 0.4, 0)
    spring = 0.4 + 3 * share * (1 + 10 * psyllium / water) / (1 + 0.5 * gum)
    force = 0.12 * tau ** (1.05) * np.exp(0.5 * (1 - share))
    return _readings(tau, force, stand, shrink, crack, strong, spring)


def switches_habits(rng: Rng) -> dict[str, float]:
    return {
        "turn": rng.uniform(1.15, 1.5), "low_slope": rng.uniform(2, 5), "high_slope": rng.uniform(6, 12),
        "level": math.exp(rng.normal(math.log(900), 0.5)), "g": rng.uniform(0.15, 0.5),
    }  # fmt: skip


def switches(has: Powders, own: Habits, rows: Array) -> Readings:
    fill, guar, alg, psyllium, water = has.parts(rows)
    thirst = fill @ has.demand / fill.sum(1)
    lean = water / fill.sum(1) / thirst
    gum, bind = 100 * (guar + 0.35 * psyllium) / water, 100 * alg / water
    away = lean - own["turn"]
    bent = -own["low_slope"] * np.minimum(away, 0) - own["high_slope"] * np.maximum(away, 0)
    tau = np.clip(own["level"] * np.exp(bent) * (0.4 + own["g"] * gum + 0.08 * bind), 1, 1e5)
    shrink = np.maximum(np.where(away > 0, 2.2 + 7 * away, 2.2 + 2 * away) * thirst**0.6 + 0.1 * bind, 0.2)
    strong = 6 * bind / (3 + bind) + 0.8 * gum / (1 + gum)
    stand = 45 * np.tanh(tau / 1300) * (1 + 0.15 * gum)
    crack = np.maximum(shrink / (1.2 + 0.5 * strong) - 0.3, 0)
    spring = 2.2 * np.exp(-0.35 * gum) * (1 + 20 * psyllium / water)
    force = 0.14 * tau * (1 + np.maximum(-away, 0))
    return _readings(tau, force, stand, shrink, crack, strong, spring)


Law = tuple[Callable[[Rng], dict[str, float]], Callable[[Powders, Habits, Array], Readings]]
LAWS: dict[str, Law] = {
    "jams": (jams_habits, jams),
    "adds": (adds_habits, adds),
    "switches": (switches_habits, switches),
}


def _readings(*values: Array) -> Readings:
    tau, force, stand, shrink, crack, strong, spring = values
    return {
        "cone_depth_mm": np.clip(1000 * np.sqrt(0.95 * 0.03 * 9.81 / tau), 1.5, 40),
        "ram_force_n": np.clip(force, 0.5, 2e4),
        "layers_stood": np.clip(stand, 0, 500),
        "shrinkage_percent": np.clip(shrink, 0.1, 60),
        "crack_grade": crack,
        "strength_mpa": np.clip(strong, 0.02, 200),
        "springback_percent": np.clip(spring, 0.05, 50),
    }
