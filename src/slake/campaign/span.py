"""How much of each waste a proposal may hold where nobody stated bounds: a person means to use what they use."""

from __future__ import annotations

from collections.abc import Sequence

LEAST_OF, MOST_OF = 0.5, 2.0
"""Of the least and the most mixed so far: common practice, no source."""


def span_of_use(shares: Sequence[float]) -> tuple[float, float] | None:
    """(low, high) fraction of the wet paste: half of the least to twice the most of the batches so far.

    A waste that some batch did without may be left out again; None for one that no batch held.
    """
    most = max(shares, default=0.0)
    return None if most <= 0 else (LEAST_OF * min(shares), min(MOST_OF * most, 1.0))
