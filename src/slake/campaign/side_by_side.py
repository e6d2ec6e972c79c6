"""Two batches side by side: whether what differs between them is enough to explain what was read.

What all other batches say is asked how far the two should lie apart, given their recipes, lots, ages and machines;
what was read is held against that. What each group of differences brings is worked out one after the other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Z80, Range

from .belief import Belief, learn, weights
from .brief import Brief
from .gauge import Gauge
from .history import Mixed, Site, sites_of
from .layout import Layout, Look, seen_by, spreads, table
from .remainder import Looks, among

Array = NDArray[np.float64]
NO_DIFFERENCE_SD = Z80


class Enough(Enum):
    """Whether what differs explains what was read."""

    SAME = "no more apart than two batches of one recipe"
    YES = "what differs is enough to explain it"
    NO = "what differs is not enough to explain it: something that is not written down differs too"
    CANNOT_TELL = "what differs may explain it, but too little is known to tell"


@dataclass(frozen=True, kw_only=True)
class Part:
    """What one group of differences should bring, on the latent scale of the reading (its middle)."""

    words: str
    brings: float


@dataclass(frozen=True, kw_only=True)
class Apart:
    """One reading both batches have. `read` and `expected` (80 %) are first less second on the latent scale, which is
    the logarithm of the property for all but grades.
    """

    gauge: Gauge
    read: float
    expected: Range
    enough: Enough
    parts: tuple[Part, ...]


def apart(layout: Layout, brief: Brief, rest: Sequence[Mixed], pair: tuple[Mixed, Mixed]) -> tuple[Apart, ...]:
    """Every reading both batches of a pair have, first less second; `rest` are all the other batches."""
    belief = learn(layout, rest, brief)
    first, second = (_exact_sites(mixed, brief) for mixed in pair)
    gauges = {seen.gauge.name: seen.gauge for mixed in pair for seen in mixed.readings}
    both = [name for name in first if name in second]
    return tuple(_apart(belief, gauges[name], (first[name], second[name]), pair) for name in both)


def _exact_sites(mixed: Mixed, brief: Brief) -> Mapping[str, Site]:
    """The last two-sided thing said under each reading's name."""
    sites = sites_of(mixed, 0, brief)[: len(mixed.readings)]
    return {site.source: site for site in sites if math.isfinite(site.low) and math.isfinite(site.high)}


def _apart(belief: Belief, gauge: Gauge, sites: tuple[Site, Site], pair: tuple[Mixed, Mixed]) -> Apart:
    values = [(site.low + site.high) / 2 for site in sites]
    read = values[0] - values[1]
    looks = tuple(replace(site.look, row=n, batch=n) for n, site in enumerate(sites))
    rows = (pair[0].fractions, pair[1].fractions)
    mean, var, own = _expected(belief, looks, rows)
    reading = sum(site.soft**2 + (site.high - site.low) ** 2 / 12 for site in sites)
    sd, noise = math.sqrt(var + reading), math.sqrt(own + reading)
    return Apart(
        gauge=gauge,
        read=read,
        expected=Range(low=mean - Z80 * sd, mid=mean, high=mean + Z80 * sd),
        enough=_judged(read, mean, sd, noise),
        parts=_parts(belief, looks, rows),
    )


def _judged(read: float, mean: float, sd: float, noise: float) -> Enough:
    if abs(read) <= NO_DIFFERENCE_SD * noise:
        return Enough.SAME
    if abs(read - mean) > Z80 * sd:
        return Enough.NO
    return Enough.YES if abs(mean) >= abs(read) / 2 and mean * read > 0 else Enough.CANNOT_TELL


def _expected(
    belief: Belief, looks: tuple[Look, ...], rows: tuple[tuple[float, ...], ...]
) -> tuple[float, float, float]:
    """Mean and variance of first less second, and the share of the variance that is each batch's own."""
    layout = belief.layout
    tab = table(layout, np.array(rows))
    seen, constants = zip(*(seen_by(layout, tab, look, [n]) for n, look in enumerate(looks)), strict=True)
    across = seen[0][0] - seen[1][0]
    middle, spread = weights(belief)
    smooth, own = spreads(layout, list(looks), belief.scale)
    both = among(layout, belief.scale, Looks(smooth=smooth, tab=tab, rows=np.arange(2)))
    curved = float(both[0, 0] + both[1, 1] - 2 * both[0, 1])
    alone = float((own**2).sum())
    mean = float(across @ middle + constants[0][0] - constants[1][0])
    return mean, float(across @ spread @ across) + max(curved, 0.0) + alone, alone


def _parts(belief: Belief, looks: tuple[Look, ...], rows: tuple[tuple[float, ...], ...]) -> tuple[Part, ...]:
    """From the second batch to the first in steps: water, then the mix of solids, lots, paste age, machine."""
    watered = _with_water(rows[1], rows[0][-1])
    steps = [
        ("water", looks[1], watered),
        ("what the solids are", looks[1], rows[0]),
        ("other lots", replace(looks[1], lots=looks[0].lots), rows[0]),
        ("paste age at the reading", replace(looks[0], machine=looks[1].machine), rows[0]),
        ("the machine", looks[0], rows[0]),
    ]
    at = _middle(belief, looks[1], rows[1])
    found = []
    for words, look, row in steps:
        then = _middle(belief, look, row)
        if abs(then - at) > 1e-9:
            found.append(Part(words=words, brings=then - at))
        at = then
    return tuple(sorted(found, key=lambda part: -abs(part.brings)))


def _with_water(row: tuple[float, ...], water: float) -> tuple[float, ...]:
    """The same solids with another fraction of water (the last one)."""
    solids = 1 - row[-1]
    return (*(x * (1 - water) / solids for x in row[:-1]), water) if solids > 0 else row


def _middle(belief: Belief, look: Look, row: tuple[float, ...]) -> float:
    seen, constant = seen_by(belief.layout, table(belief.layout, np.array([row])), look, [0])
    return float(seen[0] @ weights(belief)[0] + constant[0])
