"""What a heading seems to mean. A guess for a person to look at; nothing is taken in on a guess alone."""

from __future__ import annotations

import re

from slake.ground.problems import Problem
from slake.ground.units import UNITS

from ..reading_lines import WATER_WORDS
from ..reading_tables import MINUTES_WORDS, OUTCOME_WORDS, SKIP_WORDS
from ..reading_words import find_test
from .meanings import AMOUNT_UNITS, TIME_UNITS, Column, Means
from .table import FIRST_LOOK, Cell, Row, Table, shown

_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]?")
_CUBIC = re.compile(r"kg\s*(?:/|per|in)\s*(?:an?|one)?\s*m\s*(?:\^?3|³|-3)|kg\s*m\s*\^?-3", re.IGNORECASE)
_SAID = {
    "gram": "g", "grams": "g", "gr": "g", "kilo": "kg", "kilogram": "kg", "kilograms": "kg", "mpa": "MPa", "kpa": "kPa",
    "pa": "Pa", "µm": "um", "μm": "um", "micron": "um", "microns": "um", "percent": "%", "pct": "%", "wt%": "%",
    "wt.%": "%", "% w/w": "%", "minutes": "min", "mins": "min", "hours": "h", "hour": "h", "hr": "h", "hrs": "h",
    "seconds": "s", "sec": "s", "days": "day", "d": "day", "ml": "mL", "millilitres": "mL", "part": "parts",
    "g/l": "g/L", "mm": "mm", "cm": "cm", "newton": "N", "n": "N", "°c": "C", "g/ml": "g/mL", "g/cm3": "g/mL",
    "g/cm³": "g/mL", "layer": "layers",
}  # fmt: skip
_UNITS = {**{name.casefold(): name for name in (*UNITS, *AMOUNT_UNITS) if name}, **_SAID}
_DATE = {"date", "day", "mixed on", "made on", "datum"}
_CALLED = {
    "name",
    "batch",
    "batch name",
    "no",
    "nr",
    "no.",
    "number",
    "#",
    "id",
    "mix",
    "mix no",
    "sample",
    "trial",
    "run",
}
_NOZZLE = {"nozzle", "nozzle mm", "nozzle diameter", "tip"}
_LOT = re.compile(r"(?:lot|charge|delivery|sack)(?: no\.?| of .+| label)?|.+ lot", re.IGNORECASE)
_AGE = {"time", "since water", "since first water", "paste age", "time since first water", "minutes since first water"}


def split_heading(heading: str) -> tuple[str, str]:
    """Words and unit of a heading: "slump (cm)", "Slump [mm]", "flow_cm", "water in g"; the unit empty where unsaid."""
    text = " ".join(heading.split())
    for said in reversed(_BRACKETS.findall(text)):
        unit = unit_said(said)
        if unit:
            return _BRACKETS.sub(" ", text).strip(" _:,"), unit
    found = re.fullmatch(r"(.+?)(?:[_\s/,]+(?:in\s+)?|\s+in\s+)(\S+)", text)
    if found and (unit := unit_said(found[2])):
        return found[1].strip(" _:,"), unit
    return _BRACKETS.sub(" ", text).strip(" _:,") or text, ""


def unit_said(text: str) -> str:
    """The unit a word means, or "" for none known here."""
    plain = " ".join(text.split())
    if _CUBIC.match(plain):
        return "kg/m3"
    return plain if plain in UNITS else _UNITS.get(plain.casefold(), "")


