"""What it tells of other recipes that no recipe mixed so far holds every line.

A recipe next to one whose chance was one in four and that is still being bettered is a worse choice than its own chance
says: both hold or both fail. Without this a campaign repeats its best recipe with small changes for many batches.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from .belief import Belief, Forecast, Sight, forecast
from .chances import all_hold, draws, of_the_recipe
from .layout import Look, Table, spreads
from .remainder import Looks, shared

Array = NDArray[np.float64]
MOST_BATCHES = 8
LEAST_CHANCE = 0.003
DRAWS = 512
MOST_TIMES = 1.5


def times_left(
    belief: Belief,
    looks: list[Look],
    windows: Array,
    sights: tuple[Sight, Sight],
    failed: Collection[int] | None = None,
) -> tuple[Array, Array]:
    """For the recipes of two sights: their chance given that no recipe mixed so far holds every line, over
    their chance. `failed`: only of these batches.

    By draws of the joint Gaussian at the likeliest batches, each recipe conditional on them; at most MOST_TIMES.
    """
    found = [np.ones(len(one.view.mean)) for one in sights]
    tried = of_the_recipe(forecast(belief, belief.rows, looks)) if belief.sites else None
    if tried is None:
        return found[0], found[1]
    chance = all_hold(tried.mean, tried.cov, windows, 64)
    if failed is not None:
        chance = np.where([n in failed for n in range(len(chance))], chance, 0.0)
    likeliest = np.argsort(-chance)[:MOST_BATCHES]
    likeliest = likeliest[chance[likeliest] > LEAST_CHANCE]
    if not len(likeliest):
        return found[0], found[1]
    drawn = _Drawn(belief, looks, windows, (tried, likeliest))
    return drawn.times(sights[0]), drawn.times(sights[1])


class _Drawn:
    """Draws of the lines of the likeliest batches, and which of the draws hold in none of them."""

    def __init__(
        self, belief: Belief, looks: list[Look], windows: Array, batches: tuple[Forecast, NDArray[np.intp]]
    ) -> None:
        self.belief, self.looks, self.windows = belief, looks, windows
        view, self.rows = batches
        self.size = len(self.rows) * len(looks)
        self.seen = (view.looks[self.rows], view.cross[self.rows], belief.rows.at(self.rows))
        cov = _between(belief, looks, self.seen, self.seen)
        self.root = np.linalg.cholesky(cov + 1e-9 * np.trace(cov) / self.size * np.eye(self.size))
        both = draws(DRAWS, self.size + len(looks))
        self.draws, self.own = both[:, : self.size], both[:, self.size :]
        lines = (view.mean[self.rows].ravel() + self.draws @ self.root.T).reshape(DRAWS, len(self.rows), len(looks))
        self.none = ~_inside(lines, windows).any(1)

    def times(self, sight: Sight) -> Array:
        tab, view = sight.tab, of_the_recipe(sight.view)
        n, lines = view.mean.shape
        cross = _between(self.belief, self.looks, self.seen, (view.looks, view.cross, tab))
        half = solve_triangular(self.root, cross, lower=True, check_finite=False)
        mean = view.mean + (self.draws @ half).reshape(DRAWS, n, lines)
        by_recipe = half.reshape(self.size, n, lines).transpose(1, 0, 2)
        left = view.cov - np.swapaxes(by_recipe, 1, 2) @ by_recipe
        values, vectors = np.linalg.eigh((left + np.swapaxes(left, 1, 2)) / 2)
        root = vectors * np.sqrt(np.maximum(values, 1e-9))[:, None, :]
        held = np.asarray(_inside(mean + np.einsum("sl,nkl->snk", self.own, root), self.windows))
        none = np.asarray(self.none)[:, None]
        now, then = held.mean(0), (held & none).mean(0) / max(none.mean(), 1 / DRAWS)
        half_draw = 0.5 / DRAWS
        return np.asarray(np.clip((then + half_draw) / (now + half_draw), 0.0, MOST_TIMES))


def _inside(lines: Array, windows: Array) -> NDArray[np.bool_]:
    return np.asarray(((lines >= windows[:, 0]) & (lines <= windows[:, 1])).all(-1))


def _between(
    belief: Belief, looks: list[Look], some: tuple[Array, Array, Table], others: tuple[Array, Array, Table]
) -> Array:
    """(a L, b L) covariance of the lines at two sets of recipes, all evidence counted, own misfits apart.

    Each set: rows of weights (n, L, d), covariance with the evidence (n, L, s), their table.
    """
    smooth, _ = spreads(belief.layout, looks, belief.scale)
    (seen_a, cross_a, tab_a), (seen_b, cross_b, tab_b) = some, others
    flat_a, flat_b = (x.reshape(-1, x.shape[-1]) for x in (seen_a, seen_b))
    each, lines = len(tab_b.values), len(looks)
    there = Looks(smooth=np.tile(smooth, (each, 1)), tab=tab_b, rows=np.repeat(np.arange(each), lines))
    found = (flat_a * belief.layout.sd**2) @ flat_b.T
    found = found + shared(belief.layout, belief.scale, smooth, tab_a, there).reshape(found.shape)
    evidence_a, evidence_b = (x.reshape(-1, x.shape[-1]) for x in (cross_a, cross_b))
    return np.asarray(found - (evidence_a @ belief.fit.hold) @ evidence_b.T)
