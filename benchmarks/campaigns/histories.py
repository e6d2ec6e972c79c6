"""What a bench has in its records before a new lot comes: its recipe, mixed a few times, and batches around it."""

from __future__ import annotations

from typing import Any

import numpy as np

from .families import Array, holds, passes, uniform

AROUND, REPEATS, FAR = 7, 3, 0.3
MOST_LOTS = 40
SAMPLE = 20_000


def good_recipe(family: Any, waste: Any, rng: np.random.Generator) -> Array:
    """The recipe this bench settled on: any that truly meets every line, each as likely as the next."""
    rows = uniform(waste, SAMPLE, rng)
    fine = rows[passes(family, waste, rows)]
    return np.asarray(fine[rng.integers(len(fine))])


def known(family: Any, waste: Any, rng: np.random.Generator) -> tuple[Array, list[Any]]:
    """The recipe, and its book: batches on the way to it (between it and anywhere in the bounds), then repeats."""
    recipe = good_recipe(family, waste, rng)
    away = uniform(waste, AROUND, rng)
    way = recipe + np.linspace(1.0, FAR, AROUND)[:, None] * (away - recipe)
    rows = [*way, *([recipe] * REPEATS)]
    return recipe, [family.mix(waste, row, rng) for row in rows]


def lot_that_breaks(family: Any, waste: Any, recipe: Array, seed: int) -> tuple[Any, int]:
    """The first next lot in which the recipe no longer meets every line, and how many lots were looked at."""
    for count in range(1, MOST_LOTS + 1):
        lot = family.another_lot(waste, 1000 * seed + count)
        if not holds(family.truth(lot, recipe[None, :]), lot.brief)[0]:
            break
    return lot, count
