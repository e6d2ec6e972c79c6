"""One suggestion: steps to take together, as they are written, and what comes of them."""

from __future__ import annotations

from dataclasses import dataclass

from slake.ground.units import from_si

from .change import Change, said
from .inputs import Question
from .judging import failing


@dataclass(frozen=True, kw_only=True)
class Step:
    """A change as it is written: what its setting becomes, in its bench unit."""

    change: Change
    written: str

    @property
    def value(self) -> float:
        return self.change.read(self.written)

    def words(self, question: Question) -> str:
        """What to do, in bench units."""
        now = from_si(self.change.before(question), self.change.unit)
        by = self.change.by(question, self.written)
        return self.change.words.format(to=self.written, by=by, now=said(now))


@dataclass(frozen=True, kw_only=True)
class Suggestion:
    """Steps to take together. fixes: lines they bring to the target; breaks: lines that held and then would not.

    still: lines that fail before and after. effort: how many easy steps it amounts to.
    """

    steps: tuple[Step, ...]
    fixes: tuple[str, ...]
    breaks: tuple[str, ...]
    still: tuple[str, ...]
    chance: float
    effort: float

    @property
    def whole(self) -> bool:
        return not self.breaks and not self.still

    def applied(self, question: Question, share: float = 1.0) -> Question:
        """The question with this share of every step made."""
        new = question
        for step in self.steps:
            now = step.change.before(question)
            new = step.change.put(new, now + share * (step.value - now))
        return new

    def met(self, question: Question) -> bool:
        """Whether in this question the lines it is for hold, and none but those it names fail."""
        bad = failing(question)
        return not bad & set(self.fixes) and bad <= {*self.breaks, *self.still}
