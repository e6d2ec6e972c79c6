"""Any file to a table or to one sentence: letters, marks, workbooks, and what is only called a table."""

from __future__ import annotations

import csv
import io
import re
import tracemalloc
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from slake.campaign.past.opening import open_table
from slake.campaign.past.outgoing import harmless
from slake.campaign.past.table import LARGEST_BYTES, MOST_ROWS, Mark
from slake.ground.problems import Problem
from tests.campaign.past.workbook import with_part, workbook

SHEET = "xl/worksheets/sheet1.xml"
SMALL = [["shell (g)", "water (g)", "slump (cm)"], [300, 140, 2.5], [310, 150, 3]]


def refused(content: bytes, **how: object) -> str:
    with pytest.raises(Problem) as problem:
        open_table(content, **how)
    text = str(problem.value)
    assert text and "\n" not in text and "Traceback" not in text
    return text


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("mark", list(Mark))
def test_letters_and_marks_are_found(encoding: str, mark: Mark):
    text = "\r\n".join(mark.value.join(row) for row in [["Müschel", "Wasser é"], ["300", "140"], ["310", "150"]])
    table = open_table(text.encode(encoding))
    assert table.mark is mark
    assert [row.cells for row in table.rows] == [("Müschel", "Wasser é"), ("300", "140"), ("310", "150")]
    assert [row.number for row in table.rows] == [1, 2, 3]


def test_decimal_commas_do_not_pass_for_separators():
    table = open_table(b"shell;water;slump\n300,5;140,25;2,5\n310,5;150,5;3,0\n")
    assert table.mark is Mark.SEMICOLON and table.rows[1].cells == ("300,5", "140,25", "2,5")


words = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"], exclude_characters="'\ufeff"), max_size=8)


@given(st.lists(st.lists(words, min_size=3, max_size=3), min_size=2, max_size=8), st.sampled_from(list(Mark)))
def test_what_is_written_as_a_file_is_read_back(rows: list[list[str]], mark: Mark):
    """Text that begins like a formula goes out with a quote before it and comes back as it was."""
    rows = [["a", "b", "c"], *([*row[:2], row[2] or "x"] for row in rows)]
    out = io.StringIO()
    csv.writer(out, delimiter=mark.value).writerows([[harmless(cell) for cell in row] for row in rows])
    table = open_table(out.getvalue().encode(), mark=mark)
    assert [list(row.cells) for row in table.rows] == rows


def test_rows_keep_their_numbers_over_blank_rows_and_quoted_line_ends():
    table = open_table(b'a;b\n\n1;"two\nlines"\n3;4\n')
    assert [(row.number, row.cells) for row in table.rows] == [
        (1, ("a", "b")),
        (3, ("1", "two\nlines")),
        (4, ("3", "4")),
    ]


def test_a_workbook_is_read_with_days_numbers_and_its_sheets_named():
    def two_sheets(book):
        book.create_sheet("second").append(["x", "y"])

    content = workbook([["day", "g"], [datetime(2024, 3, 5), 1.5]], two_sheets)
    table = open_table(content)
    assert table.sheets == ("Sheet", "second") and table.rows[1].cells == (datetime(2024, 3, 5), 1.5)
    assert open_table(content, sheet="second").rows[0].cells == ("x", "y")
    assert "no sheet “third”" in refused(content, sheet="third")


def test_days_counted_from_1904_are_the_same_days():
    def mac(book):
        book.epoch = CALENDAR_MAC_1904

    table = open_table(workbook([["day", "g"], [datetime(2024, 3, 5), 1.5]], mac))
    assert table.from_1904 and table.rows[1].cells[0] == datetime(2024, 3, 5)


EMPTY = rb"<f>A2\+1</f><v ?(?:/>|></v>)"
"""Written either way, by the library of XML there is."""


def test_a_formula_has_its_saved_value_or_none_and_never_runs():
    content = workbook([["a", "b"], [1, "=A2+1"], [2, "=A3+1"]])
    saved = with_part(content, SHEET, lambda xml: re.sub(EMPTY, b"<f>A2+1</f><v>7</v>", xml))
    table = open_table(saved)
    assert table.rows[1].cells == (1.0, 7.0) and table.formulas == {(2, 2)}
    assert table.unsaved == {(3, 2)}


