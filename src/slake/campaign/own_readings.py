"""Which properties may say their own scales, and what their exact readings are asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from . import ep
from .history import Site, as_sites
from .layout import Layout, Table
from .own_scales import SHARE_OWN, SHARE_STRAIGHT, Case, learned
from .priors import CHANNELS, Channel
from .remainder import expected_cov, rows_of
from .scales import USUAL, Scales

Array = NDArray[np.float64]
FEWEST, FEWEST_EXPECTED = 8, 20
"""Exact readings from which a property says its own scales: one slake expects nothing of, and (many batches) any."""
MOST = 150
"""Readings asked at most, spread evenly over all: more say little else and take far longer."""
LEAST_SPREAD = 0.02
MANY_BOUNDS = 0.1
"""Share of a property's readings from which bounds (nothing fell, it stuck, the end of a scale) are asked as well."""
TIMES_TRIED = (1.0, 0.6, 1.7, 2.8, 4.6)


def own_scales(layout: Layout, sites: Sequence[Site], parts: tuple[Table, Array, Array], *, many: bool) -> Scales:
    """For each property with enough readings, what its own readings say of smooth remainder and own misfit."""
    scale = USUAL
    for channel in sorted(layout.channels, key=lambda c: len(layout.path(c.name))):
        exact = [i for i, s in enumerate(sites) if s.look.channel == channel.name and s.low == s.high]
        expected = channel.name in CHANNELS
        if len(exact) < (FEWEST_EXPECTED if expected else FEWEST) or (expected and not many):
            continue
        mine = np.array(exact)[_even(len(exact))]
        tab, seen, constant = parts
        case = _case(layout, [sites[i] for i in mine], (tab, seen[mine], constant[mine]), (channel, scale))
        scale = learned(scale, channel.name, (channel.smooth, channel.misfit), case, layout.space.unfamiliar)
        every = [i for i, s in enumerate(sites) if s.look.channel == channel.name]
        if len(exact) < (1 - MANY_BOUNDS) * len(every):
            all_told = (layout, tuple(sites[i] for i in every), (tab, seen[every], constant[every]))
            scale = _told_by_bounds_too(scale, channel.name, all_told)
    return scale


def _told_by_bounds_too(
    scale: Scales, channel: str, told: tuple[Layout, tuple[Site, ...], tuple[Table, Array, Array]]
) -> Scales:
    """The scales with sizes of remainder and own misfit that exact readings and bounds together like best: the exact
    ones alone are those that came out in the middle.
    """
    layout, sites, (tab, seen, constant) = told

    def worth(tried: Scales) -> float:
        cov = expected_cov(layout, tried, [site.look for site in sites], (tab, seen))
        return ep.fit(seen @ layout.mean + constant, cov, scattering(sites, tried)).log_evidence

    smooth, own = scale.of(channel)
    found = [_sized(scale, channel, smooth, own * times) for times in TIMES_TRIED]
    best = max(found, key=worth)
    return max((_sized(best, channel, smooth * times, best.of(channel)[1]) for times in TIMES_TRIED), key=worth)


def _sized(scale: Scales, channel: str, smooth: float, own: float) -> Scales:
    return replace(scale, single={**scale.single, channel: (smooth, own)})


def scattering(sites: Sequence[Site], scale: Scales) -> ep.Sites:
    """Likelihoods of some sites, exact readings with the scatter their scale says."""
    likelihood = as_sites(list(sites))
    times = np.array([scale.reading_of(site.look.channel) for site in sites])
    return replace(likelihood, soft=np.where(likelihood.exact, likelihood.soft * times, likelihood.soft))


def _even(count: int) -> NDArray[np.intp]:
    return np.unique(np.linspace(0, count - 1, min(count, MOST)).astype(np.intp))


def _case(
    layout: Layout, asked: Sequence[Site], parts: tuple[Table, Array, Array], what: tuple[Channel, Scales]
) -> Case:
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
