"""Which properties may say their own scales, and what their exact readings are asked."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from . import ep
from .channel import Channel
from .history import Site, as_sites
from .layout import Layout, Table
from .own_scales import SHARE_OWN, SHARE_STRAIGHT, Case, learned
from .priors import CHANNELS
from .remainder import expected_cov, rows_of
from .scales import USUAL, Scales

Array = NDArray[np.float64]
Parts = tuple[Table, Array, Array]
"""Table of the recipes, and of each site its row on the weights and its constant."""
Worth = Callable[[Layout, tuple[Site, ...], Parts, Scales], float]
"""Log evidence of some sites under some scales, bounds and slips counted."""
FEWEST, FEWEST_EXPECTED = 5, 20
"""Exact readings from which a property says its own scales: one slake expects nothing of, and (many batches) any."""
MOST = 150
"""Readings asked at most, spread evenly over all: more say little else and take far longer."""
LEAST_SPREAD = 0.02
MOST_LOOKS = 2000
"""Readings and outcomes a belief is made of at most: time grows with their cube."""
MANY_BOUNDS = 0.1
"""Share of a property's readings from which those at the end of a scale, or that nothing fell, are asked as well."""
TIMES_TRIED = (1.0, 0.2, 0.35, 0.6, 1.7, 2.8, 4.6)
OWN_TIMES_TRIED = (*TIMES_TRIED, 7.5)


def few_enough(sites: tuple[Site, ...]) -> tuple[Site, ...]:
    """At most about MOST_LOOKS, whole batches: half of them the newest, half spread evenly over all before."""
    if len(sites) <= MOST_LOOKS:
        return sites
    batches = sorted({site.look.batch for site in sites})
    keep = max(MOST_LOOKS * len(batches) // len(sites), 2)
    newest, older = batches[-(keep // 2) :], batches[: -(keep // 2)]
    spread = np.linspace(0, len(older) - 1, min(keep - len(newest), len(older))).astype(np.intp)
    kept = {*newest, *(older[i] for i in spread)}
    return tuple(site for site in sites if site.look.batch in kept)


def own_scales(layout: Layout, sites: Sequence[Site], parts: Parts, worth: Worth, *, many: bool) -> Scales:
    """For each property with enough readings, what its own readings say of smooth remainder and own misfit."""
    scale = USUAL
    for channel in sorted(layout.channels, key=lambda c: len(layout.path(c.name))):
        every = [i for i, s in enumerate(sites) if s.look.channel == channel.name]
        exact = [i for i in every if sites[i].low == sites[i].high]
        expected = channel.name in CHANNELS
        if len(exact) < (FEWEST_EXPECTED if expected else FEWEST) or (expected and not many):
            continue
        read = [i for i in every if sites[i].source in {sites[j].source for j in exact}]
        bounded = len(exact) < (1 - MANY_BOUNDS) * len(read)
        if not (expected and bounded):
            case = _case(layout, *_of(exact, sites, parts), (channel, scale))
            scale = learned(scale, channel.name, (channel.smooth, channel.misfit), case, layout.space.unfamiliar)
        if bounded:
            scale = _climbed(scale, channel.name, partial(worth, layout, *_of(read, sites, parts)))
    return scale


def _of(which: list[int], sites: Sequence[Site], parts: Parts) -> tuple[tuple[Site, ...], Parts]:
    """At most MOST of those sites, spread evenly over all."""
    mine = np.array(which)[np.unique(np.linspace(0, len(which) - 1, min(len(which), MOST)).astype(np.intp))]
    return tuple(sites[i] for i in mine), (parts[0], parts[1][mine], parts[2][mine])


def _climbed(scale: Scales, channel: str, worth: Callable[[Scales], float]) -> Scales:
    """The sizes of remainder and own misfit that exact readings and bounds together like best: the exact ones alone
    are those that came out in the middle. Own misfit, then remainder, then own misfit again.
    """
    smooth, own = scale.of(channel)
    found: dict[tuple[float, float], float] = {}

    def value(pair: tuple[float, float]) -> float:
        if pair not in found:
            off = math.log(pair[0] / smooth) ** 2 + math.log(pair[1] / own) ** 2
            found[pair] = worth(_sized(scale, channel, *pair)) - 0.5 * off
        return found[pair]

    best = (smooth, own)
    for of_own in (True, False, True):
        times = OWN_TIMES_TRIED if of_own else TIMES_TRIED
        best = max(((best[0], own * t) if of_own else (smooth * t, best[1]) for t in times), key=value)
    return _sized(scale, channel, *best)


def _sized(scale: Scales, channel: str, smooth: float, own: float) -> Scales:
    return replace(scale, single={**scale.single, channel: (smooth, own)})


def scattering(sites: Sequence[Site], scale: Scales) -> ep.Sites:
    """Likelihoods of some sites, exact readings with the scatter their scale says."""
    likelihood = as_sites(list(sites))
    times = np.array([scale.reading_of(site.look.channel) for site in sites])
    return replace(likelihood, soft=np.where(likelihood.exact, likelihood.soft * times, likelihood.soft))


def _case(layout: Layout, asked: Sequence[Site], parts: Parts, what: tuple[Channel, Scales]) -> Case:
    (tab, seen, constant), (channel, scale) = parts, what
    looks = [site.look for site in asked]
    alone = replace(scale, single={**scale.single, channel.name: (0.0, 0.0)})
    gap = np.array([site.low for site in asked]) - seen @ layout.mean - constant
    batch = np.array([look.batch for look in looks])
    rows, known = rows_of(looks), channel.name in CHANNELS
    spread = max(float(gap.std()), LEAST_SPREAD)
    sizes = (channel.smooth, 0.01 * channel.smooth, channel.misfit)
    return Case(
        gap=gap,
        rest=expected_cov(layout, alone, looks, (tab, seen)),
        places=tab.shares[rows] if layout.space.unfamiliar else tab.local[rows],
        same=(batch[:, None] == batch[None, :]).astype(np.float64),
        scatter=np.array([site.soft for site in asked]),
        expected=sizes if known else (spread, SHARE_STRAIGHT * spread, SHARE_OWN * spread),
        known=known,
    )
