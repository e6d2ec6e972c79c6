"""Two batches a day: wet readings at once, dried ones after three to seven days. Days to the first passing recipe.

slake is told which batches still dry, and asked for the day's two together, as by its page "Mix two or three today";
or asked again once the first is read wet. The peers choose one at a time, each with all that is read by then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slake.campaign.several import propose_several
from slake.campaign.within import Today

from .asking import suggest
from .book import in_order, open_book
from .families import Array, own_seed, passes, rounded

A_DAY, MOST_DAYS = 2, 30
MISS = MOST_DAYS + 1
DRY_FROM, DRY_TO = 3, 7
DRIED = ("shrinkage_percent", "crack_grade", "strength_mpa")
TOGETHER, ONE_BY_ONE = "slake", "slake-one-by-one"
BATCHES_ASKED = {TOGETHER: A_DAY, ONE_BY_ONE: 1}
SO_FAR = "good; still drying"
Choose = Callable[[Sequence[Any], int], list[Array]]


@dataclass(frozen=True, kw_only=True)
class Drying:
    """A batch and the day its dried pieces can be read."""

    mixed: Any
    dry_on: int


@dataclass(frozen=True, kw_only=True)
class SoFar:
    """What the notebook holds of a batch that still dries: no dried reading, and nothing of cracks in its words."""

    fractions: Any
    outcome: str
    readings: Any
    reached_cap: bool


def seen_on(day: int, batch: Drying) -> Any:
    if day >= batch.dry_on:
        return batch.mixed
    wet = {n: reading for n, reading in batch.mixed.readings.items() if n not in DRIED}
    words = SO_FAR if batch.mixed.outcome.startswith(("good", "printed well")) else batch.mixed.outcome
    return SoFar(fractions=batch.mixed.fractions, outcome=words, readings=wet, reached_cap=batch.mixed.reached_cap)


def chooser(name: str, waste: Any) -> Choose:
    """(batches so far, seed) -> the recipes to mix now, before anybody is asked again."""
    if name not in BATCHES_ASKED:
        one = suggest(name, waste)
        return lambda batches, seed: [one(batches, seed)]
    today = Today(count=BATCHES_ASKED[name])

    def from_slake(batches: Sequence[Any], seed: int) -> list[Array]:
        found = propose_several(open_book(waste, batches), today, seed)
        return [in_order(waste, one.proposal.fractions) for one in found.chosen]

    return from_slake


def run(family: Any, number: int, drawn: int, peer: str, seed: int) -> dict[str, Any]:
    waste = family.draw(number, drawn)
    rng = np.random.default_rng([seed, number, 31])
    batches: list[Drying] = []
    recipes: list[Array] = []
    choose, to_mix = chooser(peer, waste), list[Array]()
    chance = own_seed(family, number, seed)
    for day in range(1, MOST_DAYS + 1):
        for _ in range(A_DAY):
            to_mix = to_mix or choose([seen_on(day, b) for b in batches], chance)
            recipes.append(to_mix.pop(0))
            if passes(family, waste, recipes[-1])[0]:
                return {"score": day, "recipes": rounded(recipes)}
            dry_on = day + int(rng.integers(DRY_FROM, DRY_TO + 1))
            batches.append(Drying(mixed=family.mix(waste, recipes[-1], rng), dry_on=dry_on))
    return {"score": MISS, "recipes": rounded(recipes)}