def test_merged_cells_are_seen():
    table = open_table(workbook([["a", "b"], [1, 2], [3, 4]], lambda book: book.active.merge_cells("A2:A3")))
    assert table.merges[0].covers(3, 1) and table.merges[0].corner == (2, 1)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "0 bytes"),
        (b"   \n\n", "no text"),
        (b"%PDF-1.7 ...", "a PDF"),
        (b"\x89PNG\r\n", "a picture"),
        (b"\xd0\xcf\x11\xe0rest", "old .xls"),
        (b"<!DOCTYPE html><table>", "a web page"),
        (b"PK\x03\x04 not a zip", "damaged"),
        (b"a,b\x00,c\n1,2,3", "no text table"),
        (b"\x81\x8d\xff", "no text in UTF-8 or cp1252"),
        (b"only one column\n1\n2\n", "only one column"),
        (b'a;b\n1;"never closed\n2;3\n', "quotation mark"),
        (workbook([]), "is empty"),
    ],
)
def test_what_is_no_table_is_one_sentence(content: bytes, says: str):
    assert says in refused(content)


def test_a_zip_that_is_no_workbook_is_said():
    assert "no .xlsx workbook" in refused(
        with_part(workbook(SMALL), "x", lambda _: b"").replace(b"xl/workbook", b"xl/workbooc")
    )


def test_too_large_too_wide_and_too_long_are_refused():
    assert "20 MB" in refused(b"a" * (LARGEST_BYTES + 1))
    assert "at most 200 columns" in refused((",".join(["1"] * 201) + "\n").encode() * 2)
    assert "characters" in refused(b"a,b\n" + b"x" * 3000 + b",1\n")
    assert "at most 200 columns" in refused(workbook([["1"] * 201, [1] * 201]))


def test_a_million_rows_are_refused_without_reading_them_all():
    content = b"shell,water\n" + b"300,140\n" * 1_000_000
    tracemalloc.start()
    try:
        assert f"more than {MOST_ROWS} rows" in refused(content)
        assert tracemalloc.get_traced_memory()[1] < 12 * len(content)
    finally:
        tracemalloc.stop()


def test_a_bomb_is_refused_before_it_is_opened():
    bomb = with_part(workbook(SMALL), "xl/media/big.xml", lambda _: b" " * (120 * 2**20))
    assert len(bomb) < 2**20
    tracemalloc.start()
    try:
        assert "unpacks to" in refused(bomb)
        assert tracemalloc.get_traced_memory()[1] < 40 * 2**20
    finally:
        tracemalloc.stop()


def test_a_bomb_that_lies_about_its_size_is_refused():
    bomb = bytearray(with_part(workbook(SMALL), "xl/media/big.xml", lambda _: b" " * (110 * 2**20)))
    real, small = (110 * 2**20).to_bytes(4, "little"), (1000).to_bytes(4, "little")
    assert real in bomb
    refused(bytes(bomb).replace(real, small))


@pytest.mark.parametrize("part", [SHEET, "xl/workbook.xml", "xl/styles.xml"])
def test_entities_that_unfold_are_refused(part: str):
    laughs = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'

    def unfolding(xml: bytes) -> bytes:
        head, mark, rest = xml.partition(b"?>")
        return head + mark + laughs + rest if mark else laughs + xml

    assert "unfolds" in refused(with_part(workbook(SMALL), part, unfolding))


def test_a_workbook_whose_parts_do_not_fit_is_damaged():
    assert "damaged" in refused(with_part(workbook(SMALL), SHEET, lambda xml: xml[: len(xml) // 2]))
    assert "damaged" in refused(with_part(workbook(SMALL), "xl/workbook.xml", lambda _: b"not markup"))
    assert "damaged" in refused(workbook(SMALL)[:-200])


@given(st.binary(max_size=200))
def test_any_bytes_are_a_table_or_a_sentence(content: bytes):
    try:
        assert open_table(content).rows
    except Problem as problem:
        assert str(problem)
