"""The brief of each made-up waste: windows on the truth, tightened until few recipes pass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from .draw import draw_waste
from .materials import Waste, Window
from .paste import Array
from .readings import truth

HOW_MANY = 20
SHARE = (0.003, 0.03)
SAMPLES = 12000
MOST_DRAWS, FURTHER = 20, 100_003
ROUND_TO = {
    "cone_depth_mm": 1.0, "ram_force_n": 10.0, "springback_percent": 0.1, "layers_stood": 1.0,
    "shrinkage_percent": 0.1, "crack_grade": 1.0, "strength_mpa": 0.1, "slump_mm": 1.0,
}  # fmt: skip
LEAST_ASKED = {"shrinkage_percent": 1.0, "springback_percent": 0.8}  # nobody asks for less


def random_recipes(waste: Waste, rng: np.random.Generator, count: int) -> Array:
    """Uniform over the recipes inside the bounds that sum to one (water is what is left)."""
    names = waste.names
    low = np.array([waste.bounds[n][0] for n in names])
    high = np.array([waste.bounds[n][1] for n in names])
    kept: list[Array] = []
    have = 0
    while have < count:
        parts = rng.uniform(low[:-1], high[:-1], size=(4 * count + 64, len(names) - 1))
        water = 1.0 - parts.sum(axis=1)
        good = (water >= low[-1]) & (water <= high[-1])
        kept.append(np.column_stack([parts[good], water[good]]))
        have += int(good.sum())
    return np.concatenate(kept)[:count]


def meets(readings: Mapping[str, Array], brief: Mapping[str, Window]) -> Array:
    """Which recipes hold every line of the brief."""
    held = np.ones(len(next(iter(readings.values()))), dtype=bool)
    for name, (low, high) in brief.items():
        if low is not None:
            held &= readings[name] >= low - 1e-9
        if high is not None:
            held &= readings[name] <= high + 1e-9
    return held


def feasible_share(waste: Waste, rng: np.random.Generator, count: int = 20000) -> float:
    """Share of the bounded region that meets the brief at the judging age."""
    return float(meets(truth(waste, random_recipes(waste, rng, count)), waste.brief).mean())


def _lines(rng: np.random.Generator, waste: Waste) -> list[tuple[str, str]]:
    """Always a cone window, layers and cracks; then one to three more."""
    more = [("ram_force_n", "most"), ("springback_percent", "most")]
    more += [("strength_mpa", "least"), ("shrinkage_percent", "most")]
    count = int(rng.integers(1, 4))
    picked = [more[i] for i in sorted(rng.choice(len(more), size=count, replace=False))]
    return [("cone_depth_mm", "between"), ("layers_stood", "least"), ("crack_grade", "most"), *picked]


def _brief(waste: Waste, sample: Mapping[str, Array], lines: list[tuple[str, str]], tight: float) -> dict[str, Window]:
    """Windows at one tightness 0..1: one-sided lines are quantiles among recipes that print at all."""
    prints = (sample["cone_depth_mm"] > 8) & (sample["cone_depth_mm"] < 26) & (sample["layers_stood"] >= 5)
    prints &= sample["ram_force_n"] < 1.5 * waste.force_limit_n
    stands = prints & (sample["layers_stood"] >= np.quantile(sample["layers_stood"][prints], 0.5))
    aim = float(np.median(sample["cone_depth_mm"][stands]))
    brief: dict[str, Window] = {}
    for name, side in lines:
        step, values = ROUND_TO[name], sample[name][prints]
        if side == "between":
            half = 4.5 - 3.0 * tight
            brief[name] = (round(aim - half), round(aim + half))
        elif name == "crack_grade":
            brief[name] = (None, float(max(1.0, np.ceil(np.quantile(values, 0.6 * (1 - tight))))))
        elif side == "least":
            brief[name] = (round(float(np.floor(np.quantile(values, 0.9 * tight) / step) * step), 1), None)
        else:
            most = max(np.ceil(np.quantile(values, 1 - 0.9 * tight) / step) * step, LEAST_ASKED.get(name, 0.0))
            brief[name] = (None, round(float(most), 1))
    low = brief["layers_stood"][0] or 0.0
    return {**brief, "layers_stood": (min(low, waste.cap_layers - 2.0), None)}


def with_brief(waste: Waste, seed: int = 2026) -> Waste:
    """The waste with a brief whose share of passing recipes lies near its own target, well inside SHARE."""
    rng = np.random.default_rng([seed, waste.number, 7])
    target = float(np.exp(rng.uniform(np.log(0.005), np.log(0.02))))
    sample = truth(waste, random_recipes(waste, rng, SAMPLES))
    best, gap = waste, np.inf
    for _ in range(20):
        lines = _lines(rng, waste)
        for tight in np.linspace(0.0, 0.95, 40):
            brief = _brief(waste, sample, lines, float(tight))
            off = abs(np.log(max(meets(sample, brief).mean(), 1e-6) / target))
            if off < gap:
                best, gap = replace(waste, brief=brief), off
        if gap < 0.2:
            break
    idle = (best.brief["crack_grade"][1] or 0.0) >= 4.0  # a line nobody would write
    brief = {k: v for k, v in best.brief.items() if not (idle and k == "crack_grade")}
    return replace(best, brief=brief, object_layers=int(brief["layers_stood"][0] or 1))


def in_share(waste: Waste) -> bool:
    """Whether the share of recipes that meet the brief is one that is asked for."""
    low, high = SHARE
    return low <= feasible_share(waste, np.random.default_rng([waste.number, 9])) <= high


def draw(number: int, seed: int) -> Waste:
    """A waste with bounds and brief; drawn again where the share of recipes that meet the brief is not as asked."""
    for attempt in range(MOST_DRAWS):
        waste = with_brief(draw_waste(number, seed + FURTHER * attempt), seed + FURTHER * attempt)
        if in_share(waste):
            break
    return waste


def twenty_wastes(seed: int = 2026, count: int = HOW_MANY) -> list[Waste]:
    """The first wastes of a seed, bounded and with their briefs."""
    return [draw(number, seed) for number in range(count)]
