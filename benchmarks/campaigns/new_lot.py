"""A new lot of a known recipe: batches of it until a recipe truly meets every line again."""

from __future__ import annotations

from typing import Any

import numpy as np

from slake.campaign.new_lot import lot_change

from .book import after_new_lot, in_order
from .cold import MISS, MOST
from .families import own_seed, passes, rounded
from .histories import known, lot_that_breaks

__all__ = ["MISS", "run"]


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 37])
    recipe, history = known(family, waste, rng)
    lot, looked = lot_that_breaks(family, waste, recipe, seed)
    chance, batches, recipes = own_seed(family, number, seed), [], []
    while len(recipes) < MOST:
        book, recipe_known = after_new_lot(waste, lot, history, batches)
        recipes.append(in_order(lot, lot_change(book, recipe_known, chance).proposal.fractions))
        if passes(family, lot, recipes[-1])[0]:
            break
        batches.append(family.mix(lot, recipes[-1], rng))
    score = len(recipes) if passes(family, lot, recipes[-1])[0] else MISS
    return {"score": score, "recipes": rounded(recipes), "known": rounded([recipe])[0], "lots_looked_at": looked}