def guess(at: int, heading: str, taken_words: frozenset[str] = frozenset()) -> Column:
    """What one heading seems to mean. `taken_words` are names of the bench's own lots, in small letters."""
    words, unit = split_heading(heading)
    plain = " ".join(words.casefold().replace("_", " ").split())
    means = _plain_meaning(plain, taken_words)
    if means in {Means.AMOUNT, Means.WATER}:
        return Column(at=at, heading=heading, means=means, unit=unit if unit in AMOUNT_UNITS else "")
    if means is Means.MINUTES:
        return Column(at=at, heading=heading, means=means, unit=unit if unit in TIME_UNITS else _time_in(plain))
    if means is not Means.IGNORE:
        return Column(at=at, heading=heading, means=means)
    test = find_test(plain) if plain else None
    if test is not None:
        return Column(at=at, heading=heading, means=Means.READING, unit=unit or test.notebook_unit, test=test.id)
    if plain and unit in AMOUNT_UNITS and plain not in SKIP_WORDS:
        return Column(at=at, heading=heading, means=Means.AMOUNT, unit=unit)
    return Column(at=at, heading=heading)


def _plain_meaning(plain: str, taken_words: frozenset[str]) -> Means:
    table = (
        (WATER_WORDS, Means.WATER),
        (taken_words, Means.AMOUNT),
        (OUTCOME_WORDS, Means.ENDED),
        (MINUTES_WORDS | _AGE, Means.MINUTES),
        (_DATE, Means.DATE),
        (_CALLED, Means.CALLED),
        (_NOZZLE, Means.NOZZLE),
    )
    found = next((means for words, means in table if plain in words), Means.IGNORE)
    return Means.LOT if found is Means.IGNORE and _LOT.fullmatch(plain) else found


def _time_in(plain: str) -> str:
    return "min" if "min" in plain else ""


def guess_all(cells: tuple[Cell, ...], taken_words: frozenset[str] = frozenset()) -> tuple[Column, ...]:
    """Guesses for a whole row of headings; what can only be there once is guessed once, at the first of them."""
    found: list[Column] = []
    seen: set[Means] = set()
    for at, cell in enumerate(cells):
        column = guess(at, shown(cell), taken_words)
        if column.means in {Means.WATER, Means.MINUTES, Means.ENDED, Means.DATE, Means.CALLED, Means.NOZZLE}:
            if column.means in seen:
                column = Column(at=at, heading=column.heading)
            seen.add(column.means)
        found.append(column)
    return tuple(_lots_tied(found))


def _lots_tied(columns: list[Column]) -> list[Column]:
    """A lot's label belongs to the ingredient its heading names, else to the only or nearest one before it."""
    amounts = [column for column in columns if column.means is Means.AMOUNT]
    tied = []
    for column in columns:
        if column.means is Means.LOT and amounts:
            named = [a for a in amounts if split_heading(a.heading)[0].casefold() in column.heading.casefold()]
            before = [a for a in amounts if a.at < column.at] or amounts
            one = named[0] if named else before[-1]
            column = Column(at=column.at, heading=column.heading, means=Means.LOT, share_of=(one.at,))
        tied.append(column)
    return tied


def heading_row(table: Table) -> int:
    """The number of the row that looks like the headings: words, at least two, with numbers in a row below it.

    Raises Problem where no row of the first ones is such.
    """
    rows = table.rows[:FIRST_LOOK]
    wide = max(len(row.cells) for row in rows)
    for at, row in enumerate(rows[:-1]):
        words = [cell for cell in row.cells if cell != ""]
        below = max(_numbers(other) for other in rows[at + 1 : at + 4])
        if len(words) >= max(2, (wide + 1) // 2) and _numbers(row) == 0 and below > 0:
            return row.number
    raise Problem(
        "no row of headings was found: put one above the numbers that says what each column is, or say which row it is"
    )


def _numbers(row: Row) -> int:
    return sum(1 for cell in row.cells if not isinstance(cell, str) or re.fullmatch(r"[+\-−]?[\d.,' ]*\d", cell))


def refuse_merged_headings(table: Table, row: int) -> None:
    """Raises Problem where cells of the heading row are merged: one heading would stand for several columns."""
    block = next((m for m in table.merges if m.top <= row <= m.bottom), None)
    if block is not None:
        raise Problem(
            f"cells of the headings in row {row} are merged: unmerge them and give each column its own heading"
        )
