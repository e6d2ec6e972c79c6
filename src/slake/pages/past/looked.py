"""What slake reads of a sheet, in words a person can check: notes on the file, and its first rows."""

from __future__ import annotations

from slake.actions.past import Looked
from slake.actions.past_lots import Planned
from slake.actions.past_writing import Worked
from slake.bench.declaration import Context
from slake.campaign.past.rows import ReadOff
from slake.campaign.past.table import MARK_WORDS, Table, shown
from slake.ground.evidence import Kind
from slake.ground.problems import Problem, plain
from slake.records.values import raw_of_typed

SHOWN_ROWS = 8
SHOWN_ALL = 12
"""Rows in doubt come first; so few others that they fit on a page are all shown."""
SHOWN_DOUBTS = 20
SHOWN_TROUBLES = 200
ENDS = {Kind.ABOVE: "above the range it can tell", Kind.BELOW: "below the range it can tell"}


def notes(table: Table) -> list[str]:
    said = [f"{len(table.rows)} rows with something in them, {table.width} columns"]
    if table.encoding:
        said.append(f"text in {table.encoding}, cells cut at {MARK_WORDS[table.mark] if table.mark else 'marks'}")
    if table.formulas:
        said.append(f"{len(table.formulas)} cells hold formulas: taken at the value last saved, never run")
    if table.unsaved:
        said.append(f"{len(table.unsaved)} cells hold formulas without a saved value: such rows cannot be read")
    if table.merges:
        said.append(f"{len(table.merges)} blocks of cells are merged: only the first cell of each holds a value")
    if table.from_1904:
        said.append("this workbook counts its days from 1904")
    return said


def first_rows(table: Table) -> list[tuple[int, str]]:
    """The rows from the top as they are, so that the one with the headings can be named."""
    return [(row.number, " · ".join(shown(cell)[:30] for cell in row.cells[:12])) for row in table.rows[:SHOWN_ROWS]]


def shown_looked(looked: Looked, table: Table, looked_at: int) -> dict[str, object]:
    flagged = [one for one in looked.good if one.row.doubt]
    others = [one for one in looked.good if not one.row.doubt]
    most = SHOWN_ALL if len(others) <= SHOWN_ALL else SHOWN_ROWS
    return {
        "rows": [_row(one) for one in (*flagged[:SHOWN_DOUBTS], *others[:most])],
        "rest": len(others[most:]) + len(flagged[SHOWN_DOUBTS:]),
        "good": len(looked.good),
        "bad": len(looked.troubles),
        "troubles": [(one.number, one.why) for one in looked.troubles[:SHOWN_TROUBLES]],
        "more_troubles": max(len(looked.troubles) - SHOWN_TROUBLES, 0),
        "doubts": looked.doubts[:SHOWN_TROUBLES],
        "more_doubts": max(len(looked.doubts) - SHOWN_TROUBLES, 0),
        "already": list(looked.already[:SHOWN_TROUBLES]),
        "already_count": len(looked.already),
        "part": len(table.rows) - 1 > looked_at,
        "of": looked_at,
    }


def _row(one: Worked) -> dict[str, object]:
    row = one.row
    amounts = [f"{_name(one.lots[key])} {plain(grams)}" for key, grams in one.amounts.items()]
    when = f", {plain(row.age_s / 60)} min after first water" if row.age_s is not None else ""
    return {
        "number": row.number,
        "called": row.called,
        "day": shown(row.day)[:10] if row.day else "",
        "amounts": ", ".join([*amounts, f"water {plain(row.water)}"]),
        "readings": "; ".join(reading_words(read) + when for read in row.readings),
        "ended": row.ended,
        "doubt": row.doubt,
    }


def _name(planned: Planned) -> str:
    if planned.lot is not None:
        return str(planned.lot.name)
    return planned.made_of["name"] if planned.made_of else planned.key


def reading_words(read: ReadOff) -> str:
    """The value, and what it says where it is an end of the test's range rather than a value."""
    head = read.headline
    unit = f" {head.unit}" if head.unit not in {"", "grade"} else ""
    said = [f"{read.test.title.lower()} {plain(head.value)}{unit}", head.words, _end_words(read)]
    return ", ".join(word for word in said if word)


def _end_words(read: ReadOff) -> str:
    """That what it informs lies above or below what the test can tell; "" for a plain value."""
    try:
        found = read.test.inverse(raw_of_typed(read.test, read.typed), Context())
    except Problem:
        return ""
    return ENDS.get(found.kind, "")
