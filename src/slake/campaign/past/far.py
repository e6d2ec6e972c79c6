"""Rows of a table that lie far from its other rows: ten times the water is more often a slip than a mix.

Held against the other rows on a log scale, by their middle and by how far half of them lie from it. Nothing is refused.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import median

from slake.ground.problems import plain

LEAST_ROWS = 5
LEAST_TIMES = 3.0
WIDTHS = 5.0
NORMAL_SD = 1.4826
MOST_SHARE = 1 / 25
"""Flagged: more than three times the middle (or under a third of it) and more than five widths from it, on a side where
no more than one row in 25 (and one of a short table) is so: many that are far are a kind of mix, no slips. Our choice,
no source; 1.4826 makes the middle distance a standard deviation where the values are normal."""


def far_from_others(rows: Sequence[Mapping[str, float]]) -> dict[int, str]:
    """By place in `rows`: what of that row lies how far from all rows, in one sentence. Zeros are held against none."""
    found: dict[int, list[str]] = {}
    for name in dict.fromkeys(name for row in rows for name in row):
        values = {at: row[name] for at, row in enumerate(rows) if row.get(name, 0.0) > 0 and math.isfinite(row[name])}
        for at, words in _far(values).items():
            found.setdefault(at, []).append(f"{name} is {words}")
    return {at: f"{'; '.join(words)}: look whether it is a slip" for at, words in sorted(found.items())}


def _far(values: Mapping[int, float]) -> dict[int, str]:
    if len(values) < LEAST_ROWS:
        return {}
    logs = {at: math.log(value) for at, value in values.items()}
    middle = median(logs.values())
    width = NORMAL_SD * median(abs(value - middle) for value in logs.values())
    most = max(math.log(LEAST_TIMES), WIDTHS * width)
    few = max(1, int(len(values) * MOST_SHARE))
    sides = [[at for at, value in logs.items() if side * (value - middle) > most] for side in (1, -1)]
    return {at: _words(values[at], math.exp(middle)) for side in sides if len(side) <= few for at in side}


def _words(value: float, middle: float) -> str:
    times, usual = plain(float(f"{value / middle:.2g}")), plain(float(f"{middle:.3g}"))
    return f"{plain(value)}, {times} times the middle of all rows ({usual})"
