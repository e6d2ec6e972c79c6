"""Do ranges and chances keep their word?

80 % ranges of the next reading, slake's beside two peers', and the stated chance that every line holds, over recipes
at random and over recipes slake chose.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .asking import answered
from .book import chances, in_order, open_book, ranges
from .families import as_json, batch_json, own_seed, passes, uniform

MISS = 0
STAGES = (5, 9, 13)
FORECAST_AT_RANDOM, FORECAST_NEAR, CHANCES_AT = 12, 8, 400
PEERS = ("mixture", "processes-4")
PLAIN = ("crack_grade",)
FLOOR = {"layers_stood": 0.5}
TAIL = 0.2
"""Of an 80 % range: what lies outside it."""


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    """One campaign of slake that goes on; at some stages everybody foretells readings of the same recipes."""
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 47])
    chance, batches = own_seed(family, number, seed), []
    forecasts: list[list[Any]] = []
    stated: dict[str, list[tuple[float, bool]]] = {"random": [], "chosen": []}
    for count in range(max(STAGES) + 1):
        book = open_book(waste, batches)
        proposal = book.propose(seed=chance)
        recipe = in_order(waste, proposal.fractions)
        if count:
            stated["chosen"].append((proposal.chance.mid, bool(passes(family, waste, recipe)[0])))
        if count in STAGES:
            rows = uniform(waste, CHANCES_AT, rng)
            true = passes(family, waste, rows)
            stated["random"] += list(zip(chances(book, rows).tolist(), true.tolist(), strict=True))
            forecasts += foretold(family, waste, (book, batches, recipe), rng, chance)
        batches.append(family.mix(waste, recipe, rng))
    return {"score": 0, "forecasts": forecasts, "stated": stated}


def foretold(family: Any, waste: Any, known: tuple[Any, list[Any], Any], rng: np.random.Generator, seed: int) -> Any:
    """[contender, property, inside the range, interval score on its scale] of every reading really taken."""
    book, batches, recipe = known
    away = uniform(waste, FORECAST_NEAR, rng)
    rows = np.concatenate([uniform(waste, FORECAST_AT_RANDOM, rng), recipe + 0.25 * (away - recipe)])
    names = list(waste.brief)
    asked = {
        "problem": as_json(waste), "batches": [batch_json(b) for b in batches],
        "recipes": rows.tolist(), "names": names, "seed": seed,
    }  # fmt: skip
    every = {"slake": ranges(book, rows)} | {p: answered(p, {**asked, "peer": p})["ranges"] for p in PEERS}
    found = []
    for i, row in enumerate(rows):
        for name, (value, _) in family.mix(waste, row, rng).readings.items():
            if name in names and all(name in said for said in every.values()):
                for who, said in every.items():
                    low, high = capped(name, said[name][i], waste)
                    found.append([who, name, low - 1e-9 <= value <= high + 1e-9, scored(name, value, low, high)])
    return found


def capped(name: str, ends: Any, waste: Any) -> tuple[float, float]:
    """No print shows more layers than are printed, no grade is over 5 or under 0: nobody is asked for more."""
    low, high = ends
    least, most = (0.0, float(waste.cap_layers)) if name == "layers_stood" else (-np.inf, np.inf)
    least, most = (0.0, 5.0) if name in PLAIN else (least, most)
    return min(max(low, least), most), min(max(high, least), most)


def scored(name: str, value: float, low: float, high: float) -> float:
    """Interval score: width, and what is missed by, ten times. Of logarithms but for grades."""
    if name not in PLAIN:
        value, low, high = (float(np.log(max(x, FLOOR.get(name, 0.01)))) for x in (value, low, high))
    return (high - low) + 2.0 / TAIL * (max(low - value, 0.0) + max(value - high, 0.0))
