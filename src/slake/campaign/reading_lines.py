"""Notebook lines as a person writes or pastes them, free or as a table with headings. Guesses nothing.

Free: "shell 300 g, guar 2,5, water 140 - fell at layer 9; cone 19 mm at 60 min". A table: a heading line, then rows,
separated by tabs, semicolons or commas; units in headings ("cement (kg/m3)", "slump (cm)").
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from slake.ground.numbers import Limits, read_number
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si

from .lots import WATER
from .outcomes import read_outcome
from .reading_words import NUMBER, ReadingSaid, read_reading

LONGEST_TEXT = 200_000
MOST_ROWS = 2000
MASS = Limits(low=0, high=1e6, do="weigh it again")
WATER_WORDS = {"water", "tap water", "rain water"}
_TO_TWENTY = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve", "fifteen")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "hundred", "thousand", "half")
_NUMBER_WORDS = frozenset((*_TO_TWENTY, *_TENS))
_BREAK = re.compile(r"\s+[-–—|]+>?\s+|\s*(?:=>|->|;)\s*")
_AMOUNT = re.compile(
    rf"(?:(?P<word>[^\W\d][^\d,;:=]*?)\s*[:=]?\s*(?P<after>{NUMBER})\s*(?P<unit>kg|mg|g)?"
    rf"|(?P<before>{NUMBER})\s*(?P<unit2>kg|mg|g)?\s+(?P<word2>[^\W\d][^\d,;]*?))\s*"
)
_PIECES = re.compile(r",\s+|,(?=\s*[^\W\d])|\s+and\s+(?=[^\W\d]+\s*\d)")


@dataclass(frozen=True, kw_only=True)
class Line:
    """One batch as written. `masses`: the person's word -> amount, all in one unit (grams, or kg/m3 and the like)."""

    number: int
    text: str
    masses: Mapping[str, float]
    outcome: str = ""
    readings: Mapping[str, tuple[float, float | None]] = field(default_factory=dict)
    all_stood: bool = False


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """A line that could not be read: its number as pasted, the text and one sentence why."""

    number: int
    text: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Read:
    """Lines, what could not be read, and headings that mean nothing here and were left out."""

    lines: tuple[Line, ...]
    troubles: tuple[Trouble, ...]
    ignored: tuple[str, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        """Every ingredient word but water, in the order met."""
        return tuple(dict.fromkeys(word for line in self.lines for word in line.masses if word != WATER))


def checked_text(text: str) -> list[tuple[int, str]]:
    """Numbered lines with something on them. Raises Problem for a text that is empty or too long."""
    if len(text) > LONGEST_TEXT:
        raise Problem(f"the text has {len(text)} characters, but at most {LONGEST_TEXT} fit: paste it in parts")
    rows = [(n, line.strip()) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not rows:
        raise Problem("there is no line yet: paste or type at least one batch")
    if len(rows) > MOST_ROWS:
        raise Problem(f"there are {len(rows)} lines, but at most {MOST_ROWS} fit in one go: paste them in parts")
    return rows


def read_free(rows: list[tuple[int, str]]) -> Read:
    """Free lines, each read by itself; what cannot be read is a Trouble and the rest stays."""
    lines, troubles = [], []
    for number, text in rows:
        try:
            lines.append(_free_line(number, text))
        except Problem as problem:
            troubles.append(Trouble(number=number, text=text, why=str(problem)))
    return Read(lines=tuple(lines), troubles=tuple(troubles))


def _free_line(number: int, text: str) -> Line:
    chunks = [chunk for chunk in _BREAK.split(text) if chunk.strip()] or [""]
    masses, rest = _amounts(chunks[0])
    said: list[str] = []
    readings: list[ReadingSaid] = []
    for piece in [*rest, *(p for chunk in chunks[1:] for p in _PIECES.split(chunk))]:
        found = read_reading(piece)
        if found is not None:
            readings.append(found)
        elif piece.strip():
            said.append(piece.strip())
    return made_line(number, text, masses, ", ".join(said), readings)


def _amounts(chunk: str) -> tuple[dict[str, float], list[str]]:
    """Amounts in grams by word, and the pieces after them that are none."""
    masses: dict[str, float] = {}
    pieces = [piece for piece in _PIECES.split(chunk) if piece.strip()]
    for at, piece in enumerate(pieces):
        found = _AMOUNT.fullmatch(piece.strip())
        if found is None or (masses and read_reading_quietly(piece)):
            if found is None:
                _refuse_without_figures(piece, pieces[at + 1 :])
            return masses, pieces[at:]
        word = (found["word"] or found["word2"]).strip().casefold()
        unit = found["unit"] or found["unit2"] or "g"
        amount = from_si(
            to_si(read_number(found["after"] or found["before"], f"the amount of {word}", MASS), unit), "g"
        )
        add_mass(masses, word, amount)
    return masses, []


def _refuse_without_figures(piece: str, later: list[str]) -> None:
    """An amount in words, or none at all, is named itself: what comes after it would be lost without a word."""
    words = piece.casefold().split()
    in_words = any(word in _NUMBER_WORDS for part in words for word in part.split("-"))
    bare = piece.strip().casefold() in WATER_WORDS
    amid = any(_AMOUNT.fullmatch(one.strip()) and not read_reading_quietly(one) for one in later)
    if read_reading_quietly(piece) or not (in_words or bare or amid):
        return
    known = [word for word in words if word not in _NUMBER_WORDS and not set(word.split("-")) <= _NUMBER_WORDS]
    name = " ".join(word for word in known if word not in {"and", "g", "grams"})[:30] or "shell"
    raise Problem(
        f"“{piece.strip()[:60]}” has no amount in figures: write it such as {name} 300, and how it ended after a dash"
    )


def read_reading_quietly(piece: str) -> bool:
    try:
        return read_reading(piece) is not None
    except Problem:
        return True


def add_mass(masses: dict[str, float], word: str, amount: float) -> None:
    key = WATER if word in WATER_WORDS else word
    if key in masses:
        raise Problem(f"{key} is there twice: write one amount for it")
    masses[key] = amount


def made_line(number: int, text: str, masses: Mapping[str, float], outcome: str, said: list[ReadingSaid]) -> Line:
    """A checked line. Raises Problem where it has no water, no dry amount, or words not understood."""
    if WATER not in masses:
        raise Problem("no water is named: write the grams of water too, such as water 140")
    if not any(amount > 0 for word, amount in masses.items() if word != WATER):
        raise Problem("nothing but water is named: write the grams of each ingredient")
    read_outcome(outcome)
    return Line(
        number=number,
        text=text,
        masses={word: amount for word, amount in masses.items() if amount > 0 or word == WATER},
        outcome=outcome,
        readings={r.name: (r.value, r.minutes) for r in said},
        all_stood=any(r.all_stood for r in said),
    )
