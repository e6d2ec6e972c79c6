"""One kind of change before loading: it moves one setting, so far, and is written as it was tried."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from slake.ground.units import from_si, to_si

from .inputs import Question

AS_LOG = 1e-12
SLACK = 0.02


@dataclass(frozen=True, kw_only=True)
class Change:
    """One kind of change. `before` and `put`: the setting it moves, SI; `unit`: its bench unit; `up`: which way.

    helps: lines it may mend. most: how far it makes sense, as the setting's last value. easy: how much of it counts as
    one easy step: a log ratio where `by_log`, else in SI. words: with {to}, what it becomes, and {now}, what it was;
    {by}, how much that is.
    """

    key: str
    field: str
    unit: str
    up: bool
    helps: tuple[str, ...]
    words: str
    before: Callable[[Question], float]
    put: Callable[[Question, float], Question]
    last: Callable[[Question], float]
    easy: float
    by_log: bool = True

    def furthest(self, question: Question) -> float:
        """How far it may go, in easy steps from where it is now."""
        now, last = self.before(question), self.last(question)
        if not (last > now if self.up else last < now) or (self.by_log and min(now, last) <= AS_LOG):
            return 0.0
        return self.effort(question, last)

    def effort(self, question: Question, value: float) -> float:
        """How many easy steps it is to this value."""
        now = self.before(question)
        return abs(math.log(value / now) if self.by_log else value - now) / self.easy

    def at(self, question: Question, steps: float) -> float:
        """The setting after so many easy steps."""
        now, far = self.before(question), steps * self.easy if self.up else -steps * self.easy
        return now * math.exp(far) if self.by_log else now + far

    def fits(self, question: Question, value: float) -> bool:
        """Whether this is a value the setting can have."""
        low, high = sorted((self.before(question), self.last(question)))
        slack = SLACK * (high - low)
        return low - slack <= value <= high + slack and (value > 0 or not self.by_log)

    def rounded(self, question: Question, value: float, figures: int) -> str:
        """The setting as it is written: to this many figures of what is changed, away from what it is now."""
        now, new = (from_si(side, self.unit) for side in (self.before(question), value))
        places = figures - 1 - math.floor(math.log10(max(abs(new - now), AS_LOG)))
        step = 10.0**-places
        away = (math.ceil if self.up else math.floor)((new / step) + (-1e-9 if self.up else 1e-9)) * step
        return f"{away:.{max(places, 0)}f}"

    def by(self, question: Question, written: str) -> str:
        """How much that is, to as many places."""
        places = len(written.partition(".")[2])
        return f"{abs(float(written) - from_si(self.before(question), self.unit)):.{places}f}"

    def read(self, written: str) -> float:
        return to_si(float(written), self.unit)


def said(number: float) -> str:
    """Three figures without an exponent, of what is only told."""
    rounded = float(f"{number:.3g}")
    return f"{rounded:.0f}" if abs(rounded) >= 100 else f"{rounded:g}"
