"""Readings of one row that cannot both be: one says the paste moved under its own weight, the other that it did not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from slake.bench.declaration import BenchTest, Headline
from slake.ground.problems import plain

OWN_WEIGHT = frozenset({"slump", "spread"})
"""Tests in which a lifted shape moves under nothing but its own weight. A lab's own reading belongs here where its
scale begins above nothing, as that of a cake measured across does: it begins at the width of the mould."""
STAYED = "did not "


def contradiction(readings: Sequence[tuple[BenchTest, Headline]]) -> str:
    """One sentence where two readings of a row contradict each other, else ""."""
    told = [(test, headline) for test, headline in readings if _of_own_weight(test)]
    for (one, first), (other, second) in combinations(told, 2):
        if stayed(one, first) != stayed(other, second):
            still, moved = ((one, first), (other, second)) if stayed(one, first) else ((other, second), (one, first))
            return (
                f"{_said(*moved)} says the paste moved and {_said(*still)} says it did not: "
                "look which of the two is right"
            )
    return ""


def stayed(test: BenchTest, headline: Headline) -> bool:
    """Whether the reading is the one an unmoved shape gives."""
    return headline.words.startswith(STAYED) or headline.value <= test.floor


def _of_own_weight(test: BenchTest) -> bool:
    return test.id in OWN_WEIGHT or 0 < test.floor < math.inf


def _said(test: BenchTest, headline: Headline) -> str:
    return f"{test.title.casefold()} {plain(headline.value)} {headline.unit}".strip()
