"""When slake says "good enough": after how many batches, and whether its recipe then truly meets every line."""

from __future__ import annotations

from typing import Any

import numpy as np

from .book import good_enough, in_order, open_book
from .cold import MISS, MOST
from .families import own_seed, passes

__all__ = ["MISS", "run"]


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 43])
    chance, batches = own_seed(family, number, seed), []
    for count in range(MOST + 1):
        book = open_book(waste, batches)
        said = good_enough(book, seed=chance)
        if said is not None:
            return {"score": count, "true": bool(passes(family, waste, in_order(waste, said))[0])}
        recipe = in_order(waste, book.propose(seed=chance).fractions)
        batches.append(family.mix(waste, recipe, rng))
    return {"score": MISS, "true": None}
