"""What all evidence says about recipes not yet mixed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.blas import dtrmm

from slake.ground.evidence import Z80

from . import ep
from .brief import Brief
from .history import Mixed, Site, sites_of
from .layout import Layout, Look, Table, design, seen_by, spreads, table, watered
from .own_readings import few_enough, own_scales, scattering
from .remainder import Looks, expected_cov, rows_of, shared
from .scales import FEW, USUAL, Scales

Array = NDArray[np.float64]
ODD_Z, ODD_Z_OF_MANY = 4.0, 6.0
"""Standard deviations from all others from which a reading is odd; of many batches some real ones lie 4 off."""
ODD_FACTOR = 12.0
MOST_ODD = 4
FEWEST_TO_SCALE = 4
MANY = 40
"""Batches from which every property is asked of its own scatter, and ranges of own misses."""
MOSTLY, LEAST_WIDTH = 0.8, 0.6
"""A range is set by own misses where at least this share of the readings is exact, and by no more than this factor."""

SLIP_EXPECTED = math.log(0.01)
"""One reading in a hundred is a slip: practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Odd:
    """A reading far from what everything else says: which, and how many standard deviations."""

    batch: int
    source: str
    z: float


@dataclass(frozen=True, kw_only=True)
class Belief:
    layout: Layout
    sites: tuple[Site, ...]
    rows: Table
    seen: Array
    smooth: Array
    fit: ep.Fit
    scale: Scales
    odd: tuple[Odd, ...] = ()
    half_widths: Mapping[str, float] = field(default_factory=dict)
    """By property: sds from the middle that hold eight in ten of the readings so far, each foretold by all others."""

    @property
    def looked(self) -> Looks:
        return Looks(smooth=self.smooth, tab=self.rows, rows=rows_of([site.look for site in self.sites]))


@dataclass(frozen=True, kw_only=True)
class Forecast:
    """Joint latent mean (n, L) and covariance (n, L, L) at n recipes; `looks` (n, L, d) and `cross` (n, L, s) let
    one ask what more evidence would do. `own_var` (n, L, L) is what a batch of each does by itself, at most the usual
    misfit: what readings miss by beyond that may as well be what the laws miss.
    """

    mean: Array
    cov: Array
    looks: Array
    cross: Array
    own_var: Array


@dataclass(frozen=True, kw_only=True)
class Sight:
    """The table of some recipes, and what the belief says of the same looks at each."""

    tab: Table
    view: Forecast


def learn(layout: Layout, batches: Sequence[Mixed], brief: Brief) -> Belief:
    """The belief after these batches; the scales of misfit are those that the evidence likes best."""
    known = {channel.name for channel in layout.channels}
    said = (s for i, b in enumerate(batches) for s in sites_of(b, i, brief))
    sites = few_enough(tuple(s for s in said if s.look.channel in known))
    fractions = np.array([b.fractions for b in batches]).reshape(len(batches), len(layout.space.facts) + 1)
    tab = table(layout, fractions)
    parts = (tab, *design(layout, tab, [s.look for s in sites]))
    own = own_scales(layout, sites, parts, _worth, many=len(batches) >= MANY)
    if len(batches) >= MANY:
        belief = _learn(layout, sites, parts, own)
        return replace(belief, half_widths=_half_widths(belief))
    scales = [scale.with_learned(own) for scale in (FEW if len(batches) >= FEWEST_TO_SCALE else (USUAL,))]
    beliefs = [_learn(layout, sites, parts, scale) for scale in scales]
    worth = [b.fit.log_evidence + b.scale.expected for b in beliefs]
    return _with_own_slopes(beliefs[int(np.argmax(worth))])


def _with_own_slopes(belief: Belief) -> Belief:
    """The same belief, errors of lots and water turned by the slopes it has learned instead of the expected ones."""
    if not belief.sites:
        return belief
    layout = replace(belief.layout, slopes=weights(belief)[0])
    parts = (belief.rows, *design(layout, belief.rows, [s.look for s in belief.sites]))
    return _learn(layout, belief.sites, parts, belief.scale)


def _half_widths(belief: Belief) -> dict[str, float]:
    """Few large misses among many small ones make a normal range too wide: what was missed so far says how wide.

    Half way only: the scales were chosen with the same readings.
    """
    found = {}
    for channel in belief.layout.channels:
        mine = [i for i, s in enumerate(belief.sites) if s.look.channel == channel.name]
        exact = [i for i in mine if belief.sites[i].low == belief.sites[i].high]
        if len(exact) >= MANY and len(exact) >= MOSTLY * len(mine):
            own = float(np.quantile(np.abs(belief.fit.cavity_z[exact]), 0.8))
            found[channel.name] = float(np.clip(math.sqrt(own * Z80), LEAST_WIDTH * Z80, Z80 / LEAST_WIDTH))
    return found


def _worth(layout: Layout, sites: tuple[Site, ...], parts: tuple[Table, Array, Array], scale: Scales) -> float:
    """Log evidence; each reading taken as a slip costs what slips are expected to."""
    belief = _learn(layout, sites, parts, scale)
    return belief.fit.log_evidence + len(belief.odd) * SLIP_EXPECTED


