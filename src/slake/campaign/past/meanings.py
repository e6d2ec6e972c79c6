"""What a column can mean, and a whole mapping as the person settled it: what is kept with every take-in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from slake.ground.problems import Problem

from .figures import Days, Figures
from .table import Mark


class Means(Enum):
    """What a column holds."""

    IGNORE = "ignore"
    AMOUNT = "amount"
    WATER = "water"
    READING = "reading"
    MINUTES = "minutes"
    ENDED = "ended"
    DATE = "date"
    CALLED = "called"
    LOT = "lot"
    NOZZLE = "nozzle"


MEANS_WORDS = {
    Means.IGNORE: "leave it out",
    Means.AMOUNT: "amount of an ingredient",
    Means.WATER: "amount of water",
    Means.READING: "a reading",
    Means.MINUTES: "time since first water",
    Means.ENDED: "how it ended, in words",
    Means.DATE: "day it was mixed",
    Means.CALLED: "own name of the batch",
    Means.LOT: "label of a lot",
    Means.NOZZLE: "nozzle, mm",
}
ONCE = (Means.WATER, Means.MINUTES, Means.ENDED, Means.DATE, Means.CALLED, Means.NOZZLE)
WEIGHED = {"g": "g", "kg": "kg", "mg": "mg"}
ALIKE = {
    "kg/m3": "kg per m³ of paste",
    "g/L": "g per litre of paste",
    "parts": "parts by mass",
    "%": "% by mass, all columns alike",
}
SHARE = "% of"
MILLILITRES = "mL"
AMOUNT_UNITS = {**WEIGHED, **ALIKE, SHARE: "% by mass of other columns", MILLILITRES: "mL of water (1 g each)"}
TIME_UNITS = {"min": "minutes", "h": "hours", "s": "seconds", "day": "days"}


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column as the person settled it. `share_of`: for a percentage, the columns it is a share of; for a lot's
    label, the column of the ingredient. `choices`: with what a reading was taken, as the test asks it.
    """

    at: int
    heading: str
    means: Means = Means.IGNORE
    unit: str = ""
    test: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    share_of: tuple[int, ...] = ()

    @property
    def words(self) -> str:
        return f"“{self.heading[:40]}”"


@dataclass(frozen=True, kw_only=True)
class Settled:
    """How a whole sheet is to be read."""

    columns: tuple[Column, ...]
    headings_in: int
    sheet: str = ""
    mark: Mark | None = None
    figures: Figures = Figures.EITHER
    days: Days = Days.DAY_FIRST

    def of(self, means: Means) -> list[Column]:
        return [column for column in self.columns if column.means is means]

    def one(self, means: Means) -> Column | None:
        return next(iter(self.of(means)), None)


def written(mapping: Settled) -> dict[str, Any]:
    """The mapping as plain data, columns left out not named."""
    return {
        "sheet": mapping.sheet,
        "mark": mapping.mark.value if mapping.mark else "",
        "headings_in": mapping.headings_in,
        "figures": mapping.figures.value,
        "days": mapping.days.value,
        "columns": [
            {
                "at": column.at,
                "heading": column.heading,
                "means": column.means.value,
                "unit": column.unit,
                "test": column.test,
                "choices": dict(column.choices),
                "share_of": list(column.share_of),
            }
            for column in mapping.columns
            if column.means is not Means.IGNORE
        ],
    }


def read_back(data: Mapping[str, Any]) -> Settled:
    """A mapping from plain data. Raises Problem where it is none."""
    try:
        columns = tuple(
            Column(**{**row, "means": Means(row["means"]), "share_of": tuple(row["share_of"])})
            for row in data["columns"]
        )
        return Settled(
            columns=columns,
            headings_in=int(data["headings_in"]),
            sheet=data["sheet"],
            mark=Mark(data["mark"]) if data["mark"] else None,
            figures=Figures(data["figures"]),
            days=Days(data["days"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise Problem("what the columns mean could not be read: open the page of the sheet and look again") from error


def refuse_unsettled(mapping: Settled) -> None:
    """Raises Problem where the columns together cannot make a batch."""
    for means in ONCE:
        named = mapping.of(means)
        if len(named) > 1:
            both = " and ".join(column.words for column in named[:2])
            raise Problem(f"{both} both mean “{MEANS_WORDS[means]}”: keep one and leave the other out")
    if not mapping.of(Means.WATER):
        raise Problem("no column holds the water: say which one does, a batch cannot be worked out without it")
    amounts = mapping.of(Means.AMOUNT)
    if not amounts:
        raise Problem("no column holds an ingredient: say which columns are amounts")
    _refuse_alike([*amounts, *mapping.of(Means.WATER)])
    _refuse_mixed_units([*amounts, *mapping.of(Means.WATER)])
    _refuse_loose_shares(mapping)


def _refuse_alike(columns: list[Column]) -> None:
    seen: dict[str, Column] = {}
    for column in columns:
        word = " ".join(column.heading.casefold().split())
        if word in seen:
            raise Problem(
                f"two columns are called {column.words}: give each its own heading in the file, or leave one out"
            )
        seen[word] = column


def _refuse_mixed_units(columns: list[Column]) -> None:
    for column in columns:
        if column.unit not in AMOUNT_UNITS:
            raise Problem(f"{column.words} has no unit: say in what its amounts are")
        if column.unit == MILLILITRES and column.means is not Means.WATER:
            raise Problem(f"{column.words} is in mL, which is a mass only for water: give it by mass")
    kinds = {"g" if c.unit in {*WEIGHED, MILLILITRES} else "g/L" if c.unit == "kg/m3" else c.unit for c in columns}
    mixed = sorted(kinds - {SHARE})
    if len(mixed) > 1:
        raise Problem(
            f"the amounts are partly in {mixed[0]} and partly in {mixed[1]}: give them all alike, or as % of columns"
        )
    if not mixed:
        raise Problem("every amount is a % of another: say which column is a mass, or take “% by mass, all alike”")


def _refuse_loose_shares(mapping: Settled) -> None:
    masses = {c.at for c in mapping.columns if c.means in {Means.AMOUNT, Means.WATER} and c.unit != SHARE}
    for column in mapping.columns:
        is_share = column.means in {Means.AMOUNT, Means.WATER} and column.unit == SHARE
        if is_share and not (column.share_of and set(column.share_of) <= masses):
            raise Problem(f"{column.words} is a %: say of which columns, and take such as are no % themselves")
        amounts = {c.at for c in mapping.of(Means.AMOUNT)}
        if column.means is Means.LOT and not (len(column.share_of) == 1 and column.share_of[0] in amounts):
            raise Problem(f"{column.words} labels a lot: say of which ingredient")
