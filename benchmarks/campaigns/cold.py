"""A campaign from nothing: batches until a recipe truly meets every line."""

from __future__ import annotations

from typing import Any

import numpy as np

from .asking import suggest
from .families import broken, own_seed, passes, rounded

MOST = 30
MISS = MOST + 1


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 11])
    choose, batches, recipes = suggest(peer, waste), [], []
    chance = own_seed(family, number, seed)
    for count in range(1, MOST + 1):
        recipe = choose(batches, chance)
        recipes.append(recipe)
        if passes(family, waste, recipe)[0]:
            return {"score": count, "outcomes": [b.outcome for b in batches], "recipes": rounded(recipes)}
        batches.append(family.mix(waste, recipe, rng))
    missed = [broken(family, waste, r) for r in recipes]
    outcomes = [b.outcome for b in batches]
    return {"score": MISS, "outcomes": outcomes, "recipes": rounded(recipes), "broken": missed}