def _learn(layout: Layout, sites: tuple[Site, ...], parts: tuple[Table, Array, Array], scale: Scales) -> Belief:
    tab, seen, constant = parts
    looks = [site.look for site in sites]
    smooth, _ = spreads(layout, looks, scale)
    prior_cov = expected_cov(layout, scale, looks, (tab, seen))
    prior_mean = seen @ layout.mean + constant
    likelihood = scattering(sites, scale)
    fit, odd = _fitted(prior_mean, prior_cov, likelihood, sites)
    return Belief(layout=layout, sites=sites, rows=tab, seen=seen, smooth=smooth, fit=fit, scale=scale, odd=odd)


def _fitted(mean: Array, cov: Array, likelihood: ep.Sites, sites: tuple[Site, ...]) -> tuple[ep.Fit, tuple[Odd, ...]]:
    """Fits; then, one at a time, the exact reading farthest from all the others is kept but counts far less."""
    odd: list[Odd] = []
    known_odd = np.zeros(len(sites), dtype=np.bool_)
    fit = ep.fit(mean, cov, likelihood)
    far_off = ODD_Z if len({site.look.batch for site in sites}) < MANY else ODD_Z_OF_MANY
    for _ in range(MOST_ODD):
        size = np.where(known_odd, 0.0, np.abs(fit.cavity_z))
        if size.max(initial=0.0) <= far_off:
            break
        far = int(np.argmax(size))
        known_odd[far] = True
        odd.append(Odd(batch=sites[far].look.batch, source=sites[far].source, z=float(fit.cavity_z[far])))
        soft = likelihood.soft.copy()
        soft[far] = max(soft[far] * ODD_FACTOR, abs(fit.cavity_z[far]) * soft[far])
        likelihood = replace(likelihood, soft=soft)
        fit = ep.fit(mean, cov, likelihood)
    return fit, tuple(odd)


def forecast(belief: Belief, tab: Table, looks: Sequence[Look]) -> Forecast:
    """What the belief says of the given looks at every row of a table of recipes."""
    layout, n = belief.layout, len(tab.values)
    rows = list(range(n))
    pairs = [seen_by(layout, tab, look, rows) for look in looks]
    seen = np.stack([p[0] for p in pairs], axis=1)
    mean = np.stack([p[0] @ layout.mean + p[1] for p in pairs], axis=1)
    smooth, own = spreads(layout, list(looks), belief.scale)
    water = np.stack([watered(layout, tab, look, rows) for look in looks], axis=1)
    drips = water[:, :, None] * water[:, None, :]
    made = np.minimum(own, spreads(layout, list(looks), USUAL)[1])
    cov = (seen * layout.sd**2) @ np.swapaxes(seen, 1, 2) + smooth @ smooth.T + own @ own.T + drips
    cross = np.zeros((n, len(looks), len(belief.sites)))
    if belief.sites:
        cross = shared(layout, belief.scale, smooth, tab, belief.looked)
        cross += ((seen * layout.sd**2).reshape(-1, seen.shape[-1]) @ belief.seen.T).reshape(cross.shape)
        mean = mean + cross @ belief.fit.pull
        taken = _taken(belief, cross)
        cov = cov - taken @ np.swapaxes(taken, 1, 2)
    return Forecast(mean=mean, cov=_safe(cov), looks=seen, cross=cross, own_var=made @ made.T + drips)


def sight(belief: Belief, rows: Array, looks: Sequence[Look]) -> Sight:
    """The given looks at recipes (n, q)."""
    tab = table(belief.layout, rows)
    return Sight(tab=tab, view=forecast(belief, tab, looks))


def held(belief: Belief, cross: Array) -> Array:
    """(n, L, s) cross @ hold, as one product of matrices: many small ones take several times as long."""
    return np.asarray((cross.reshape(-1, cross.shape[-1]) @ belief.fit.hold).reshape(cross.shape))


def _taken(belief: Belief, cross: Array) -> Array:
    """(n, L, s) cross @ half.T: half the price of `held`, and its square is what evidence takes off."""
    flat = cross.reshape(-1, cross.shape[-1])
    found = dtrmm(1.0, belief.fit.half, flat.T, lower=1)
    return np.asarray(found.T.reshape(cross.shape))


def _safe(cov: Array) -> Array:
    cov = (cov + np.swapaxes(cov, -1, -2)) / 2
    diagonal = np.arange(cov.shape[-1])
    cov[..., diagonal, diagonal] = np.maximum(cov[..., diagonal, diagonal], 1e-8) * (1 + 1e-9)
    return cov


def weights(belief: Belief) -> tuple[Array, Array]:
    """Posterior mean and covariance of all weights."""
    layout = belief.layout
    prior = np.diag(layout.sd**2)
    if not belief.sites:
        return layout.mean, prior
    cross = prior @ belief.seen.T
    return layout.mean + cross @ belief.fit.pull, prior - cross @ belief.fit.hold @ cross.T
