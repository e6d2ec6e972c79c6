"""One line of G-code at a time, read exactly: for the lines that are not plain words and numbers.

Chosen where G-code can be read two ways: a comment in brackets ends at the first closing bracket and the words after
it count; a number has no exponent, so X1e2 is X1 and E2; a checksum after * is checked.
"""

from __future__ import annotations

import re

import numpy as np

from slake.ground.problems import as_typed

from .gcode_words import LETTERS, MESSAGES, MODAL, SETTINGS, TAKING, LineProblem, M, Notes, Rows

Words = dict[str, float]
Commands = list[tuple[int, Words]]
COMMENT = re.compile(r"\([^)]*\)|;.*")
CHECKED = re.compile(rb"^([^;]*?)\*[ \t]*(\d{1,3})[ \t]*(?:;.*)?$")
WORD = re.compile(r"([A-Za-z])[ \t]*([+-]?(?:\d+\.?\d*|\.\d+))[ \t]*")
MESSAGE = re.compile(r"\s*(?:[Nn]\s*\d+\s*)?[Mm]\s*(\d+)(?!\d)")
MOTION = re.compile(r"[Gg][ \t]*\d")
NAME = re.compile(r"[A-Za-z_][A-Za-z_]")
NO_NUMBER = re.compile(r"[A-Za-z](?:nan|inf)", re.IGNORECASE)
GLUED = re.compile(r"[\d.]e[+-]?\d", re.IGNORECASE)
GLUED_WORDS = "an E right behind a number is read as the E word: numbers in G-code have no exponent"


def read_line(raw: bytes, line: int, notes: Notes) -> Commands:
    """Commands of one line in the order they act: settings, then the motion. Raises LineProblem."""
    raw = raw.strip(b"\r\n")
    message = MESSAGE.match(_text(raw))
    if message and int(message[1][:6]) in MESSAGES:
        return [(_code_of("M", int(message[1][:6])), {})]
    text = _text(_checked(raw, line))
    if message and _only_for_others(text, int(message[1][:6])):
        return [(_code_of("M", int(message[1][:6])), {})]
    text = COMMENT.sub(" ", text).strip()
    if not text or text == "%":
        return []
    if "(" in text:
        raise LineProblem(line, "a comment is opened with ( and never closed: close it")
    if NAME.match(text) and not NO_NUMBER.match(text):
        notes.add(line, f"“{as_typed(text.split()[0])}” is not known here and was passed over")
        return []
    found = _commands(_words(text, line), line, notes)
    if GLUED.search(text) and any(code == MODAL or code in TAKING for code, _ in found):
        notes.add(line, GLUED_WORDS)
    return found


def _only_for_others(text: str, number: int) -> bool:
    """Whether an M command has nothing in it for us: a code that sets nothing here, and no G behind it."""
    return _code_of("M", number) not in SETTINGS and not MOTION.search(text)


def _text(raw: bytes) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def _checked(raw: bytes, line: int) -> bytes:
    """The line without its checksum, which is the exclusive or of all its bytes before the *."""
    found = CHECKED.match(raw)
    if found is None:
        return raw
    got = 0
    for byte in found[1]:
        got ^= byte
    if got != int(found[2]):
        raise LineProblem(
            line, f"its checksum says {int(found[2])} but its letters give {got}: the file is damaged, copy it again"
        )
    return found[1]


def _words(text: str, line: int) -> list[tuple[str, float]]:
    words, place = [], 0
    while place < len(text):
        found = WORD.match(text, place)
        if found is None:
            raise LineProblem(
                line, f"“{as_typed(text[place:])}” cannot be read as a letter and a plain number: mend or remove it"
            )
        words.append((found[1].upper(), float(found[2])))
        place = found.end()
    return words


def _code_of(letter: str, number: float) -> int:
    """Tenths of the number; M codes from a million. A code no machine has becomes one that is not known."""
    tenths = round(min(max(number * 10, 0), M - 1)) if abs(number * 10 - round(number * 10)) < 1e-6 else M - 1
    return tenths + (M if letter == "M" else 0)


def _commands(words: list[tuple[str, float]], line: int, notes: Notes) -> Commands:
    codes = [_code_of(letter, number) for letter, number in words if letter in "GM"]
    rest: Words = {}
    for letter, number in words:
        if letter in "GMN":
            continue
        if letter in rest:
            raise LineProblem(line, f"it says {letter} twice ({rest[letter]:g} and {number:g}): keep one")
        rest[letter] = number
    taking = [code for code in codes if code in TAKING]
    if len(taking) > 1:
        raise LineProblem(line, "it asks for two moves at once: write them on two lines")
    settings: Commands = [(code, {}) for code in codes if code not in TAKING]
    if codes and not taking:
        return settings
    return [*settings, *_last(taking, rest, line, notes)]


def _last(taking: list[int], rest: Words, line: int, notes: Notes) -> Commands:
    """The command that takes the words: the motion said, or the last one going on."""
    known = {letter: number for letter, number in rest.items() if letter in LETTERS}
    for letter in rest.keys() - known.keys():
        notes.add(line, unknown_letter(letter))
    if not taking and not known:
        return []
    return [(taking[0] if taking else MODAL, known)]


def unknown_letter(letter: str) -> str:
    return f"the word {letter} is not known here and was passed over"


def rows_of(commands: list[tuple[int, int, Words]]) -> Rows:
    """Rows of (line, code, words)."""
    letters = sorted({letter for _, _, words in commands for letter in words})
    nan = float("nan")
    return Rows(
        line=np.array([line for line, _, _ in commands], dtype=np.int64),
        code=np.array([code for _, code, _ in commands], dtype=np.int64),
        words={
            letter: np.array([words.get(letter, nan) for _, _, words in commands], dtype=np.float64)
            for letter in letters
        },
    )
