"""Whether 80 % ranges kept their word: readings beside what was foretold of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from scipy.special import betaincinv, ndtr, stdtrit

from slake.ground.evidence import Z80, Range

TAIL = 0.2
"""Of an 80 % range: what lies outside it."""
KEPT_FROM, KEPT_TO = 0.75, 0.88
"""Of readings inside: what counts as eight in ten (our choice, no source)."""
FEWEST = 8
"""Readings below which nothing is said (our choice, no source)."""


class Word(Enum):
    KEPT = "the ranges kept their word"
    NARROW = "the ranges are too narrow"
    WIDE = "the ranges are too wide"
    FEW = "too few readings to say"


@dataclass(frozen=True, kw_only=True)
class Foretold:
    """One reading of batch number `batch` (from 0) and the range that was foretold for it, in the unit of the reading.

    `low`, `high`: what the reading says, equal where it is one number; infinite where it is open to that side.
    """

    batch: int
    name: str
    around: Range
    low: float
    high: float

    @property
    def is_number(self) -> bool:
        return self.low == self.high

    @property
    def spread(self) -> float:
        """Share of what was foretold that the reading leaves possible: 0 for a number, near 1 where it says little."""
        return 0.0 if self.is_number else self._below(self.high) - self._below(self.low)

    @property
    def inside(self) -> float:
        """1 inside the range, 0 outside; of a reading that is no one number the share of it that lies inside."""
        if self.is_number:
            return float(self.around.low <= self.low <= self.around.high)
        below, above = self._below(self.low), self._below(self.high)
        if above - below < 1e-9:
            return float(self.low <= self.around.high and self.high >= self.around.low)
        return max(0.0, min(above, 1 - TAIL / 2) - max(below, TAIL / 2)) / (above - below)

    def _below(self, value: float) -> float:
        """Chance foretold for less than this: half a normal to each side of the middle."""
        away = value - self.around.mid
        half = (self.around.high - self.around.mid) if away > 0 else (self.around.mid - self.around.low)
        if half <= 0 or math.isinf(away):
            return float(away > 0) + 0.5 * (away == 0)
        return float(ndtr(Z80 * away / half))

    @property
    def score(self) -> float:
        """Interval score: width of the range, and what it was missed by, ten times. Lower is better.

        Source: gneiting_raftery2007.
        """
        value = min(max(self.around.low, self.low), self.high)
        missed = max(self.around.low - value, value - self.around.high, 0.0)
        return self.around.high - self.around.low + 2 / TAIL * missed


@dataclass(frozen=True, kw_only=True)
class Kept:
    """`share` of the readings inside, with its 90 % interval. `numbers`: for how many exact readings they count.

    `score`: mean interval score; `score_without`: that of ranges that know no recipe, nan where there are too few.
    """

    count: int
    numbers: float
    share: float
    share_low: float
    share_high: float
    score: float
    word: Word
    score_without: float = math.nan


def kept_word(foretold: Sequence[Foretold]) -> Kept:
    """Of one line, where readings count as one each; their batches are different ones."""
    inside = np.array([one.inside for one in foretold])
    numbers = float(sum(1 - one.spread for one in foretold))
    score = float(np.mean([one.score for one in foretold])) if foretold else math.nan
    found = _kept(len(foretold), numbers, float(inside.mean()) if foretold else math.nan, score)
    return replace(found, score_without=score_without_recipes([one for one in foretold if one.is_number]))


def score_without_recipes(foretold: Sequence[Foretold]) -> float:
    """Mean interval score of the same readings, each foretold from the middle and scatter of all others alone: what
    knowing the recipe is worth. nan for fewer than FEWEST.
    """
    if len(foretold) < FEWEST:
        return math.nan
    values = np.array([one.low for one in foretold])
    scores = []
    for i, one in enumerate(foretold):
        rest = np.delete(values, i)
        mid, half = float(rest.mean()), float(rest.std(ddof=1) * math.sqrt(1 + 1 / len(rest)))
        half *= float(stdtrit(len(rest) - 1, 1 - TAIL / 2))
        scores.append(replace(one, around=Range(low=mid - half, mid=mid, high=mid + half)).score)
    return float(np.mean(scores))


def kept_together(foretold: Sequence[Foretold]) -> Kept:
    """Of all lines together: readings of one batch err together, so they count for as many as their batches bear out.

    Of no score: its unit is that of the reading.
    """
    if not foretold:
        return _kept(0, 0.0, math.nan, math.nan)
    inside, numbers = (np.array(x) for x in zip(*((one.inside, 1 - one.spread) for one in foretold), strict=True))
    share = float(inside.mean())
    batches = sorted({one.batch for one in foretold})
    which = np.array([batches.index(one.batch) for one in foretold])
    off = np.bincount(which, inside - share)
    between = float((off**2).sum()) / len(foretold) ** 2 * len(batches) / max(len(batches) - 1, 1)
    alone = share * (1 - share) / max(float(numbers.sum()), 1e-9)
    times = max(between / alone, 1.0) if alone > 0 and between > 0 else len(foretold) / len(batches)
    return _kept(len(foretold), max(float(numbers.sum()) / times, min(len(batches), numbers.sum())), share, math.nan)


def _kept(count: int, numbers: float, share: float, score: float) -> Kept:
    low, high = share_interval(share, numbers)
    word = Word.KEPT
    if numbers < FEWEST - 0.5:
        word = Word.FEW
    elif high < KEPT_FROM:
        word = Word.NARROW
    elif low > KEPT_TO:
        word = Word.WIDE
    return Kept(count=count, numbers=numbers, share=share, share_low=low, share_high=high, score=score, word=word)


def share_interval(share: float, count: float) -> tuple[float, float]:
    """90 % interval of a share found in this many: equal tails of a beta distribution that half a hit and half a miss
    are added to (Jeffreys). Source: brown_cai_dasgupta2001.
    """
    if count <= 0 or math.isnan(share):
        return 0.0, 1.0
    hits, misses = share * count, (1 - share) * count
    low = float(betaincinv(hits + 0.5, misses + 0.5, 0.05)) if hits > 0 else 0.0
    high = float(betaincinv(hits + 0.5, misses + 0.5, 0.95)) if misses > 0 else 1.0
    return low, high
