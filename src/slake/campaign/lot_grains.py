"""A finer or a coarser lot: how much more or less water it is expected to drink, as far as sieves tell.

Common practice, no source, and weak: a powder ground to half the size drinks about a tenth more, between nothing and a
fifth, 8 times in 10. What a drip test on the lot itself read holds this already; there the sieve only corrects what the
earlier lots let one expect, by as much as a weighed lot is drawn towards them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, replace

from slake.ground.evidence import Z80, Range

from .lots import DEMAND_WEIGHED_SD_LOG, DRINKS, LOT_SD_LOG, Facts
from .notebook import Notebook

DRINKS_MORE_LOG, DRINKS_MORE_SD_LOG = 0.14, 0.11
"""Log of the water it drinks for grains smaller by a factor e, and how far that may be off."""
FARTHEST_LOG = math.log(4.0)
"""Practice says nothing of grains farther apart than fourfold: counted as fourfold, and known the less."""
THROUGH_SHARE = 0.5
"""Of two powders that passed sieves of two sizes the middles are about half as far apart, on a log scale."""
DRAWN = DEMAND_WEIGHED_SD_LOG**2 / (DEMAND_WEIGHED_SD_LOG**2 + LOT_SD_LOG**2)


@dataclass(frozen=True, kw_only=True)
class Sieved:
    """grain_times: size of the lot's grains over that of the lot before it. split: by the middles of sieve splits of
    both; else by the sieves they are said to have passed.
    """

    grain_times: float
    split: bool


def with_grains(book: Notebook, sieved: Mapping[str, Sieved]) -> tuple[Notebook, dict[str, Range]]:
    """The same notebook, expecting of each lot what its grains let it drink; and lot -> that over what it was."""
    moved = {f.key: _drinks_log(f, sieved[f.key]) for f in book.space.facts if f.key in sieved and f.role in DRINKS}
    if not moved:
        return book, {}
    known = copy(book)
    facts = tuple(_moved(f, moved[f.key]) if f.key in moved else f for f in book.space.facts)
    known.space = replace(book.space, facts=facts)
    return known, {key: _times(*found) for key, found in moved.items()}


def _drinks_log(facts: Facts, sieved: Sieved) -> tuple[float, float]:
    """Log of the factor, and its standard deviation."""
    share = (1.0 if sieved.split else THROUGH_SHARE) * (DRAWN if "water demand" in facts.measured else 1.0)
    smaller = -math.log(sieved.grain_times)
    counted = min(max(smaller, -FARTHEST_LOG), FARTHEST_LOG)
    return share * DRINKS_MORE_LOG * counted, share * DRINKS_MORE_SD_LOG * abs(smaller)


def _moved(facts: Facts, by: tuple[float, float]) -> Facts:
    return replace(facts, demand=facts.demand * math.exp(by[0]), demand_sd_log=math.hypot(facts.demand_sd_log, by[1]))


def _times(log: float, sd_log: float) -> Range:
    low, mid, high = (math.exp(log + z * sd_log) for z in (-Z80, 0.0, Z80))
    return Range(low=low, mid=mid, high=high)
