"""Rows to batches: units, shares, lots, bad rows with number and reason, and readings that cannot both be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slake.bench import shelf
from slake.bench.own import OwnReading, declared
from slake.campaign.past.crosscheck import height_lost_over_its_foot_m
from slake.campaign.past.guessing import guess_settled
from slake.campaign.past.meanings import SHARE, Means, Settled, read_back, written
from slake.campaign.past.opening import open_table
from slake.campaign.past.rows import MixRow, read_rows
from slake.campaign.reading_lines import Trouble
from slake.ground.problems import Problem
from tests.campaign.past.workbook import workbook


def rows_of(content: bytes | str, **changed: object) -> list[MixRow | Trouble]:
    """Rows as guessed; `changed` columns by heading."""
    table = open_table(content.encode() if isinstance(content, str) else content)
    settled = guess_settled(table)
    columns = tuple(replace(c, **changed.get(c.heading.replace(" ", "_"), {})) for c in settled.columns)
    return list(read_rows(table, replace(settled, columns=columns)))


def test_kilograms_become_grams_and_a_blank_amount_is_none_of_it():
    (row,) = rows_of("shell (kg);guar (g);water (g)\n0,3;;140\n")
    assert row.amounts == {0: pytest.approx(300)} and row.water == 140


def test_a_share_is_of_what_the_person_says():
    (row,) = rows_of("shell (g);guar (%);water (g)\n300;2;150\n", **{"guar_(%)": {"unit": SHARE, "share_of": (2,)}})
    assert row.amounts == {0: 300, 1: pytest.approx(3)}


def test_bad_rows_have_number_and_reason_and_the_others_stay():
    found = rows_of(
        "shell (g);water (g);slump (mm);ended\n300;140;20;good\nmuch;140;20;\n300;;20;\n0;140;;\n300;140;;flew away\n"
    )
    assert [type(one) for one in found] == [MixRow, Trouble, Trouble, Trouble, Trouble]
    assert [one.number for one in found] == [2, 3, 4, 5, 6]
    reasons = [one.why for one in found[1:]]
    for reason, said in zip(
        reasons, ("“much”", "no water is given", "nothing but water", "not understood"), strict=True
    ):
        assert said in reason and "\n" not in reason


def test_a_reading_its_test_cannot_make_is_a_bad_row():
    (bad,) = rows_of("shell (g);water (g);slump (mm)\n300;140;900\n")
    assert isinstance(bad, Trouble) and "900" in bad.why


def test_a_formula_is_taken_at_its_saved_value_and_an_unsaved_one_is_a_bad_row():
    (bad,) = rows_of(workbook([["shell (g)", "water (g)"], [300, "=A2/2"]]))
    assert isinstance(bad, Trouble) and "cell B2 holds a formula without a saved value" in bad.why


def test_text_like_a_formula_is_plain_text():
    (bad,) = rows_of("shell (g);water (g)\n=300;140\n")
    assert isinstance(bad, Trouble) and "“=300”" in bad.why


def test_the_hidden_part_of_merged_cells_is_no_blank():
    merged = workbook(
        [["shell (g)", "water (g)"], [300, 140], [None, 150]], lambda book: book.active.merge_cells("A2:A3")
    )
    good, bad = rows_of(merged)
    assert isinstance(good, MixRow) and isinstance(bad, Trouble) and "A3 is merged into A2" in bad.why


def test_two_headings_alike_and_units_that_do_not_go_together_are_said():
    for text, says in (
        ("shell (g);shell (g);water (g)\n1;2;3\n", "two columns are called"),
        ("shell (g);guar (kg/m3);water (g)\n1;2;3\n", "partly in"),
        ("shell;guar;water (g)\n1;2;3\n", "has no unit"),
        ("shell (g);guar (g)\n1;2\n", "no column holds the water"),
        ("water (g);slump (mm)\n1;2\n", "no column holds an ingredient"),
    ):
        with pytest.raises(Problem, match=says):
            rows_of(text)


def test_a_mapping_goes_through_plain_data_and_back():
    table = open_table(b"mix;shell (g);water (g);slump (cm)\n1;300;140;23\n")
    settled = guess_settled(table)
    back: Settled = read_back(written(settled))
    assert written(back) == written(settled) and back.of(Means.READING)[0].choices == {"mould": "concrete_cone"}
    with pytest.raises(Problem):
        read_back({"columns": [{"means": "magic"}]})


def test_a_cone_sinks_at_most_an_eighth_of_a_metre_over_a_foot_that_stays():
    """By hand: the frustum holds pi 0.3 / 12 (0.1^2 + 0.1 x 0.2 + 0.2^2) = 5.498 L; a column 200 mm wide of that is
    175 mm tall; 300 - 175 = 125 mm.
    """
    assert height_lost_over_its_foot_m() == pytest.approx(0.125, abs=1e-12)


@pytest.fixture
def flow():
    own = declared(OwnReading(key="flow_cm", title="Flow", unit="cm", floor=20.0))
    shelf.lend(lambda: {"flow_cm": own})
    yield own
    shelf.lend(None)


@pytest.mark.parametrize(
    ("slump", "width", "flagged"), [(14.5, 20, True), (0, 30, True), (2, 20, False), (0, 20, False), (20, 45, False)]
)
def test_slump_and_flow_that_cannot_both_be_are_flagged_and_kept(flow, slump: float, width: float, flagged: bool):
    (row,) = rows_of(
        f"shell (g);water (g);slump (cm);flow (cm)\n300;140;{slump};{width}\n",
        **{
            "slump_(cm)": {"choices": {"mould": "concrete_cone"}},
            "flow_(cm)": {"means": Means.READING, "test": "flow_cm", "unit": "cm"},
        },
    )
    assert len(row.readings) == 2 and bool(row.doubt) is flagged
    if flagged:
        assert "cannot both be" in row.doubt
