"""What a batch would teach: how soon a good recipe is to be expected if this one is mixed next.

Of the forms tried on made-up wastes (docs/belief.md), 1 / mean of the best chance afterwards needed fewest batches.
One step ahead, by draws: the readings this batch may give move the chances of the other recipes; the fewest batches
still to be expected decide. A batch that would stall or puddle is taken to teach nothing here.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from .belief import Belief, Forecast, Sight
from .chances import all_hold, draws, line_chances, of_the_recipe
from .layout import Look, Table, spreads
from .remainder import Looks, shared

Array = NDArray[np.float64]
LEAST_CHANCE = 0.02
"""A best chance below this counts as this."""
OUTCOMES = 16


@dataclass(frozen=True, kw_only=True)
class Question:
    """The lines: looks, windows, sd of one reading of each. `smooth`: (pool, L, tried, L) what the remainder
    shares, once.
    """

    looks: list[Look]
    windows: Array
    reading_sd: Array
    smooth: Array = field(default_factory=lambda: np.zeros(0))


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
    question = replace(question, smooth=_smooth_between(belief, question.looks, pool, tried))
    found = np.zeros(len(tried.values))
    for i in range(len(found)):
        chances = _after(belief, question, (pool, there), (tried, here, i))
        best = np.maximum((chances * left[0][:, None]).max(0), LEAST_CHANCE)
        learned = 1 / float(best.mean())
        found[i] = 1 + (1 - hit[i]) * (readable[i] * learned + (1 - readable[i]) * stay)
    return found


def _after(
    belief: Belief, question: Question, there: tuple[Table, Forecast], here: tuple[Table, Forecast, int]
) -> Array:
    """(pool, outcomes) chance of each recipe (lines taken apart) after the readings of one tried recipe."""
    between = _between(belief, question, there, here)
    tried, i = here[1], here[2]
    noisy = tried.cov[i] + np.diag(question.reading_sd**2)
    gain = between @ np.linalg.inv(noisy)
    var = np.diagonal(there[1].cov, axis1=1, axis2=2) - (gain * between).sum(2)
    sd = np.sqrt(np.maximum(var, 1e-8))[:, None, :]
    root = np.linalg.cholesky(noisy + 1e-10 * np.eye(len(noisy)))
    moves = draws(OUTCOMES, len(noisy)) @ root.T
    means = there[1].mean[:, None, :] + moves @ np.swapaxes(gain, 1, 2)
    low, high = question.windows[:, 0], question.windows[:, 1]
    return np.asarray((ndtr((high - means) / sd) - ndtr((low - means) / sd)).prod(2))


def _between(
    belief: Belief, question: Question, there: tuple[Table, Forecast], here: tuple[Table, Forecast, int]
) -> Array:
    """(pool, L, L) covariance of the lines at each pool recipe with those at one tried recipe, evidence counted."""
    (_, ahead), (_, mine, i) = there, here
    found = (ahead.looks * belief.layout.sd**2) @ mine.looks[i].T + question.smooth[:, :, i]
    if belief.sites:
        found = found - ahead.held @ mine.cross[i].T
    return np.asarray(found)


def _smooth_between(belief: Belief, looks: list[Look], pool: Table, tried: Table) -> Array:
    """(pool, L, tried, L) what the smooth remainder shares."""
    smooth, _ = spreads(belief.layout, looks, belief.scale)
    each, lines = len(tried.values), len(looks)
    there = Looks(smooth=np.tile(smooth, (each, 1)), tab=tried, rows=np.repeat(np.arange(each), lines))
    return shared(belief.layout, belief.scale, smooth, pool, there).reshape(len(pool.values), lines, each, lines)
