"""Two batches a day: wet readings at once, dried ones after three to seven days. Days to the first passing recipe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .asking import suggest
from .families import own_seed, passes, rounded

A_DAY, MOST_DAYS = 2, 30
MISS = MOST_DAYS + 1
DRY_FROM, DRY_TO = 3, 7
DRIED = ("shrinkage_percent", "crack_grade", "strength_mpa")


@dataclass(frozen=True, kw_only=True)
class Drying:
    """A batch and the day its dried pieces can be read."""

    mixed: Any
    dry_on: int


@dataclass(frozen=True, kw_only=True)
class SoFar:
    """What the notebook holds of a batch that still dries: no dried reading, and no word on cracks."""

    fractions: Any
    outcome: str
    readings: Any
    reached_cap: bool


def seen_on(day: int, batch: Drying) -> Any:
    if day >= batch.dry_on:
        return batch.mixed
    wet = {n: reading for n, reading in batch.mixed.readings.items() if n not in DRIED}
    words = "" if batch.mixed.outcome.startswith(("good", "printed well")) else batch.mixed.outcome
    return SoFar(fractions=batch.mixed.fractions, outcome=words, readings=wet, reached_cap=batch.mixed.reached_cap)


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 31])
    choose, batches, recipes = suggest(peer, waste), [], []
    chance = own_seed(family, number, seed)
    for day in range(1, MOST_DAYS + 1):
        for _ in range(A_DAY):
            recipe = choose([seen_on(day, b) for b in batches], chance)
            recipes.append(recipe)
            if passes(family, waste, recipe)[0]:
                return {"score": day, "recipes": rounded(recipes)}
            dry_on = day + int(rng.integers(DRY_FROM, DRY_TO + 1))
            batches.append(Drying(mixed=family.mix(waste, recipe, rng), dry_on=dry_on))
    return {"score": MISS, "recipes": rounded(recipes)}
