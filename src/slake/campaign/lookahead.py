"""What a batch would teach: how soon a good recipe is to be expected if this one is mixed next.

Of the forms tried on made-up wastes (docs/belief.md), 1 / mean of the best chance afterwards needed fewest batches.
One step ahead, by draws: the readings this batch may give move the chances of the other recipes; the fewest batches
still to be expected decide. A batch that would stall or puddle is taken to teach nothing here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from .belief import Belief, Forecast, Sight, held
from .chances import all_hold, draws, line_chances, of_the_recipe
from .layout import Look, Table, spreads
from .remainder import Looks, shared

Array = NDArray[np.float64]
LEAST_CHANCE = 0.02
"""A best chance below this counts as this."""
OUTCOMES = 16


@dataclass(frozen=True, kw_only=True)
class Question:
    """The lines: looks, windows, sd of one reading of each."""

    looks: list[Look]
    windows: Array
    reading_sd: Array


def batches_to_expect(
    belief: Belief, question: Question, sights: tuple[Sight, Sight], readable: Array, left: tuple[Array, Array]
) -> Array:
    """For each tried recipe: batches to expect until all lines hold, this one included, if it is mixed next. `sights`
    and `left` are of the pool and of the tried recipes; `left` is what their chances are multiplied by because no
    batch so far held every line.
    """
    pool, tried = (one.tab for one in sights)
    there, here = of_the_recipe(sights[0].view), sights[1].view
    ours = of_the_recipe(here)
    now = line_chances(there, question.windows).prod(1) * left[0]
    hit = np.minimum(all_hold(ours.mean, ours.cov, question.windows, 4 * OUTCOMES) * left[1], 1.0)
    stay = 1 / max(float(now.max(initial=0)), LEAST_CHANCE)
    between = _between(belief, question.looks, (pool, there), (tried, here))
    found = np.zeros(len(tried.values))
    for i in range(len(found)):
        chances = _after(question, between[:, :, i], there, (here, i))
        best = np.maximum((chances * left[0][:, None]).max(0), LEAST_CHANCE)
        learned = 1 / float(best.mean())
        found[i] = 1 + (1 - hit[i]) * (readable[i] * learned + (1 - readable[i]) * stay)
    return found


def _after(question: Question, between: Array, there: Forecast, here: tuple[Forecast, int]) -> Array:
    """(pool, outcomes) chance of each recipe (lines taken apart) after the readings of one tried recipe; `between`:
    (pool, L, L) covariance of their lines with its own.
    """
    tried, i = here
    noisy = tried.cov[i] + np.diag(question.reading_sd**2)
    gain = between @ np.linalg.inv(noisy)
    var = np.diagonal(there.cov, axis1=1, axis2=2) - (gain * between).sum(2)
    sd = np.sqrt(np.maximum(var, 1e-8))[:, None, :]
    root = np.linalg.cholesky(noisy + 1e-10 * np.eye(len(noisy)))
    moves = draws(OUTCOMES, len(noisy)) @ root.T
    means = there.mean[:, None, :] + moves @ np.swapaxes(gain, 1, 2)
    low, high = question.windows[:, 0], question.windows[:, 1]
    return np.asarray((ndtr((high - means) / sd) - ndtr((low - means) / sd)).prod(2))


def _between(belief: Belief, looks: list[Look], pool: tuple[Table, Forecast], tried: tuple[Table, Forecast]) -> Array:
    """(pool, L, tried, L) covariance of lines at each pool recipe with those at each tried one, evidence counted."""
    (tab, there), (other, here) = pool, tried
    found = _smooth_between(belief, looks, tab, other)
    seen = (there.looks * belief.layout.sd**2).reshape(-1, there.looks.shape[-1])
    more = seen @ here.looks.reshape(-1, here.looks.shape[-1]).T
    if belief.sites:
        evidence = held(belief, there.cross).reshape(-1, there.cross.shape[-1])
        more -= evidence @ here.cross.reshape(-1, here.cross.shape[-1]).T
    return np.asarray(found + more.reshape(found.shape))


def _smooth_between(belief: Belief, looks: list[Look], pool: Table, tried: Table) -> Array:
    """(pool, L, tried, L) what the smooth remainder shares."""
    smooth, _ = spreads(belief.layout, looks, belief.scale)
    each, lines = len(tried.values), len(looks)
    there = Looks(smooth=np.tile(smooth, (each, 1)), tab=tried, rows=np.repeat(np.arange(each), lines))
    return shared(belief.layout, belief.scale, smooth, pool, there).reshape(len(pool.values), lines, each, lines)
