"""What is no word taken out of many lines at once: remarks, comments in brackets, checksums that are right.

Only what is regular is blanked; every other line keeps a sign that sends it to the exact reader. Places stay the same.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Places = NDArray[np.int64]
ZERO, NINE, NEW_LINE, RETURN = (ord(letter) for letter in "09\n\r")
LONGEST_CHECK = 3


def plain_text(text: bytes, ends: Places) -> bytes:
    """The lines without what is no word. ends: place of each line's end."""
    if not any(sign in text for sign in (b";", b"(", b"*")):
        return text
    letters = np.frombuffer(text, dtype=np.uint8).copy()
    _blank_remarks(letters, ends)
    _blank_brackets(letters, ends)
    _blank_checks(letters, np.frombuffer(text, dtype=np.uint8), ends)
    return letters.tobytes()


def _blank(letters: Bytes, begin: Places, stop: Places) -> None:
    """Blanks from each `begin` up to before its `stop`; stretches in order, not overlapping."""
    step = np.zeros(len(letters) + 1, dtype=np.int8)
    step[begin] += 1
    step[stop] -= 1
    letters[np.cumsum(step[:-1], dtype=np.int8).view(bool)] = ord(" ")


def _blank_remarks(letters: Bytes, ends: Places) -> None:
    """Everything from the first semicolon to the end of its line."""
    marks = np.flatnonzero(letters == ord(";"))
    if marks.size:
        line = np.searchsorted(ends, marks)
        first = np.ones(len(marks), dtype=bool)
        first[1:] = line[1:] != line[:-1]
        _blank(letters, marks[first], ends[line[first]])


def _blank_brackets(letters: Bytes, ends: Places) -> None:
    """Comments in brackets, where every bracket of these lines opens and closes in turn within its line."""
    opens, closes = np.flatnonzero(letters == ord("(")), np.flatnonzero(letters == ord(")"))
    if not opens.size or len(opens) != len(closes) or not (opens < closes).all() or (closes[:-1] > opens[1:]).any():
        return
    if np.array_equal(np.searchsorted(ends, opens), np.searchsorted(ends, closes)):
        _blank(letters, opens, closes + 1)


def _blank_checks(letters: Bytes, written: Bytes, ends: Places) -> None:
    """Checksums at the end of their lines, where every one of them is right."""
    stars = np.flatnonzero(letters == ord("*"))
    if not stars.size:
        return
    line = np.searchsorted(ends, stars)
    begin = np.where(line > 0, ends[line - 1] + 1, 0)
    value, after = _number_behind(letters, stars)
    over = (letters[after] == NEW_LINE) | ((letters[after] == RETURN) & (after + 1 == ends[line]))
    if (line[1:] == line[:-1]).any() or not over.all() or (begin == stars).any():
        return
    pairs = np.stack([begin, stars], axis=1).ravel()
    if np.array_equal(np.bitwise_xor.reduceat(written, pairs)[::2], value):
        _blank(letters, stars, after)


def _number_behind(letters: Bytes, stars: Places) -> tuple[Places, Places]:
    """The number of one to three digits behind each place, -1 where there is none, and the place after it."""
    value, after, runs = np.zeros(len(stars), dtype=np.int64), stars + 1, np.ones(len(stars), dtype=bool)
    for _ in range(LONGEST_CHECK):
        sign = letters[np.minimum(after, len(letters) - 1)]
        runs &= (sign >= ZERO) & (sign <= NINE)
        value = np.where(runs, value * 10 + sign - ZERO, value)
        after = after + runs
    return np.where(after > stars + 1, value, -1), np.minimum(after, len(letters) - 1)
