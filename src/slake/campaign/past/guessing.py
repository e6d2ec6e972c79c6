"""A first guess at how a whole sheet is to be read, for the person to put right."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

from slake.bench.fitting import choice_for
from slake.bench.shelf import all_tests
from slake.ground.problems import Problem

from ..reading_words import converted
from .figures import Figures, figure, guess_days, guess_figures, is_blank
from .headings import guess_all, heading_row, refuse_merged_headings, split_heading
from .meanings import Column, Means, Settled
from .table import Cell, Table

GUESSED_FROM = 2000


def guess_settled(table: Table, headings_in: int | None = None, lot_words: frozenset[str] = frozenset()) -> Settled:
    """Columns, numbers and days of a table as they seem to be. Raises Problem where no headings are found."""
    row = heading_row(table) if headings_in is None else headings_in
    refuse_merged_headings(table, row)
    figures = guess_figures(_cells(table, row, None))
    columns = _with_bare_amounts(table, row, guess_all(table.row_at(row).cells, lot_words), figures)
    return Settled(
        columns=tuple(replace(c, choices=_choices(table, row, c, figures)) for c in columns),
        headings_in=row,
        sheet=table.sheet,
        mark=table.mark,
        figures=figures,
        days=guess_days(_cells(table, row, next((c.at for c in columns if c.means is Means.DATE), -1))),
    )


def _with_bare_amounts(table: Table, row: int, columns: tuple[Column, ...], figures: Figures) -> tuple[Column, ...]:
    """Columns of numbers under a heading that says nothing known count as amounts while no reading or ending stands
    before them; their unit is left open, to be asked for.
    """
    measured = [c.at for c in columns if c.means in {Means.READING, Means.ENDED}]
    before = min(measured, default=len(columns))

    def settled(column: Column) -> Column:
        words, unit = split_heading(column.heading)
        bare = column.means is Means.IGNORE and column.at < before and words and not unit
        if bare and _all_numbers(_cells(table, row, column.at), words, figures):
            return replace(column, means=Means.AMOUNT)
        return column

    return tuple(settled(column) for column in columns)


def _all_numbers(cells: list[Cell], heading: str, figures: Figures) -> bool:
    filled = [cell for cell in cells if not is_blank(cell)]
    try:
        return all(figure(cell, heading, figures) >= 0 for cell in filled) and bool(filled)
    except Problem:
        return False


def _cells(table: Table, headings_in: int, at: int | None) -> list[Cell]:
    """Cells below the headings: of one column, or of all."""
    rows = [row for row in islice(table.rows, GUESSED_FROM) if row.number > headings_in]
    if at is None:
        return [cell for row in rows for cell in row.cells]
    return [row.cell(at) for row in rows] if at >= 0 else []


def _choices(table: Table, row: int, column: Column, figures: Figures) -> dict[str, str]:
    """With which of the test's choices all numbers of the column can have been read; none where no choice fits."""
    test = all_tests().get(column.test)
    if column.means is not Means.READING or test is None:
        return {}
    values = []
    for cell in _cells(table, row, column.at):
        try:
            if not is_blank(cell):
                values.append(converted(figure(cell, column.heading, figures), column.unit, test))
        except Problem:
            continue
    try:
        return choice_for(test, sorted(set(values)))
    except Problem:
        return {}
