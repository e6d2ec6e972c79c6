"""Which of a notebook's batches is the recipe a person goes by, when a new lot of one ingredient has come in."""

from __future__ import annotations

import numpy as np

from slake.ground.problems import NotEnoughEvidence

from .new_lot import Known
from .notebook import Notebook

ALIKE = 0.002
"""Two batches are one recipe where no fraction differs by more: common practice, no source."""


def known_recipe(book: Notebook, old: str, new: str, batch: int | None = None) -> Known:
    """The recipe of that batch, else of the best one: no line of the brief broken, most held, the newest. Its repeats
    that broke no line held, the batch itself first. Raises NotEnoughEvidence where no batch has the old lot alone.
    """
    rows = np.array([told.fractions for told in book.batches]).reshape(-1, len(book.keys))
    at = [book.keys.index(key) for key in (old, new)]
    mine = [n for n, row in enumerate(rows) if row[at[0]] > 0 and row[at[1]] <= 0 and batch in (None, n)]
    if not mine:
        do = f"name a batch of {old} that was mixed and read" if batch is None else f"that batch has no {old} in it"
        raise NotEnoughEvidence("a known recipe", have=0, need=1, do=do)
    best = max(mine, key=lambda n: _worth(book, n))
    again = [n for n, row in enumerate(rows) if np.abs(row - rows[best]).max() <= ALIKE and _worth(book, n)[0]]
    return Known(
        fractions={key: float(part) for key, part in zip(book.keys, rows[best], strict=True) if part > 0},
        swapped={old: new},
        batches=tuple(sorted(again, key=lambda n: (n != best, n))),
    )


def _worth(book: Notebook, number: int) -> tuple[bool, int, int]:
    """Whether it broke no line, how many it held, and how new it is: more is better."""
    held = [verdict.held for verdict in book.explain(number)]
    return False not in held, sum(one is True for one in held), number
