"""The fourth material of a kind, three of its kind in the records: batches until a recipe truly meets every line."""

from __future__ import annotations

from typing import Any

import numpy as np

from .book import beside_relatives, in_order, proposed
from .cold import MISS, MOST
from .families import own_seed, passes, rounded

__all__ = ["MISS", "run"]
IN_RECORDS, AFTER_SUCCESS = 3, 1


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    first = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 41])
    chance = own_seed(family, number, seed)
    earlier = [(w, campaign(family, w, rng, chance)) for w in (family.kin(first, k) for k in range(1, IN_RECORDS + 1))]
    waste = family.kin(first, IN_RECORDS + 1)
    batches, recipes = [], []
    for count in range(1, MOST + 1):
        recipes.append(in_order(waste, beside_relatives(waste, earlier, batches).propose(seed=chance).fractions))
        if passes(family, waste, recipes[-1])[0]:
            return {"score": count, "recipes": rounded(recipes), "in_records": [len(b) for _, b in earlier]}
        batches.append(family.mix(waste, recipes[-1], rng))
    return {"score": MISS, "recipes": rounded(recipes), "in_records": [len(b) for _, b in earlier]}


def campaign(family: Any, waste: Any, rng: np.random.Generator, seed: int) -> list[Any]:
    """The records of one earlier material: slake's own campaign on it to its first recipe that meets every line."""
    batches: list[Any] = []
    for _ in range(MOST // 2):
        recipe = proposed(waste, batches, seed)
        batches.append(family.mix(waste, recipe, rng))
        if passes(family, waste, recipe)[0]:
            break
    return batches
