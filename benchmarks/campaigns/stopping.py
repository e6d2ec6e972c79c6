"""When slake says "good enough": after how many batches, how many after the first that truly met every line was mixed,
and whether its recipe then truly meets every line.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .book import good_enough, in_order, open_book, to_confirm
from .cold import MISS, MOST
from .families import own_seed, passes

__all__ = ["MISS", "run"]


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 43])
    chance, batches, first = own_seed(family, number, seed), [], None
    for count in range(MOST + 1):
        book = open_book(waste, batches)
        said = good_enough(book, seed=chance)
        if said is not None:
            true = bool(passes(family, waste, in_order(waste, said))[0])
            return {"score": count, "true": true, "after_first": None if first is None else count - first}
        recipe = in_order(waste, to_confirm(book, seed=chance))
        first = first or (count + 1 if passes(family, waste, recipe)[0] else None)
        batches.append(family.mix(waste, recipe, rng))
    return {"score": MISS, "true": None, "after_first": None}
