"""Made-up wastes to try the notebook on (benchmarks/families/toys), as a person would write them down."""

from __future__ import annotations

import numpy as np

from benchmarks.families.toys import LAW_NAMES, Waste, draw, meets, mix, truth, within
from slake.campaign import Lot, Notebook

__all__ = ["FAMILIES", "first_hit", "mixed_into", "notebook", "share_of", "toy", "truth", "within"]
FAMILIES = LAW_NAMES


def toy(family: str, number: int) -> Waste:
    """Waste `number` of a law, always the same."""
    return draw(len(FAMILIES) * number + FAMILIES.index(family), seed=7)


def notebook(made: Waste) -> Notebook:
    lots = {key: Lot(made.kitchen[key]) for key in made.names[:-1]}
    return Notebook(lots=lots, brief=made.brief, bounds=made.bounds)


def mixed_into(book: Notebook, made: Waste, row: np.ndarray, rng: np.random.Generator) -> None:
    """One batch of this recipe, mixed, read and written down."""
    one = mix(made, row, rng)
    told = dict(one.fractions)
    told["water"] += 1 - sum(told.values())
    book.add(told, outcome=one.outcome, readings=one.readings, reached_cap=one.reached_cap)


def share_of(made: Waste) -> float:
    """Share of the recipes within the bounds that meet the brief."""
    return float(meets(made, within(*made.limits(), 4000, np.random.default_rng(7))).mean())


def first_hit(made: Waste, seed: int, most: int = 30) -> int:
    """Batches until a proposed recipe truly meets every line; most + 1 where none did."""
    rng, book = np.random.default_rng([seed, 99]), notebook(made)
    for count in range(1, most + 1):
        fractions = book.propose(seed=seed).fractions
        row = np.array([fractions[k] for k in made.names])
        if meets(made, row[None, :])[0]:
            return count
        mixed_into(book, made, row, rng)
    return most + 1
