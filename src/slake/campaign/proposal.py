"""The next batch slake would mix, with chance, predictions and reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slake.ground.evidence import Z80, Range

from .belief import Belief, Forecast, forecast
from .brief import Brief
from .chances import all_hold, line_chances, of_the_recipe, spread_of_chance
from .choose import Aim, Start, next_recipe
from .explain import explained
from .features import COMMON, features, wet
from .layout import table
from .least_known import LeastKnown, least_known
from .outcomes import Ending
from .reasons import reasons
from .told import Book

Array = NDArray[np.float64]
SIDE = 0.06
"""Difference of log water per water demand from which a batch counts as on the dry or wet side."""

FAR_SIDE = 0.3


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """fractions: of total wet paste as received, summing to 1. predictions: what each reading of the brief should
    show at 60 minutes, 80 % ranges. chance: middle, that the recipe holds every line together; low and high, the 10 and
    90 % ends of that of one batch of it, over what is still to be learned. why: plain sentences.
    """

    fractions: Mapping[str, float]
    predictions: Mapping[str, Range]
    chance: Range
    line_chances: Mapping[str, float]
    least_known: LeastKnown | None
    why: tuple[str, ...]
    phase: str
    water_per_dry: float
    outside: tuple[str, ...] = ()


def propose(book: Book, rng: np.random.Generator) -> Proposal:
    belief, aim = book.belief(), book.aim()
    chosen, likeliest = next_recipe(belief, aim, rng, first_side(book), failed(book))
    return described(book, belief, aim, chosen, side(book, chosen, likeliest))


def failed(book: Book) -> list[int]:
    """Batches that are not known to have held every line: what lies near one that did is not the less likely for it."""
    lines = len(book.brief.lines)
    return [
        number
        for number, told in enumerate(book.batches)
        if not all(verdict.held for verdict in explained(book.brief, told.mixed)[:lines])
    ]


def first_side(book: Book) -> Start | None:
    """The first two batches straddle the aim: the first on the dry side, for water goes in easily and comes out by a
    day of drying; the second on the wet side, unless the first already ran.
    """
    said = [told.mixed.outcome for told in book.batches]
    if len(said) > 1 or (said and said[0].has(Ending.TOO_RUNNY, Ending.PUDDLED)):
        return None
    way = 1.0 if said else -1.0

    def there(rows: Array, likeliest: Array) -> Array:
        wetness = features(book.space, np.concatenate([rows, likeliest[None, :]]))[:, COMMON.index("wet")]
        away = way * (wetness[:-1] - wetness[-1])
        return np.asarray(rows[(away >= SIDE) & (away <= FAR_SIDE)])

    return there


def side(book: Book, chosen: Array, likeliest: Array) -> str:
    """On which side of the likeliest recipe, in water per water demand, the chosen one lies; "aim" when close."""
    wetness = features(book.space, np.stack([chosen, likeliest]))[:, COMMON.index("wet")]
    away = float(wetness[0] - wetness[1])
    return "aim" if abs(away) < SIDE else "wet side" if away > 0 else "dry side"


def described(book: Book, belief: Belief, aim: Aim, recipe: Array, phase: str = "aim") -> Proposal:
    recipe = recipe / recipe.sum()
    view = forecast(belief, table(belief.layout, recipe[None, :]), aim.looks)
    meant = of_the_recipe(view)
    each = line_chances(meant, aim.windows)[0]
    names = [*(line.name for line in book.brief.lines), *aim.unsaid]
    chance = _chance(float(all_hold(meant.mean, meant.cov, aim.windows)[0]), spread_of_chance(view, aim.windows))
    lines = dict(zip(names, map(float, each), strict=True))
    lacking = least_known(belief, view, aim, int(np.argmin(each)))
    outside = _outside(book, recipe)
    return Proposal(
        fractions=dict(zip(book.keys, map(float, recipe), strict=True)),
        predictions=predicted(book.brief, belief, view),
        chance=chance,
        line_chances=lines,
        least_known=lacking,
        why=reasons(book, lines, chance, lacking, (phase, *outside)),
        phase=phase,
        water_per_dry=float(wet(book.space, recipe[None, :]).water_per_dry[0]),
        outside=outside,
    )


def _chance(mid: float, draws: Array) -> Range:
    low, high = np.quantile(draws, [0.1, 0.9])
    return Range(low=min(float(low), mid), mid=mid, high=max(float(high), mid))


def predicted(brief: Brief, belief: Belief, view: Forecast, row: int = 0) -> dict[str, Range]:
    """80 % range of the reading of each line of the brief, at one recipe of a forecast of its looks."""
    found = {}
    for i, line in enumerate(brief.lines):
        gauge = line.gauge.scattering(belief.scale.reading_of(line.gauge.channel.name))
        half = belief.half_widths.get(line.gauge.channel.name, Z80)
        found[line.name] = gauge.range80(float(view.mean[row, i]), float(view.cov[row, i, i]), half)
    return found


def _outside(book: Book, recipe: Array) -> tuple[str, ...]:
    """Ingredients whose fraction lies outside what has been mixed so far."""
    if not book.batches:
        return ()
    tried = np.array([told.fractions for told in book.batches])
    low, high = tried.min(0), tried.max(0)
    slack = 0.02 * (book.box[1] - book.box[0]) + 1e-6
    return tuple(k for k, x, a, b, s in zip(book.keys, recipe, low, high, slack, strict=True) if x < a - s or x > b + s)
