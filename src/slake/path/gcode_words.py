"""The words of G-code that are read here, what each line had to say, and the file's limits."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import Problem

Array = NDArray[np.float64]
Places = NDArray[np.int64]
MOST_BYTES = 500_000_000
"""Larger files are refused: about twelve million moves."""
MOST_MOVES = 12_000_000
LONGEST_LINE = 4096
FARTHEST_MM = 10_000.0
MOST_PUSHED = 1e9
LONGEST_WAIT_S = 86_400.0
MOST_NOTES = 200

MODAL, NOTHING = -1, -2
"""Codes of a line that only goes on with the last motion, and of one that asks nothing of us."""
RAPID, STRAIGHT, CLOCKWISE, COUNTER = 0, 10, 20, 30
WAIT, XY_PLANE, INCHES, MILLIMETRES, HOME, ABSOLUTE, RELATIVE, SET = 40, 170, 200, 210, 280, 900, 910, 920
M = 1_000_000
END, END_TOO, PUSH_ABSOLUTE, PUSH_RELATIVE = M + 20, M + 300, M + 820, M + 830
MOTIONS = (RAPID, STRAIGHT, CLOCKWISE, COUNTER)
SETTINGS = (XY_PLANE, INCHES, MILLIMETRES, ABSOLUTE, RELATIVE, PUSH_ABSOLUTE, PUSH_RELATIVE, END, END_TOO)
TAKING = (*MOTIONS, WAIT, HOME, SET)
"""Codes that take the words after them."""
MOVING_NOTHING = frozenset(
    M + 10 * number
    for number in (17, 18, 73, 82, 83, 84, 104, 105, 106, 107, 108, 109, 110, 115, 117, 118, 140, 155, 190, 300, 400)
)
"""Motors, heaters, fans, messages: they move neither nozzle nor ram, and are passed over in silence."""
MESSAGES = frozenset((117, 118))
KNOWN = np.array(sorted({MODAL, NOTHING, *SETTINGS, *TAKING, *MOVING_NOTHING}))
LETTERS = "XYZEFIJRPS"
"""Words that mean something here, beside G, M and the line number N."""


class LineProblem(Problem):
    """A line of a toolpath that cannot be followed. Carries its number, from 1."""

    def __init__(self, line: int, words: str) -> None:
        self.line = int(line)
        super().__init__(f"line {int(line)}: {words}")


@dataclass(frozen=True, kw_only=True)
class Note:
    """What a line had to say; count: how many lines say the same, of which this is the first."""

    line: int
    words: str
    count: int = 1

    @property
    def sentence(self) -> str:
        more = "" if self.count == 1 else f" ({self.count} such lines)"
        return f"line {self.line}: {self.words}{more}"


@dataclass
class Notes:
    """Notes as they are gathered, the same words counted once; beyond 200 different ones only their number is kept."""

    found: dict[str, tuple[int, int]] = field(default_factory=dict)
    left_out: int = 0

    def add(self, line: int, words: str, count: int = 1) -> None:
        if words not in self.found and len(self.found) >= MOST_NOTES:
            self.left_out += count
            return
        first, seen = self.found.get(words, (int(line), 0))
        self.found[words] = (min(first, int(line)), seen + count)

    def all(self) -> tuple[Note, ...]:
        """In the order of their lines."""
        rows = [Note(line=line, words=words, count=count) for words, (line, count) in self.found.items()]
        rows.sort(key=lambda row: (row.line, row.words))
        if self.left_out:
            words = f"{self.left_out} further lines had something else to say"
            rows.append(Note(line=rows[-1].line, words=words))
        return tuple(rows)


@dataclass(frozen=True, kw_only=True)
class Rows:
    """Commands in order: source line, code (tenths of the G number; M from a million), the words by letter.

    words: for each letter that occurs, a number per row, nan where that row does not say it.
    """

    line: Places  # (r,)
    code: Places  # (r,)
    words: dict[str, Array]

    def word(self, letter: str) -> Array:
        found = self.words.get(letter)
        return np.full(len(self.line), np.nan) if found is None else found

    def upto(self, count: int) -> Rows:
        words = {letter: values[:count] for letter, values in self.words.items()}
        return Rows(line=self.line[:count], code=self.code[:count], words=words)


def name_of(code: int) -> str:
    """How a code is written: G92.1, M204."""
    letter, tenths = ("M", code - M) if code >= M else ("G", code)
    return f"{letter}{tenths / 10:g}"
