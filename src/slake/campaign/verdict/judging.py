"""The verdict: every line with its chance, the limiting one first, and the chance that all hold together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .draws import draw
from .inputs import Question
from .lines import Line, sides, worded

GO, DOUBTFUL, NO = "go", "doubtful", "no"
NO_BELOW = 0.5


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Lines from the least likely to hold to the most; lines that could not be judged come last.

    chance: that all hold, unknowns that lines share counted once.
    """

    lines: tuple[Line, ...]
    chance: float
    target: float

    def line(self, name: str) -> Line | None:
        return next((line for line in self.lines if line.name == name), None)

    @property
    def limiting(self) -> Line:
        return self.lines[0]

    @property
    def failing(self) -> tuple[str, ...]:
        """Lines under the target, the least likely first; one that cannot be judged fails with the one it waits for."""
        return tuple(line.name for line in self.lines if under(line.chance, self.target))

    @property
    def word(self) -> str:
        """No only where something read or stated here says so: a line that rests on a usual value is doubtful."""
        if not self.failing:
            return GO
        sure = [line for line in self.lines if line.chance is not None and not line.guessed]
        return NO if any(line.chance is not None and line.chance < NO_BELOW for line in sure) else DOUBTFUL


def under(chance: float | None, target: float) -> bool:
    return chance is None or chance < target


def judge(question: Question) -> Verdict:
    """Pure: the same question gives the same verdict."""
    got = draw(question)
    found = sides(question, got)
    lines = [worded(question, got, side) for side in found]
    every = np.logical_and.reduce([side.holds for side in found])
    return Verdict(
        lines=tuple(sorted(lines, key=lambda line: (line.chance is None, line.chance or 0.0))),
        chance=float(got.weight[every].sum() / got.weight.sum()),
        target=question.plan.target,
    )


@lru_cache(maxsize=512)
def chances(question: Question) -> Mapping[str, float | None]:
    """The chance of each line alone, as `judge` gives it, without ranges and words."""
    return {side.name: side.chance for side in sides(question, draw(question))}


def failing(question: Question) -> frozenset[str]:
    """Names of the lines under the target."""
    return frozenset(name for name, chance in chances(question).items() if under(chance, question.plan.target))
