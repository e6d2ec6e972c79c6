"""The smallest changes that make a verdict pass: each is put through the same verdict again before it is said.

A change may have several parts, made together. It counts as it is written: the figures printed, typed back, pass, and
half of every part does not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .change import Change
from .changes import CHANGES
from .inputs import Question
from .judging import failing, judge
from .search import Reach, cheapest, moved, reach
from .suggestion import Step, Suggestion

Array = NDArray[np.float64]
SPARES, FIGURES, HALVINGS, FURTHER = (0.004, 0.02, 0.08, 0.25), (2, 3, 4, 5), 9, 1.5
MOST_SETS, LEAST_SLOPE, NOT_MUCH_MORE = 3, 1e-3, 1.6
MOST_PARTS, MOST_OTHERS = 3, 2
LOOKS, FIRST_SHARE = 7, 0.01


@dataclass(frozen=True, kw_only=True)
class _Aim:
    """What a change is for: these lines shall hold, and only those of `may_fail` may not."""

    question: Question
    wanted: frozenset[str]
    may_fail: frozenset[str] = frozenset()

    def good(self, question: Question) -> bool:
        bad = failing(question)
        return not bad & self.wanted and bad <= self.may_fail

    def held(self, question: Question) -> frozenset[str]:
        """Of the wanted lines those that hold."""
        return self.wanted - failing(question)


@dataclass(frozen=True, kw_only=True)
class Mends:
    """whole: after these every line holds. part: where there is none, what mends some lines and says what it leaves."""

    whole: tuple[Suggestion, ...] = ()
    part: tuple[Suggestion, ...] = ()


def smallest_changes(question: Question) -> tuple[Suggestion, ...]:
    """Changes after which every line holds. Empty where everything holds, or where none of them can do it."""
    return mends(question).whole


def mends(question: Question) -> Mends:
    """What makes the verdict pass, those of fewest parts and least effort first; else what helps in part."""
    bad = failing(question)
    if not bad:
        return Mends()
    at = reach(question, CHANGES)
    every = frozenset(at.names)
    beyond = _beyond(at, bad)
    found = () if beyond else _mending(at, _Aim(question=question, wanted=every))
    if found or bad == beyond:
        return Mends(whole=found)
    rest = _mending(at, _Aim(question=question, wanted=every - beyond, may_fail=beyond)) if beyond else ()
    return Mends(part=rest or tuple(_for_one_line(at, bad - beyond)))


def _beyond(at: Reach, bad: frozenset[str]) -> frozenset[str]:
    """Lines that fail and that no change here moves."""
    best = at.slope.max(axis=1, initial=0.0)
    return frozenset(name for name, slope in zip(at.names, best, strict=True) if name in bad and slope <= LEAST_SLOPE)


def _for_one_line(at: Reach, bad: frozenset[str]) -> Iterator[Suggestion]:
    """For each line the change of least effort that mends it, whatever it does to the others."""
    for name in sorted(bad):
        aim = _Aim(question=at.question, wanted=frozenset({name}), may_fail=frozenset(at.names))
        found = min(_singles(at, aim), key=lambda one: one.effort, default=None)
        if found is not None:
            yield found


def _mending(at: Reach, aim: _Aim) -> tuple[Suggestion, ...]:
    single = list(_singles(at, aim))
    sets = list(_sets(at, aim)) if len(single) < MOST_SETS else []
    cheaper = min((one.effort for one in single), default=np.inf)
    more = [one for one in sets if one.effort < cheaper]
    found = {tuple(step.change.key for step in one.steps): one for one in (*more, *single)}
    return tuple(sorted(found.values(), key=lambda one: (len(one.steps), one.effort)))


def _singles(at: Reach, aim: _Aim) -> Iterator[Suggestion]:
    """Every change that does it alone."""
    bad = failing(aim.question) & aim.wanted
    rows = [i for i, name in enumerate(at.names) if name in bad]
    for i, change in enumerate(at.pool):
        if np.all(at.slope[rows, i] > LEAST_SLOPE):
            found = _single(at.only(frozenset({change.key})), aim)
            if found is not None:
                yield found


def _single(at: Reach, aim: _Aim) -> Suggestion | None:
    """Looked at from near to far; where one look mends what is wanted after harm began, it is sought between them."""
    change = at.pool[0]
    held = aim.held(aim.question)
    for k in range(LOOKS):
        path = np.array([change.furthest(aim.question) * FIRST_SHARE ** (1 - k / (LOOKS - 1))])
        new = moved(aim.question, [change], path)
        if aim.good(new):
            return _written(aim, (change,), path)
        before, held = held, aim.held(new)
        if aim.wanted == before | held and aim.wanted not in (before, held):
            return _set(at, aim, thorough=False)
    return None


def _sets(at: Reach, aim: _Aim) -> Iterator[Suggestion]:
    """The set of least effort, and those without one of its parts each that are not much more to do."""
    first = _set(at, aim)
    if first is None:
        return
    first = _fewer(at, aim, first)
    yield first
    dearest = sorted(first.steps, key=lambda step: -step.change.effort(aim.question, step.value))
    for step in dearest[:MOST_OTHERS] if len(first.steps) > 1 else ():
        other = _set(at.without(frozenset({step.change.key})), aim, thorough=False)
        if other is not None and other.effort < NOT_MUCH_MORE * first.effort and len(other.steps) <= MOST_PARTS:
            yield other


def _fewer(at: Reach, aim: _Aim, found: Suggestion) -> Suggestion:
    """The same without the parts that the others can do for, the slightest tried first."""
    for step in sorted(found.steps, key=lambda step: step.change.effort(aim.question, step.value)):
        keys = frozenset(one.change.key for one in found.steps) - {step.change.key}
        if len(keys) > 1:
            found = _set(at.only(keys), aim, thorough=False) or found
    return found


def _set(at: Reach, aim: _Aim, thorough: bool = True) -> Suggestion | None:
    for spare in SPARES:
        path = cheapest(at, aim.wanted, spare, thorough)
        if path is None:
            return None
        twice = _both_ways(at.pool, path)
        if twice:
            return _set(at.without(twice), aim, thorough)
        used = [i for i, far in enumerate(path) if far > 0]
        found = _written(aim, tuple(at.pool[i] for i in used), path[used])
        if found is not None:
            return found
    return None


def _both_ways(pool: Sequence[Change], path: Array) -> frozenset[str]:
    """Of one setting moved both ways, the way it goes less far."""
    used = sorted((far, change.key, change.field) for change, far in zip(pool, path, strict=True) if far)
    fields = [field for _, _, field in used]
    return frozenset(key for i, (_, key, field) in enumerate(used) if field in fields[i + 1 :])


def _written(aim: _Aim, parts: tuple[Change, ...], path: Array) -> Suggestion | None:
    """The nearest point on this way that does it, rounded as little as it bears; None where half of it does it too."""

    def good(share: float) -> bool:
        return aim.good(moved(aim.question, parts, share * path))

    share = _least_share(good)
    if share is None:
        return None
    values = [change.at(aim.question, share * far) for change, far in zip(parts, path, strict=True)]
    for figures in FIGURES:
        steps = tuple(
            Step(change=change, written=change.rounded(aim.question, value, figures))
            for change, value in zip(parts, values, strict=True)
        )
        if all(step.change.fits(aim.question, step.value) for step in steps):
            found = _tried(aim, steps)
            if aim.good(found.applied(aim.question)) and not aim.good(found.applied(aim.question, 0.5)):
                return _judged(aim, found)
    return None


def _least_share(good: Callable[[float], bool]) -> float | None:
    """The smallest share of a way that is good, where there is one near its end."""
    high = next((share for share in (1.0, 1.02, 1.1, FURTHER) if good(share)), None)
    if high is None:
        return None
    low = 0.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if good(middle) else (middle, high)
    return high


def _tried(aim: _Aim, steps: tuple[Step, ...]) -> Suggestion:
    effort = sum(step.change.effort(aim.question, step.value) for step in steps)
    return Suggestion(steps=steps, fixes=tuple(sorted(aim.wanted)), breaks=(), still=(), chance=0.0, effort=effort)


def _judged(aim: _Aim, found: Suggestion) -> Suggestion:
    before, after = failing(aim.question), judge(found.applied(aim.question))
    bad = frozenset(after.failing)
    return Suggestion(
        steps=found.steps,
        fixes=tuple(sorted((before - bad) & aim.wanted)),
        breaks=tuple(sorted(bad - before)),
        still=tuple(sorted(bad & before)),
        chance=after.chance,
        effort=found.effort,
    )
