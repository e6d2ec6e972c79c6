"""The smallest change that mends a verdict: each is put through the same verdict again before it is said.

A change is as small as two figures allow: fed back it meets its aim, and half of it does not.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from slake.ground.units import from_si, to_si

from .changes import CHANGES, Change
from .inputs import Question
from .judging import chances, failing, judge

LOOKS, HALVINGS, FIRST_SHARE = 6, 6, 0.01


@dataclass(frozen=True, kw_only=True)
class Step:
    """A change by an amount, SI."""

    change: Change
    amount: float

    def words(self, question: Question) -> str:
        """What to do, in bench units, and what it then comes to."""
        change = self.change
        to = from_si(change.to(change.apply(question, self.amount)), change.to_unit)
        amount = from_si(self.amount, change.unit)
        return change.words.format(amount=_plain(amount, 2), to=_plain(to, 3))


def _plain(number: float, figures: int) -> str:
    """Without an exponent."""
    rounded = float(f"{number:.{figures}g}")
    return f"{rounded:.0f}" if abs(rounded) >= 100 else f"{rounded:g}"


@dataclass(frozen=True, kw_only=True)
class Suggestion:
    """Steps to take together. fixes: lines they bring to the target; breaks: lines that held and then would not.

    still: lines that fail before and after. whole: everything holds afterwards.
    """

    steps: tuple[Step, ...]
    fixes: tuple[str, ...]
    breaks: tuple[str, ...]
    still: tuple[str, ...]
    chance: float

    @property
    def whole(self) -> bool:
        return not self.breaks and not self.still

    def applied(self, question: Question, share: float = 1.0) -> Question:
        """The question with this share of every step made."""
        for step in self.steps:
            question = step.change.apply(question, share * step.amount)
        return question

    def met(self, question: Question) -> bool:
        """Whether in this question the lines it is for hold, and none but those it names fail."""
        bad = failing(question)
        return not bad & set(self.fixes) and bad <= {*self.breaks, *self.still}


def smallest_changes(question: Question) -> tuple[Suggestion, ...]:
    """What would mend the verdict: first what mends all of it, then what mends one line and says what it trades.

    Empty where everything holds, or where nothing here helps.
    """
    bad = failing(question)
    useful = [change for change in CHANGES if bad & set(change.helps)]
    able = [change for change in useful if bad <= set(change.helps)]
    single = [found for change in able if (found := _least(question, change, bad, frozenset())) is not None]
    if single or not bad:
        return tuple(single)
    parts = [found for change in useful for found in _parts(question, change, bad)]
    together = _together(question, bad)
    return (*((together,) if together else ()), *parts)


def _parts(question: Question, change: Change, bad: frozenset[str]) -> list[Suggestion]:
    """The smallest amounts of one change for single lines; those it makes fail are said."""
    found = []
    every = frozenset(chances(question))
    for name in sorted(bad & set(change.helps)):
        line = frozenset({name})
        one = _least(question, change, line, bad - line) or _least(question, change, line, every - line)
        found += [one] if one else []
    return found


def _least(question: Question, change: Change, wanted: frozenset[str], may_fail: frozenset[str]) -> Suggestion | None:
    """The smallest amount after which the wanted lines hold and only lines of `may_fail` do not."""

    def good(amount: float) -> bool:
        bad = failing(change.apply(question, amount))
        return not bad & wanted and bad <= may_fail

    amount = _first(good, change.most(question), change.unit)
    return None if amount is None else _suggested(question, (Step(change=change, amount=amount),), wanted)


def _suggested(question: Question, steps: tuple[Step, ...], fixes: frozenset[str]) -> Suggestion:
    before = failing(question)
    bare = Suggestion(steps=steps, fixes=tuple(sorted(fixes)), breaks=(), still=(), chance=0.0)
    after = judge(bare.applied(question))
    bad = frozenset(after.failing)
    return replace(bare, breaks=tuple(sorted(bad - before)), still=tuple(sorted(bad & before)), chance=after.chance)


def _first(good: Callable[[float], bool], most: float, unit: str) -> float | None:
    """The smallest amount that is good, rounded up to two figures of its bench unit; half of it is not good."""
    if most <= 0:
        return None
    looks = [most * FIRST_SHARE ** (1 - i / (LOOKS - 1)) for i in range(LOOKS)]
    high = next((amount for amount in looks if good(amount)), None)
    if high is None:
        return None
    low = max((amount for amount in looks if amount < high), default=0.0)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if good(middle) else (middle, high)
    rounded = _two_figures_up(high, unit)
    amount = rounded if rounded <= most and good(rounded) else high
    return None if good(amount / 2) else amount


def _two_figures_up(amount: float, unit: str) -> float:
    bench = from_si(amount, unit)
    step = 10.0 ** (math.floor(math.log10(bench)) - 1)
    return to_si(math.ceil(bench / step - 1e-9) * step, unit)


def _together(question: Question, bad: frozenset[str]) -> Suggestion | None:
    """One change for each failing line, the gentlest that harms no other, until everything holds."""
    steps: list[Step] = []
    now, left = question, bad
    while left:
        step = _gentlest(now, left, {key for made in steps for key in (made.change.key, made.change.undoes)})
        if step is None:
            return None
        steps.append(step)
        now = step.change.apply(now, step.amount)
        left = failing(now)
    found = _suggested(question, tuple(steps), bad)
    return None if found.met(found.applied(question, 0.5)) or not found.met(found.applied(question)) else found


def _gentlest(question: Question, bad: frozenset[str], used: set[str]) -> Step | None:
    """For the least likely line that some change mends without harm: the change that goes least far of its way."""
    known = chances(question)
    for name in sorted(bad, key=lambda n: (known[n] is None, known[n] or 0.0)):
        line = frozenset({name})
        tries = [
            _least(question, change, line, bad - line)
            for change in CHANGES
            if name in change.helps and change.key not in used
        ]
        steps = [found.steps[0] for found in tries if found is not None]
        if steps:
            return min(steps, key=lambda step: step.amount / step.change.most(question))
    return None
