"""Which reading a word in a notebook means, taken from the declared tests: "cone 19 mm at 60 min"."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from slake.bench.declaration import About, BenchTest
from slake.bench.shelf import all_tests, tests_of_files
from slake.ground.numbers import read_number
from slake.ground.problems import Problem
from slake.ground.units import UNITS, from_si, to_si

NUMBER = r"[+-]?\d+(?:[.,]\d+)?"
_MINUTES = {"min": 1.0, "mins": 1.0, "minutes": 1.0, "h": 60.0, "hours": 60.0}
OF_ANYTHING = {"after", "first", "out", "per", "in", "of"}
"""Words of a name that say nothing of what was read: “after 3 h” is a time."""
_ALL_STOOD = re.compile(rf"all (?:of )?({NUMBER}) layers(?: stood)?", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class ReadingSaid:
    """One reading as written: the declared name, its value in the declared unit, and minutes since first water."""

    name: str
    value: float
    minutes: float | None = None
    all_stood: bool = False


def words_of(test: BenchTest) -> list[str]:
    """What a person may call this reading: title, name with and without its unit, and the parts of the name."""
    plain = test.notebook_name.replace("_", " ")
    stem = re.sub(r" (mm|um|n|pa|mpa|g|kg|s|h|day|percent|percent per h|g per ml|g per 100g)$", "", plain)
    words = [test.title.casefold(), plain, stem, stem.split()[0], stem.split()[-1]]
    return [word for word in words if word not in OF_ANYTHING]


def known_words() -> dict[str, BenchTest]:
    """Word -> test, words that could mean two tests left out. A word of a test of files is never one a lab declared."""
    own = {name: test for name, test in all_tests().items() if name not in tests_of_files()}
    return _words_among(own.values()) | words_of_files()


def words_of_files() -> dict[str, BenchTest]:
    """The words that mean a test of files, whatever a lab declares beside them."""
    return _words_among(tests_of_files().values())


def _words_among(tests: Iterable[BenchTest]) -> dict[str, BenchTest]:
    read = [test for test in tests if test.about is not About.LOT]
    count = Counter(word for test in read for word in set(words_of(test)))
    return {word: test for test in read for word in words_of(test) if count[word] == 1}


def find_test(words: str) -> BenchTest | None:
    """The test a heading or phrase begins with, the longest word first."""
    text = " ".join(words.casefold().replace("_", " ").split())
    known = known_words()
    for word in sorted(known, key=len, reverse=True):
        if text == word or text.startswith(word + " "):
            return known[word]
    return None


def read_reading(piece: str) -> ReadingSaid | None:
    """A reading such as "cone 19 mm at 60 min" or "all 40 layers stood"; None where the piece is no reading.

    Raises Problem where it is one but its number or unit cannot be.
    """
    text = " ".join(piece.split())
    stood = _ALL_STOOD.fullmatch(text)
    if stood:
        return ReadingSaid(name="layers_stood", value=read_number(stood[1], "layers"), all_stood=True)
    test = find_test(text)
    found = re.fullmatch(
        rf"(?P<words>[^\d]*?)[\s:=]*(?P<value>{NUMBER})\s*(?P<unit>[^\s\d@,]*)"
        rf"(?:\s*(?:at|@|after)\s*(?P<age>{NUMBER})\s*(?P<clock>[a-z]+))?(?P<stood> stood)?",
        text,
        re.IGNORECASE,
    )
    if test is None or found is None:
        return None
    value = converted(read_number(found["value"], test.title), found["unit"] or "", test)
    return ReadingSaid(name=test.notebook_name, value=value, minutes=_minutes(found["age"], found["clock"], test))


def _minutes(age: str | None, clock: str | None, test: BenchTest) -> float | None:
    if age is None:
        return None
    factor = _MINUTES.get((clock or "").casefold())
    if factor is None:
        raise Problem(f"the time of {test.title} is “{age} {clock}”: say it in min or h")
    return read_number(age, f"the time of {test.title}") * factor


def converted(value: float, unit: str, test: BenchTest) -> float:
    """From the written unit to the declared one. Raises Problem where they measure different things."""
    wanted = test.notebook_unit
    written = "um" if unit in {"µm", "μm"} else unit
    if written in {"", wanted} or written.casefold() == wanted.casefold():
        return value
    if written not in UNITS or not _alike(written, wanted):
        raise Problem(
            f"{test.title} is read in {wanted or 'a plain number'}, but “{unit}” is written: give it in {wanted}"
        )
    return from_si(to_si(value, written), wanted)


_KINDS = (
    {"um", "mm", "cm", "m"},
    {"mg", "g", "kg"},
    {"mL", "L"},
    {"s", "min", "h", "day"},
    {"Pa", "kPa", "MPa"},
    {"g/mL", "kg/m3"},
)


def units_like(unit: str) -> list[str]:
    """Units in which the same thing can be written, this one first."""
    kind = next((kind for kind in _KINDS if unit in kind), set())
    return [unit, *sorted(kind - {unit})]


def _alike(one: str, other: str) -> bool:
    return any(one in kind and other in kind for kind in _KINDS)
