"""The recipe with the best score: dense sampling of the whole region, then ever closer around the best."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .notes import Notes
from .region import Array

WIDE, LOCAL, KEPT, SIZES = 2500, 500, 15, (0.08, 0.03, 0.01)


def best_recipe(notes: Notes, score: Callable[[Array], Array], rng: np.random.Generator) -> Array:
    rows = notes.region.fresh(notes.region.spread(WIDE, rng), notes.rows)
    worth = score(rows)
    for size in SIZES:
        best = rows[np.argsort(-worth)[:KEPT]]
        rows = notes.region.fresh(np.concatenate([best, notes.region.near(best, LOCAL, size, rng)]), notes.rows)
        worth = score(rows)
    return np.asarray(rows[int(np.argmax(worth))])
