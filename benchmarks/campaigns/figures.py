"""Quantiles over wastes with 90 % bootstrap intervals, and lines of a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from .families import Array

DRAWS = 1000
COLUMNS = ("median", "25 %", "75 %", "90 %", "98 %", "missed")
Scores = Mapping[tuple[str, int], Sequence[float]]
"""(family, number of the waste) -> scores of its campaigns."""


def _statistics(values: Array, miss: float) -> Array:
    return np.array([*np.quantile(values, [0.5, 0.25, 0.75, 0.9, 0.98]), 100.0 * np.mean(values >= miss)])


def _drawn(scores: Scores, rng: np.random.Generator) -> list[tuple[str, int]]:
    """Wastes drawn again with repeats, as many of each family as there are."""
    found: list[tuple[str, int]] = []
    for family in sorted({f for f, _ in scores}):
        mine = sorted(key for key in scores if key[0] == family)
        found += [mine[i] for i in rng.integers(len(mine), size=len(mine))]
    return found


def spread(scores: Scores, measure: Callable[[Array], Any]) -> tuple[Array, Array, Array]:
    """The measure over all campaigns, and the 5 and 95 % ends of it over wastes drawn again."""
    rng = np.random.default_rng(1)
    whole = np.asarray(measure(np.concatenate([scores[k] for k in sorted(scores)])))
    again = np.array([measure(np.concatenate([scores[k] for k in _drawn(scores, rng)])) for _ in range(DRAWS)])
    low, high = np.quantile(again, [0.05, 0.95], axis=0)
    return whole, low, high


def line(name: str, scores: Scores, miss: float) -> str:
    value, low, high = spread(scores, lambda values: _statistics(values, miss))
    cells = [f"{v:g} [{a:g}, {b:g}]" for v, a, b in np.round(np.stack([value, low, high], axis=1), 1)]
    campaigns = sum(len(s) for s in scores.values())
    return f"{name:<24}{len(scores):>4}{campaigns:>6}  " + "".join(f"{c:<19}" for c in cells)


def header() -> str:
    return f"{'':<24}{'wast':>4}{'runs':>6}  " + "".join(f"{c:<19}" for c in COLUMNS)


def ratio(ours: Scores, theirs: Scores) -> tuple[float, float, float]:
    """Median over median on the wastes both have, wastes drawn again together."""
    both = sorted(set(ours) & set(theirs))
    mine, other = {k: ours[k] for k in both}, {k: theirs[k] for k in both}
    rng = np.random.default_rng(1)

    def at(keys: list[tuple[str, int]]) -> float:
        top, below = (np.median(np.concatenate([s[k] for k in keys])) for s in (mine, other))
        return float(top / below)

    again = [at(_drawn(mine, rng)) for _ in range(DRAWS)]
    return at(both), *map(float, np.quantile(again, [0.05, 0.95]))


def best(by_peer: Mapping[str, Scores]) -> str:
    """The peer with the least median; the least mean where medians are alike."""
    every = {p: np.concatenate([s[k] for k in sorted(s)]) for p, s in by_peer.items()}
    return min(every, key=lambda p: (float(np.median(every[p])), float(every[p].mean())))


def share(by_waste: Scores) -> str:
    """A share in per cent with its interval."""
    value, low, high = spread(by_waste, np.mean)
    return f"{value:.0f} % [{low:.0f}, {high:.0f}] of {sum(len(s) for s in by_waste.values())}"
