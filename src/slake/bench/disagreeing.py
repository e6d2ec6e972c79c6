"""Readings of one property that do not agree, and what most likely lies behind it.

Every cause is tried out (causes.py) and the one under which all readings agree best is named.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from scipy.special import log_ndtr
from scipy.stats import norm

from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import plain

from .causes import Cause, Guess, aged_guess, ages_differ, guesses
from .together import Look, covariance, value_of

ALIKE_WITHIN, UNLIKE_WITHIN = 0.01, 0.0455
"""Chance of calling readings that agree a disagreement, shared among all pairs: of one test, whose scatter is all
there is between them, and of two tests, whose wide calibration errors are rarely both at their ends."""
NEARLY_AS_LIKELY = 0.4
"""Of two causes the second is named too where it is at least this likely against the first: practice."""
CLEARLY_STIFFER = math.log(1.5)
STIFFENS, STIFFENS_SD = 0.28, 0.2
"""Log of stiffness gained per log of paste age: practice, a paste tested at 10 min has doubled by 2 h."""
USUAL_LOG_PA, USUAL_LOG_PA_SD = math.log(1000.0), 1.3
DO = {
    Cause.AGE: "compare readings taken at the same minute; nothing is wrong with either",
    Cause.OUT_OF_RANGE: "go by the other one, or read again with what fits this paste",
    Cause.WRONG_INSTRUMENT: "look at what it was read with; if so, strike it through and type it again",
    Cause.SLIP_BY_TEN: "look at the note or the scale; if so, strike it through and type it again",
    Cause.UNKNOWN: "read both again in fresh spots, one right after the other",
}


@dataclass(frozen=True, kw_only=True)
class Disagreement:
    """Two readings that differ by more than their ranges allow. `odd` is the one the cause speaks of, None for both.

    ratio: how many times the larger is the smaller. chance: of this cause against the other ones tried. or_cause: the
    next one where it is nearly as likely, which `words` then names too; None where the first is clearly ahead.
    """

    one: Look
    other: Look
    ratio: float
    cause: Cause
    odd: Look | None
    chance: float
    words: str
    or_cause: Cause | None = None


def disagreement(
    looks: Sequence[Look], instruments: Mapping[str, Mapping[str, object]] | None = None
) -> Disagreement | None:
    """What is wrong among readings of one property, None where they agree.

    instruments: name -> facts (SI, by input name) of other instruments of this bench a reading might have been taken
    with. Readings of different paste ages are compared as they are: a difference that ageing explains is said so.
    """
    pairs = list(combinations(range(len(looks)), 2))
    as_read = Guess(cause=Cause.UNKNOWN, weight=1.0, looks=tuple(looks))
    apart = [(_gap(as_read, i, j) - _allowed(looks[i], looks[j], len(pairs)), i, j) for i, j in pairs]
    worst, i, j = max(apart, default=(0.0, 0, 0))
    if worst <= 0:
        return _aged(looks, pairs)
    tried = [*guesses(looks, instruments or {}, (i, j))]
    scores = [math.log(guess.weight) + _log_fit(guess) for guess in tried]
    best, *others = _by_cause(tried, scores)
    total = math.fsum(chance for _, chance in (best, *others))
    found = _said(looks, (i, j), best[0], best[1] / total)
    named = [(guess, chance) for guess, chance in others if guess.cause is not Cause.UNKNOWN]
    if best[0].cause is Cause.UNKNOWN or not named or named[0][1] < NEARLY_AS_LIKELY * best[1]:
        return found
    return _or_else(found, named[0][0])


def _by_cause(tried: Sequence[Guess], scores: Sequence[float]) -> list[tuple[Guess, float]]:
    """The best guess of each cause with the weight of all its guesses together, the cause of the best guess first and
    the others by weight.
    """
    top = max(scores)
    best: dict[Cause, tuple[float, Guess]] = {}
    weight: dict[Cause, float] = {}
    for guess, score in zip(tried, scores, strict=True):
        weight[guess.cause] = weight.get(guess.cause, 0.0) + math.exp(score - top)
        if guess.cause not in best or score > best[guess.cause][0]:
            best[guess.cause] = (score, guess)
    order = sorted(best, key=lambda cause: (best[cause][0] < top, -weight[cause]))
    return [(best[cause][1], weight[cause]) for cause in order]


def _or_else(found: Disagreement, guess: Guess) -> Disagreement:
    """A second cause that is nearly as likely is named with the first."""
    words = f"{found.words}. Or else {guess.words}; {DO[guess.cause]}"
    return replace(found, or_cause=guess.cause, words=words)


def _aged(looks: Sequence[Look], pairs: Sequence[tuple[int, int]]) -> Disagreement | None:
    """Readings within their ranges but of very different paste ages, the older one clearly stiffer: said as ageing."""
    for i, j in pairs:
        one, other = sorted((looks[i], looks[j]), key=lambda look: look.log_age or 0.0)
        if not ages_differ(one, other) or one.evidence.kind is not Kind.EXACT or other.evidence.kind is not Kind.EXACT:
            continue
        grown = value_of(other.evidence) - value_of(one.evidence)
        if one.evidence.on_log and grown > CLEARLY_STIFFER:
            guess = aged_guess(tuple(looks), one, other)
            return _said(looks, (i, j), guess, 1.0)
    return None


def _allowed(one: Look, other: Look, pairs: int) -> float:
    """Standard deviations two readings may lie apart."""
    within = ALIKE_WITHIN if one.test.id == other.test.id else UNLIKE_WITHIN
    return float(norm.isf(within / 2 / pairs))


def _said(looks: Sequence[Look], pair: tuple[int, int], guess: Guess, chance: float) -> Disagreement:
    one, other = sorted((looks[n] for n in pair), key=lambda look: value_of(look.evidence))
    low, high = value_of(one.evidence), value_of(other.evidence)
    ratio = math.exp(high - low) if one.evidence.on_log else (high / low if low > 0 else math.inf)
    odd = None if guess.odd is None else looks[guess.odd]
    two = plain(float(f"{ratio:.2g}"))
    times = f"differ {two} times" if math.isfinite(ratio) else "differ by more than their ranges allow"
    words = f"{one.called} and {other.called} {times}: {guess.words}; {DO[guess.cause]}"
    return Disagreement(one=one, other=other, ratio=ratio, cause=guess.cause, odd=odd, chance=chance, words=words)


def _log_fit(guess: Guess) -> float:
    """How well all readings agree under a guess: log densities of all differences, and of a usual paste."""
    pairs = combinations(range(len(guess.looks)), 2)
    return sum(_pair_log_fit(guess, i, j) for i, j in pairs) + _usual(guess)


def _pair_log_fit(guess: Guess, i: int, j: int) -> float:
    one, other = guess.looks[i].evidence, guess.looks[j].evidence
    difference, var = _difference(guess, i, j)
    if one.kind is Kind.EXACT and other.kind is Kind.EXACT:
        return -0.5 * difference**2 / var - 0.5 * math.log(2 * math.pi * var)
    sign = _open_side(one, other)
    return 0.0 if sign == 0 else float(log_ndtr(-sign * difference / math.sqrt(var)))


def _gap(guess: Guess, i: int, j: int) -> float:
    """By how many standard deviations two readings contradict each other; below zero they cannot."""
    one, other = guess.looks[i].evidence, guess.looks[j].evidence
    difference, var = _difference(guess, i, j)
    if one.kind is Kind.EXACT and other.kind is Kind.EXACT:
        return abs(difference) / math.sqrt(var)
    return _open_side(one, other) * difference / math.sqrt(var)


def _open_side(one: Evidence, other: Evidence) -> int:
    """+1 where a contradiction has `one` above `other`, -1 the other way round, 0 where there can be none."""
    if one.kind in (Kind.ABOVE, Kind.EXACT) and other.kind in (Kind.BELOW, Kind.EXACT):
        return 0 if one.kind is other.kind else 1
    if one.kind in (Kind.BELOW, Kind.EXACT) and other.kind in (Kind.ABOVE, Kind.EXACT):
        return -1
    return 0


def _difference(guess: Guess, i: int, j: int) -> tuple[float, float]:
    """value of i less value of j, and the variance it has where both read the same paste."""
    one, other = guess.looks[i], guess.looks[j]
    joint = covariance((one, other))
    var = float(joint[0, 0] + joint[1, 1] - 2 * joint[0, 1])
    difference = value_of(one.evidence) - value_of(other.evidence)
    if guess.odd in (i, j) or (guess.odd is None and guess.cause is Cause.UNKNOWN):
        var += guess.spare
    if guess.ages and one.log_age is not None and other.log_age is not None:
        older = one.log_age - other.log_age
        difference, var = difference - STIFFENS * older, var + (STIFFENS_SD * older) ** 2
    return difference, max(var, 1e-12)


def _usual(guess: Guess) -> float:
    """Which of two readings slipped is told by where pastes usually lie; only stiffness has such a place."""
    found = [look.evidence for look in guess.looks if look.evidence.kind is Kind.EXACT]
    if not found or found[0].informs != "yield_stress_pa":
        return 0.0
    middle = sum(value_of(one) for one in found) / len(found)
    return float(norm.logpdf(middle, USUAL_LOG_PA, USUAL_LOG_PA_SD))
