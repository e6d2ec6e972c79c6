"""Many lines of G-code at once: plain words and numbers as arrays, every other line through the exact reader.

Bytes are sorted into classes and every pair of neighbours is looked up. Where only allowed pairs occur and there are as
many numbers as letters, each letter owns the number behind it. Lines that break this are blanked and read one by one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .gcode_lines import GLUED_WORDS, read_line, rows_of, unknown_letter
from .gcode_plain import plain_text
from .gcode_words import LETTERS, LONGEST_LINE, MODAL, NOTHING, TAKING, LineProblem, M, Notes, Rows

Bytes = NDArray[np.uint8]
Places = NDArray[np.int64]
BLANK, END, DIGIT, DOT, SIGN, LETTER, E, OTHER = range(8)
ALLOWED = {
    BLANK: (BLANK, END, LETTER, E),
    END: (BLANK, END, LETTER, E),
    DIGIT: (BLANK, END, DIGIT, DOT, LETTER, E),
    DOT: (BLANK, END, DIGIT, LETTER, E),
    SIGN: (DIGIT, DOT),
    LETTER: (DIGIT, DOT, SIGN),
    E: (DIGIT, DOT, SIGN),
}
BAD, GLUED = 1, 2


def _class_of(byte: int) -> int:
    letter = chr(byte).upper()
    if letter == "E":
        return E
    if "A" <= letter <= "Z":
        return LETTER
    return {" ": BLANK, "\t": BLANK, "\r": BLANK, "\n": END, ".": DOT, "+": SIGN, "-": SIGN}.get(
        letter, DIGIT if "0" <= letter <= "9" else OTHER
    )


def _judged(pair: int) -> int:
    before, now = divmod(pair, 8)
    if (before, now) == (DIGIT, E):
        return GLUED
    return 0 if now in ALLOWED.get(before, ()) else BAD


CLASSES = bytes(_class_of(byte) for byte in range(256))
PAIRS = bytes(_judged(pair) if pair < 64 else BAD for pair in range(256))
WORDED = np.array([MODAL, *TAKING])
TO_UPPER = np.uint8(0xDF)
NUMBERS = bytes(32 if CLASSES[byte] in (LETTER, E, BLANK) else byte for byte in range(256))


def read_lines(text: bytes, first_line: int, notes: Notes) -> Rows:
    """Commands of whole lines, the last one ended too; first_line: number of the first. Raises LineProblem."""
    ends = np.flatnonzero(np.frombuffer(text, dtype=np.uint8) == ord("\n"))
    _refuse_long(ends, first_line)
    plain = plain_text(text, ends)
    odd, glued = _odd_lines(plain, ends)
    if odd.size:
        plain = _blanked(plain, ends, odd)
    rows = _table(plain, ends)
    while not isinstance(rows, Rows):
        odd = np.union1d(odd, rows)
        plain = _blanked(plain, ends, rows)
        rows = _table(plain, ends)
    rows = _known_words(Rows(line=rows.line + first_line, code=rows.code, words=rows.words), notes)
    _note_glued(rows, glued + first_line, notes)
    return _with_odd(rows, text, ends, odd, (first_line, notes)) if odd.size else rows


def _refuse_long(ends: Places, first_line: int) -> None:
    lengths = np.diff(ends, prepend=-1)
    if lengths.size and lengths.max() > LONGEST_LINE:
        line = first_line + int(lengths.argmax())
        raise LineProblem(line, f"it is longer than {LONGEST_LINE} letters: this is not G-code for a printer")


def _odd_lines(plain: bytes, ends: Places) -> tuple[Places, Places]:
    """Lines that are not plain words and numbers, and lines with an E glued to a number; places from 0."""
    kinds = np.frombuffer(plain.translate(CLASSES), dtype=np.uint8)
    pairs = kinds.copy()
    pairs[1:] += kinds[:-1] << 3
    pairs[0] += END << 3
    judged = pairs.tobytes().translate(PAIRS)
    seen = np.frombuffer(judged, dtype=np.uint8)
    bad = np.flatnonzero(seen == BAD) if judged.find(BAD) >= 0 else np.zeros(0, dtype=np.int64)
    glued = np.flatnonzero(seen == GLUED) if judged.find(GLUED) >= 0 else np.zeros(0, dtype=np.int64)
    return np.unique(np.searchsorted(ends, bad)), np.unique(np.searchsorted(ends, glued))


def _blanked(plain: bytes, ends: Places, lines: Places) -> bytes:
    letters = bytearray(plain)
    for line in lines.tolist():
        begin, stop = (int(ends[line - 1]) + 1 if line else 0), int(ends[line])
        letters[begin:stop] = b" " * (stop - begin)
    return bytes(letters)


def _table(plain: bytes, ends: Places) -> Rows | Places:
    """Rows of plain lines, lines counted from 0; or the lines that are not so plain after all."""
    letters = np.frombuffer(plain, dtype=np.uint8)
    places = np.flatnonzero(letters >= ord("A"))
    numbers = _numbers(plain) if places.size else np.zeros(0)
    if len(numbers) != len(places):
        return _wrong_dots(letters, places, ends)
    counts = np.diff(np.searchsorted(places, ends), prepend=0)
    filled = np.flatnonzero(counts)
    row = np.repeat(np.arange(len(filled)), counts[filled])
    names = letters[places] & TO_UPPER
    words, twice = {}, []
    for name in np.flatnonzero(np.bincount(names, minlength=1)).tolist():
        mine = np.flatnonzero(names == name)
        at = row[mine]
        twice.append(filled[at[1:][at[1:] == at[:-1]]])
        words[chr(name)] = np.full(len(filled), np.nan)
        words[chr(name)][at] = numbers[mine]
    odd = np.unique(np.concatenate([*twice, filled[_mixed(words)]])) if words else np.zeros(0, dtype=np.int64)
    return odd if odd.size else _coded(filled, words)


def _numbers(plain: bytes) -> NDArray[np.float64]:
    """The numbers of a text in order; none where one of them is none."""
    try:
        return np.fromstring(plain.translate(NUMBERS), sep=" ")
    except ValueError:
        return np.zeros(0)


def _wrong_dots(letters: Bytes, places: Places, ends: Places) -> Places:
    """Lines with a number of two dots or of nothing but one; should there be none, every line, to be read exactly."""
    dots = np.flatnonzero(letters == ord("."))
    owner = np.searchsorted(places, dots)
    twice = dots[1:][owner[1:] == owner[:-1]]
    beside = np.stack([letters[dots - 1], letters[dots + 1]])
    alone = dots[~((beside >= ord("0")) & (beside <= ord("9"))).any(axis=0)]
    found = np.unique(np.searchsorted(ends, np.concatenate([twice, alone])))
    return found if found.size else np.arange(len(ends))


def _mixed(words: dict[str, NDArray[np.float64]]) -> Places:
    """Rows that say G and M at once."""
    if "G" in words and "M" in words:
        return np.flatnonzero(~np.isnan(words["G"]) & ~np.isnan(words["M"]))
    return np.zeros(0, dtype=np.int64)


def _coded(filled: Places, words: dict[str, NDArray[np.float64]]) -> Rows:
    code = np.full(len(filled), MODAL, dtype=np.int64)
    for letter, base in (("G", 0), ("M", M)):
        if letter in words:
            said = words.pop(letter)
            tenths = np.clip(np.nan_to_num(said) * 10, 0, M - 1)
            whole = np.abs(tenths - np.rint(tenths)) < 1e-6
            known = np.where(whole, np.rint(tenths), M - 1).astype(np.int64) + base
            code = np.where(np.isnan(said), code, known)
    return Rows(line=filled, code=code, words=words)


def _known_words(rows: Rows, notes: Notes) -> Rows:
    """Rows with only the words that mean something, those of rows that take none dropped."""
    taking = np.isin(rows.code, WORDED)
    words: dict[str, NDArray[np.float64]] = {}
    rows.words.pop("N", None)
    for letter, values in rows.words.items():
        said = taking & ~np.isnan(values)
        if letter not in LETTERS:
            if said.any():
                notes.add(rows.line[said.argmax()], unknown_letter(letter), int(said.sum()))
        elif said.any():
            words[letter] = values if taking.all() else np.where(taking, values, np.nan)
    modal = rows.code == MODAL
    if modal.any():
        silent = modal & np.logical_and.reduce([np.isnan(values) for values in words.values()] or [modal])
        rows = Rows(line=rows.line, code=np.where(silent, NOTHING, rows.code), words=words)
    return Rows(line=rows.line, code=rows.code, words=words)


def _note_glued(rows: Rows, glued: Places, notes: Notes) -> None:
    """Said for lines whose words are taken; the exact reader says it for its own."""
    if glued.size:
        mine = glued[np.isin(glued, rows.line[np.isin(rows.code, WORDED)])]
        if mine.size:
            notes.add(int(mine[0]), GLUED_WORDS, len(mine))


def _with_odd(rows: Rows, text: bytes, ends: Places, odd: Places, told: tuple[int, Notes]) -> Rows:
    """The odd lines read one by one and put back among the others."""
    first_line, notes = told
    found = []
    for place in odd.tolist():
        raw = text[int(ends[place - 1]) + 1 if place else 0 : int(ends[place])]
        line = first_line + place
        found += [(line, code, words) for code, words in read_line(raw, line, notes)]
    mine = rows_of(found)
    order = np.argsort(np.concatenate([rows.line, mine.line]), kind="stable")
    return Rows(
        line=np.concatenate([rows.line, mine.line])[order],
        code=np.concatenate([rows.code, mine.code])[order],
        words={
            letter: np.concatenate([rows.word(letter), mine.word(letter)])[order]
            for letter in sorted(rows.words.keys() | mine.words.keys())
        },
    )
