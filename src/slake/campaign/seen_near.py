"""Where something was tried: which values lie with most, and which places lie between batches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

FENCE, TIMES = 3.0, 3.0
"""Off a map: further than three middle halves beyond the middle half (the outer fence of box plots), and more than
three times the middle or under a third of it (our choice, no source).
"""
ROOM = 0.15
"""Of the width of an axis: room beside the batches, and how far from the lines between them is still tried."""


def fence(values: Sequence[float], least: float) -> tuple[float, float]:
    """Ends beyond which a value lies far from most; the middle half counts as `least` wide at least."""
    low, middle, high = (float(x) for x in np.quantile(values, (0.25, 0.5, 0.75)))
    room = FENCE * max(high - low, least)
    return min(low - room, middle / TIMES), max(high + room, middle * TIMES)


def near_what_was_tried(
    across: Sequence[float], up: Sequence[float], places: Sequence[tuple[float, float]]
) -> tuple[tuple[bool, ...], ...]:
    """Which places of the grid lie within ROOM of an axis from a line between two batches."""
    wide, tall = across[-1] - across[0], up[-1] - up[0]
    if not places:
        return tuple(tuple(False for _ in across) for _ in up)
    at = np.array([(x / wide, y / tall) for x, y in places])
    first, second = (at[side] for side in np.triu_indices(len(at)))
    along = second - first
    length = np.maximum((along**2).sum(axis=1), 1e-12)

    def near(place: tuple[float, float]) -> bool:
        share = np.clip(((place - first) * along).sum(axis=1) / length, 0.0, 1.0)
        apart = place - first - share[:, None] * along
        return bool((apart**2).sum(axis=1).min() <= ROOM**2)

    return tuple(tuple(near((x / wide, y / tall)) for x in across) for y in up)
