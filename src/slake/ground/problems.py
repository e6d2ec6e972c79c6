"""Errors a person can mend. Pages, commands and the importer show them as they are; any other exception is our bug."""

from __future__ import annotations

import math


def plain(number: float) -> str:
    """A number as a person would write it: up to four figures, no exponent for everyday sizes."""
    if not math.isfinite(number):
        return "not a finite number"
    if number == int(number) and abs(number) < 1e6:
        return str(int(number))
    if 1e4 <= abs(number) < 1e12:
        return f"{float(f'{number:.4g}'):.0f}"
    return f"{number:.4g}"


def as_typed(text: str) -> str:
    """What was typed, fit for one line of a message: at most 40 characters, none of them unprintable."""
    seen = "".join(letter if letter.isprintable() else " " for letter in text)
    return seen if len(seen) <= 40 else seen[:39] + "…"


BEYOND = 1e8
"""A limit as far out as this one is none: it is not said."""


class Problem(Exception):
    """Something the person at the bench can put right. The message is one whole sentence."""

    def __reduce__(self) -> tuple[object, ...]:
        return _as_it_was, (type(self), str(self), self.__dict__)


def _as_it_was(kind: type[Problem], sentence: str, kept: dict[str, object]) -> Problem:
    """A problem come through another process: its sentence and its numbers, without making it anew."""
    problem = kind.__new__(kind, sentence)
    problem.args = (sentence,)
    problem.__dict__.update(kept)
    return problem


class NotANumber(Problem):
    """The typed text could not be read as one plain number."""

    def __init__(self, what: str, *, typed: str, do: str) -> None:
        self.what, self.typed, self.do = what, typed, do
        super().__init__(f"{what} is “{as_typed(typed)}”: {do}")


class OutsideRange(Problem):
    """A number lies outside what the quantity, the test or the model can bear."""

    def __init__(self, what: str, *, got: float, low: float, high: float, do: str) -> None:
        self.what, self.got, self.low, self.high, self.do = what, got, low, high, do
        if low <= -BEYOND:
            limits = f"{plain(high)} or less"
        elif high >= BEYOND:
            limits = f"{plain(low)} or more"
        else:
            limits = f"from {plain(low)} to {plain(high)}"
        super().__init__(f"{what} is {plain(got)}, but must be {limits}: {do}")


def require_positive(**named: float) -> None:
    """Raise OutsideRange for the first named SI number that is not finite and above zero."""
    for name, value in named.items():
        if not 0 < value < math.inf:
            raise OutsideRange(
                name.replace("_", " "), got=value, low=1e-12, high=1e12, do="a positive number is needed: read it again"
            )


class DoesNotFit(Problem):
    """Things that are each allowed do not go together (parts that do not sum, stock that is not there)."""


class NotEnoughEvidence(Problem):
    """The data cannot bear an answer yet; carries what is known anyway."""

    def __init__(self, what: str, *, have: int, need: int, do: str) -> None:
        self.what, self.have, self.need, self.do = what, have, need, do
        super().__init__(f"{what} needs {need} and there are {have}: {do}")


class MovedOn(Problem):
    """Somebody (or another tab) changed the record after this page was loaded."""
