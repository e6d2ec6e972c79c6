"""Rows of a table as batches, the way the person settled the columns; each row by itself, good or with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from slake.bench.declaration import BenchTest, Headline
from slake.bench.fitting import typed_alone
from slake.bench.shelf import test_named
from slake.ground.numbers import Limits
from slake.ground.problems import Problem
from slake.ground.units import from_si, to_si
from slake.paste.recipe import WATER

from ..reading_lines import MASS, Trouble, made_line
from ..reading_words import converted
from .crosscheck import contradiction, mould_of, told_of_the_foot
from .figures import day, figure, is_blank
from .meanings import MILLILITRES, SHARE, WEIGHED, Column, Means, Settled, refuse_unsettled
from .table import Cell, Row, Table, shown
from .workbooks import place_words

LONGEST_TEXT = 2000
LONGEST_CALLED = 80
NOZZLE = Limits(low=0.1, high=20, unit="mm", do="give the opening in mm")
AGE = Limits(low=0, high=1e6, do="time counts from first water")
SHARES = Limits(low=0, high=1000, do="give a percentage")


@dataclass(frozen=True, kw_only=True)
class ReadOff:
    """One reading of a row, checked through its declaration; `typed` is kept, with the cell it came from."""

    test: BenchTest
    typed: Mapping[str, Any]
    headline: Headline


@dataclass(frozen=True, kw_only=True)
class MixRow:
    """One good row. `amounts` by column, in one unit with `water`; `labels`: the lot's label by ingredient column.

    `doubt` is a sentence about readings that cannot both be; the row is good all the same.
    """

    number: int
    text: str
    amounts: Mapping[int, float]
    water: float
    readings: tuple[ReadOff, ...] = ()
    age_s: float | None = None
    ended: str = ""
    day: datetime | None = None
    called: str = ""
    labels: Mapping[int, str] = field(default_factory=dict)
    nozzle_mm: float | None = None
    doubt: str = ""


def read_rows(table: Table, settled: Settled) -> Iterator[MixRow | Trouble]:
    """Every row below the headings, in order, as a batch or as a trouble with one sentence why.

    Raises Problem, before the first row, where the columns together cannot make a batch.
    """
    refuse_unsettled(settled)
    reader = _Reader(table, settled)
    for row in table.rows:
        if row.number > settled.headings_in:
            yield reader.read(row)


class _Reader:
    """Holds what is the same for all rows, and readings already checked: the same cell is checked once."""

    def __init__(self, table: Table, settled: Settled) -> None:
        self.table, self.settled = table, settled
        self.columns = [column for column in settled.columns if column.means is not Means.IGNORE]
        self.tests = {column.at: test_named(column.test) for column in settled.of(Means.READING)}
        self.checked: dict[tuple[int, Cell], ReadOff] = {}

    def read(self, row: Row) -> MixRow | Trouble:
        text = " · ".join(f"{c.heading}: {shown(row.cell(c.at))}" for c in self.columns)[:LONGEST_TEXT]
        try:
            self._refuse_lost(row)
            return self._batch(row, text)
        except Problem as problem:
            return Trouble(number=row.number, text=text, why=str(problem))

    def _refuse_lost(self, row: Row) -> None:
        """Cells whose value is not in the file: an unsaved formula, or the hidden part of merged cells."""
        for column in self.columns:
            place = (row.number, column.at + 1)
            if place in self.table.unsaved:
                raise Problem(
                    f"cell {place_words(place)} holds a formula without a saved value: save the workbook again in the "
                    "program it comes from, or write the number"
                )
            block = next((m for m in self.table.merges if m.covers(*place) and m.corner != place), None)
            if block is not None:
                raise Problem(
                    f"cell {place_words(place)} is merged into {place_words(block.corner)}, which alone holds the "
                    "value: unmerge the cells and fill each"
                )

    def _batch(self, row: Row, text: str) -> MixRow:
        amounts, water = self._masses(row)
        ended = self._text(row, Means.ENDED, LONGEST_TEXT)
        made_line(row.number, text, {WATER: water, **{str(at): grams for at, grams in amounts.items()}}, ended, [])
        readings = tuple(self._readings(row))
        return MixRow(
            number=row.number,
            text=text,
            amounts={at: grams for at, grams in amounts.items() if grams > 0},
            water=water,
            readings=readings,
            age_s=self._age_s(row),
            ended=ended,
            day=self._day(row),
            called=self._text(row, Means.CALLED, LONGEST_CALLED),
            labels=self._labels(row),
            nozzle_mm=self._number(row, Means.NOZZLE, NOZZLE),
            doubt=contradiction(
                [(one.test, one.headline.value, mould_of(one.typed.get("fields"))) for one in readings]
            ),
        )

    def _masses(self, row: Row) -> tuple[dict[int, float], float]:
        """Amounts by column and the water, all in one unit; a cell left open is none of it, but never the water."""
        columns = [*self.settled.of(Means.AMOUNT), *self.settled.of(Means.WATER)]
        masses = {c.at: self._mass(row, c) for c in columns if c.unit != SHARE}
        for column in columns:
            if column.unit == SHARE:
                of = sum(masses[at] for at in column.share_of)
                masses[column.at] = from_si(to_si(self._share(row, column), "%"), "") * of
        for column in columns:
            figure(masses[column.at], f"the amount of {column.heading} in g", self.settled.figures, MASS)
        water = masses.pop(self.settled.of(Means.WATER)[0].at)
        return masses, water

    def _mass(self, row: Row, column: Column) -> float:
        cell = row.cell(column.at)
        if is_blank(cell):
            if column.means is Means.WATER:
                raise Problem("no water is given: fill it in, 0 where none was added")
            return 0.0
        amount = figure(cell, f"the amount of {column.heading}", self.settled.figures, MASS)
        if column.unit == MILLILITRES:
            return amount
        return from_si(to_si(amount, column.unit), "g") if column.unit in WEIGHED else amount

    def _share(self, row: Row, column: Column) -> float:
        cell = row.cell(column.at)
        if is_blank(cell):
            return 0.0
        return figure(cell, f"the share of {column.heading}", self.settled.figures, SHARES)

    def _readings(self, row: Row) -> Iterator[ReadOff]:
        for column in self.settled.of(Means.READING):
            cell = row.cell(column.at)
            if not is_blank(cell):
                key = (column.at, cell)
                if key not in self.checked:
                    self.checked[key] = self._read_off(column, cell)
                yield self.checked[key]

    def _read_off(self, column: Column, cell: Cell) -> ReadOff:
        test = self.tests[column.at]
        value = converted(figure(cell, column.heading, self.settled.figures), column.unit, test)
        typed = typed_alone(test, value, {name: word for name, word in column.choices.items() if word})
        fields = typed.get("fields")
        raw = test.read(fields) if isinstance(fields, dict) else test.quick(float(str(typed["alone"])))
        of_cell = {"heading": column.heading, "unit": column.unit, "text": shown(cell)}
        headline = told_of_the_foot(test, test.headline(raw))
        return ReadOff(test=test, typed={**typed, "from_cell": of_cell}, headline=headline)

    def _age_s(self, row: Row) -> float | None:
        column = self.settled.one(Means.MINUTES)
        value = self._number(row, Means.MINUTES, AGE)
        return None if value is None or column is None else to_si(value, column.unit or "min")

    def _day(self, row: Row) -> datetime | None:
        column = self.settled.one(Means.DATE)
        if column is None or is_blank(row.cell(column.at)):
            return None
        return day(row.cell(column.at), column.heading, self.settled.days, self.table.from_1904)

    def _number(self, row: Row, means: Means, limits: Limits) -> float | None:
        column = self.settled.one(means)
        if column is None or is_blank(row.cell(column.at)):
            return None
        return figure(row.cell(column.at), column.heading, self.settled.figures, limits)

    def _text(self, row: Row, means: Means, longest: int) -> str:
        column = self.settled.one(means)
        text = "" if column is None else shown(row.cell(column.at))
        if len(text) > longest:
            raise Problem(f"{means.value} has {len(text)} characters, but at most {longest} fit: shorten it")
        return text

    def _labels(self, row: Row) -> dict[int, str]:
        found = {column.share_of[0]: shown(row.cell(column.at)) for column in self.settled.of(Means.LOT)}
        for label in found.values():
            if len(label) > LONGEST_CALLED // 2:
                raise Problem(f"the lot's label has {len(label)} characters, but at most {LONGEST_CALLED // 2} fit")
        return {at: label for at, label in found.items() if label}
