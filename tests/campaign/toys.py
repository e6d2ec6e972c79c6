"""Made-up wastes to try the notebook on. None of their forms is the belief's: one jams (a power of the distance to
packing), one adds a polymer network to a grain network, one switches between two regimes. Invented numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.campaign import Lot, Notebook

Array = NDArray[np.float64]
Truth = dict[str, Array]


@dataclass(frozen=True, kw_only=True)
class Toy:
    """One waste: what a person may state of its lots, bounds, brief, and the truth for rows of fractions."""

    lots: dict[str, Lot]
    low: Array
    high: Array
    truth: Callable[[Array], Truth]
    brief: dict[str, tuple[float | None, float | None]]
    share: float
    ram_n: float = 400.0

    @property
    def keys(self) -> list[str]:
        return [*self.lots, "water"]

    def bounds(self) -> dict[str, tuple[float, float]]:
        return {k: (float(a), float(b)) for k, a, b in zip(self.keys, self.low, self.high, strict=True)}

    def meets(self, rows: Array) -> NDArray[np.bool_]:
        found, fine = self.truth(rows), np.ones(len(rows), dtype=bool)
        for name, (low, high) in self.brief.items():
            fine &= (found[name] >= (-math.inf if low is None else low)) & (
                found[name] <= (math.inf if high is None else high)
            )
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


MENU = (
    ("mussel shell", 0.34, 2700, 0.03),
    ("oyster shell", 0.38, 2650, 0.03),
    ("spent grain", 2.7, 1370, 0.06),
    ("coffee grounds", 1.6, 1300, 0.08),
    ("olive stone", 0.8, 1350, 0.07),
    ("wood dust", 2.5, 1500, 0.08),
)


def toy(family: str, number: int) -> Toy:
    """Waste `number` of a family ("jams", "adds" or "switches"), always the same."""
    rng = np.random.default_rng([number, len(family)])
    picks = rng.choice(len(MENU), size=int(rng.integers(1, 3)), replace=False)
    fillers = [MENU[i] for i in picks]
    lots = {f"f{i}": Lot(name) for i, (name, *_) in enumerate(fillers)}
    lots |= {"guar": Lot("guar gum"), "alginate": Lot("sodium alginate")}
    if rng.random() < 0.4:
        lots["psyllium"] = Lot("psyllium")
    demand = np.array([f[1] for f in fillers]) * np.exp(rng.normal(0, 0.15, len(fillers)))
    density = np.array([float(f[2]) for f in fillers])
    moist = np.array([*(f[3] * rng.uniform(0.5, 1.7) for f in fillers), 0.1, 0.12, 0.09][: len(lots)])
    low, high = _box(demand, list(lots), rng)
    truth = _usual_cracks(FAMILIES[family](demand, density, moist, rng), within(low, high, 600, rng), rng)
    return _with_brief(lots, (low, high), truth, rng)


def _usual_cracks(truth: Callable[[Array], Truth], rows: Array, rng: np.random.Generator) -> Callable[[Array], Truth]:
    """The same waste, its cracks scaled to a middle grade of 1.2 to 2.5, graded in whole steps or not."""
    factor = rng.uniform(1.2, 2.5) / max(float(np.median(truth(rows)["crack_grade"])), 0.1)
    whole = rng.random() < 0.5

    def scaled(at: Array) -> Truth:
        found = truth(at)
        grade = np.clip(found["crack_grade"] * factor, 0, 5)
        return {**found, "crack_grade": np.round(grade) if whole else grade}

    return scaled


def _box(demand: Array, keys: list[str], rng: np.random.Generator) -> tuple[Array, Array]:
    n = len(demand)
    blend = rng.dirichlet(np.ones(n) * 2)
    wet = float(blend @ demand) * rng.uniform(1.1, 1.5)
    dry = 1 / (1 + wet)
    low = np.array([*(0.4 * dry * blend), *([0.0005] * (len(keys) - n)), 0.6 * (1 - dry)])
    gum = (1 - dry) * np.array([0.03, 0.08, 0.06])[: len(keys) - n]
    high = np.array([*(np.minimum(1.6 * dry * blend, 0.97)), *gum, min(0.95, 1.4 * (1 - dry))])
    return low, high


def _parts(rows: Array, n: int, moist: Array) -> tuple[Array, Array, Array, Array]:
    dry = rows[:, :-1] * (1 - moist)
    water = rows[:, -1] + rows[:, :-1] @ moist
    return dry[:, :n], dry[:, n], dry[:, n + 1], water


def _jams(demand: Array, density: Array, moist: Array, rng: np.random.Generator) -> Callable[[Array], Truth]:
    n = len(demand)
    packing, power = rng.uniform(0.8, 0.95), rng.uniform(1.3, 2.2)
    gum_k, bind_k, scale = rng.uniform(0.35, 0.8), rng.uniform(0.06, 0.2), math.exp(rng.normal(math.log(55), 0.5))
    elastic, wall, s0 = rng.uniform(0.5, 0.9), math.exp(rng.normal(0, 0.3)), rng.uniform(0.8, 1.25)

    def truth(rows: Array) -> Truth:
        fill, guar, alg, water = _parts(rows, n, moist)
        psyllium = rows[:, n + 2] * 0.91 if rows.shape[1] > n + 3 else np.zeros(len(rows))
        swollen = (fill * (0.75 * demand / 998 + 1 / density)).sum(1)
        phi = np.minimum(swollen / (swollen + np.maximum(water - 0.75 * fill @ demand, 0.004) / 998), packing - 0.002)
        gum, bind = 100 * (guar + 0.4 * psyllium) / water, 100 * alg / water
        tau = scale * (1 - phi / packing) ** -power * (1 + gum_k * gum**1.5 + bind_k * bind**1.2)
        thirst = fill @ demand / fill.sum(1)
        shrink = s0 * 100 * 0.11 * (water / (water + 0.6 * fill.sum(1))) ** 1.6 * thirst**0.45 * (1 + 0.03 * bind)
        strong = 0.5 * (1 + bind) ** 0.9 * (phi / packing) ** 1.5 * (1 + 0.2 * gum)
        stand = np.minimum(1.73 * tau / (1550 * 9.81) / 1.3, wall * 0.05 * (tau / 1000) ** (elastic / 2)) / 0.0012
        crack = np.maximum(0.55 * shrink / (strong + 0.4) ** 0.35 - 0.4, 0)
        spring = 2.5 * (0.2 + 0.5 * psyllium / water * 30) * (tau / 1000) ** -0.2 / (1 + 0.4 * gum)
        force = 0.135 * tau * (1 + 0.5 / (0.3 + gum))
        return _readings(tau, force, stand, shrink, crack, strong, spring)

    return truth


def _adds(demand: Array, density: Array, moist: Array, rng: np.random.Generator) -> Callable[[Array], Truth]:
    n = len(demand)
    a, b = math.exp(rng.normal(math.log(60), 0.4)), math.exp(rng.normal(math.log(500), 0.5))
    steep, q, spread = rng.uniform(3.5, 8), rng.uniform(1.6, 2.6), rng.uniform(0.6, 1.6)

    def truth(rows: Array) -> Truth:
        fill, guar, alg, water = _parts(rows, n, moist)
        psyllium = rows[:, n + 2] * 0.91 if rows.shape[1] > n + 3 else np.zeros(len(rows))
        dry = rows[:, :-1].sum(1) - rows[:, :-1] @ moist
        thirst = fill @ demand / dry
        lean = water / dry / thirst
        gum, bind = 100 * guar / water, 100 * alg / water
        network = a * (gum + 0.35 * bind + 0.3 * 100 * psyllium / water) ** q
        grains = b * np.exp(-steep * (lean - 1.35))
        tau = network + grains + 0.5 * np.sqrt(network * grains)
        share = network / (network + grains)
        shrink = 3.2 * thirst**0.7 * (1 + spread * (lean - 1.2)) * (1 + 0.5 * share)
        shrink = np.maximum(shrink, 0.3)
        strong = 0.8 + 1.2 * bind**0.8 / (1 + 0.05 * bind) * np.exp(-0.4 * (lean - 1.3))
        stand = 70 * (tau / 1000) ** 0.8 * np.exp(-0.6 * share)
        crack = np.maximum(0.35 * shrink + 0.8 * (lean - 1.2) - 0.25 * strong + 0.4, 0)
        spring = 0.4 + 3 * share * (1 + 10 * psyllium / water) / (1 + 0.5 * gum)
        force = 0.12 * tau ** (1.05) * np.exp(0.5 * (1 - share))
        return _readings(tau, force, stand, shrink, crack, strong, spring)

    return truth


def _switches(demand: Array, density: Array, moist: Array, rng: np.random.Generator) -> Callable[[Array], Truth]:
    n = len(demand)
    turn, low_slope, high_slope = rng.uniform(1.15, 1.5), rng.uniform(2, 5), rng.uniform(6, 12)
    level, g = math.exp(rng.normal(math.log(900), 0.5)), rng.uniform(0.15, 0.5)

    def truth(rows: Array) -> Truth:
        fill, guar, alg, water = _parts(rows, n, moist)
        psyllium = rows[:, n + 2] * 0.91 if rows.shape[1] > n + 3 else np.zeros(len(rows))
        thirst = fill @ demand / fill.sum(1)
        lean = water / fill.sum(1) / thirst
        gum, bind = 100 * (guar + 0.35 * psyllium) / water, 100 * alg / water
        away = lean - turn
        bent = -low_slope * np.minimum(away, 0) - high_slope * np.maximum(away, 0)
        tau = np.clip(level * np.exp(bent) * (0.4 + g * gum + 0.08 * bind), 1, 1e5)
        shrink = np.where(away > 0, 2.2 + 7 * away, 2.2 + 2 * away) * thirst**0.6 + 0.1 * bind
        shrink = np.maximum(shrink, 0.2)
        strong = 6 * bind / (3 + bind) + 0.8 * gum / (1 + gum)
        stand = 45 * np.tanh(tau / 1300) * (1 + 0.15 * gum)
        crack = np.maximum(shrink / (1.2 + 0.5 * strong) - 0.3, 0)
        spring = 2.2 * np.exp(-0.35 * gum) * (1 + 20 * psyllium / water)
        force = 0.14 * tau * (1 + np.maximum(-away, 0))
        return _readings(tau, force, stand, shrink, crack, strong, spring)

    return truth


FAMILIES = {"jams": _jams, "adds": _adds, "switches": _switches}


def _readings(*values: Array) -> Truth:
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


def _with_brief(
    lots: dict[str, Lot], box: tuple[Array, Array], truth: Callable[[Array], Truth], rng: np.random.Generator
) -> Toy:
    """A brief that 0.4 to 2.5 % of the bounded mixtures meet, around a recipe that is printable if there is one."""
    rows = within(*box, 4000, rng)
    found = truth(rows)
    shape = (found["cone_depth_mm"] > 10) & (found["cone_depth_mm"] < 19) & (found["layers_stood"] > 15)
    good = np.flatnonzero(shape & (found["crack_grade"] < 2.5))
    centre = int(rng.choice(good)) if len(good) else int(rng.integers(len(rows)))
    names = ["cone_depth_mm", "layers_stood", "crack_grade", "shrinkage_percent"]
    names += [str(n) for n in rng.choice(["ram_force_n", "strength_mpa", "springback_percent"], size=2, replace=False)]
    wide, ram_n = 0.5, 1.6 * float(found["ram_force_n"][centre])
    made = Toy(lots=lots, low=box[0], high=box[1], truth=truth, brief={}, share=1.0)
    for _ in range(40):
        brief = {name: _window(name, float(found[name][centre]), wide) for name in names}
        made = Toy(lots=lots, low=box[0], high=box[1], truth=truth, brief=brief, share=0.0)
        share = float(made.meets(rows).mean())
        if 0.004 <= share <= 0.025:
            break
        wide *= 0.85 if share > 0.025 else 1.12
    return Toy(lots=lots, low=box[0], high=box[1], truth=truth, brief=made.brief, share=share, ram_n=ram_n)


def _window(name: str, value: float, wide: float) -> tuple[float | None, float | None]:
    if name == "cone_depth_mm":
        return round(max(1.6, value * math.exp(-0.35 * wide)), 2), round(min(39, value * math.exp(0.35 * wide)), 2)
    if name in ("layers_stood", "strength_mpa"):
        return round(value * math.exp(-0.5 * wide), 2), None
    if name == "crack_grade":
        return None, float(np.clip(math.ceil(value), 1, 4))
    return None, round(value * math.exp(0.5 * wide), 2)


def mixed(made: Toy, row: Array, rng: np.random.Generator) -> tuple[str, dict[str, object], bool]:
    """How one batch of this recipe ends on a kitchen bench: words, readings, whether the wall reached its plan."""
    true = {k: float(v[0]) for k, v in made.truth(row[None, :]).items()}
    day = math.exp(rng.normal(0, 0.08))
    cone = float(np.clip(true["cone_depth_mm"] * day**-0.5 + rng.normal(0, 0.4), 1.5, 40))
    readings: dict[str, object] = {"cone_depth_mm": (round(cone, 1), 60)}
    force = true["ram_force_n"] * day * math.exp(rng.normal(0, 0.08))
    if force > made.ram_n:
        return "stalled", readings, False
    readings["ram_force_n"] = round(force, 1)
    readings["springback_percent"] = round(true["springback_percent"] * math.exp(rng.normal(0, 0.15)), 2)
    if cone > 32:
        return "puddled", readings, False
    layers = int(true["layers_stood"] * day**0.8 * math.exp(rng.normal(0, 0.1)))
    cap = layers >= 60
    readings["layers_stood"] = min(layers, 60)
    readings["shrinkage_percent"] = round(max(0.0, true["shrinkage_percent"] + rng.normal(0, 0.2)), 1)
    grade = int(np.clip(round(true["crack_grade"] + rng.normal(0, 0.35)), 0, 5))
    readings["crack_grade"] = grade
    if rng.random() < 0.7:
        readings["strength_mpa"] = round(true["strength_mpa"] * math.exp(rng.normal(0, 0.12)), 2)
    words = "good" if cap else f"fell at layer {min(layers, 60) + 1}"
    return words + (" but cracked" if grade >= 2 else ""), readings, cap


def first_hit(made: Toy, seed: int, most: int = 30) -> int:
    """Batches until a proposed recipe truly meets every line; most + 1 where none did."""
    rng = np.random.default_rng([seed, 99])
    book = Notebook(lots=made.lots, brief=made.brief, bounds=made.bounds())
    for count in range(1, most + 1):
        fractions = book.propose(seed=seed).fractions
        row = np.array([fractions[k] for k in made.keys])
        if made.meets(row[None, :])[0]:
            return count
        words, readings, cap = mixed(made, row, rng)
        book.add(fractions, outcome=words, readings=readings, reached_cap=cap)
    return most + 1
