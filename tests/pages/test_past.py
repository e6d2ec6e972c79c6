"""A person's own past through the pages: a file kept, columns settled, rows looked at, taken in by the worker."""

from __future__ import annotations

import io
import zipfile
from datetime import datetime
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from slake.actions.own_readings import declare_reading
from slake.bench import shelf
from slake.ground.evidence import Kind
from slake.jobs.doing import work
from slake.records.models import Action, Batch, Job, Lot, Reading, Sheet
from slake.records.own_tests import declared_here
from slake.records.values import evidence_of
from tests.campaign.past.workbook import with_part, workbook

YEH = Path(__file__).parents[1] / "references" / "yeh2007.csv"
DRY = (1, 2, 3, 5, 6, 7)
"""Columns of the six ingredients of that table that are not water."""


@pytest.fixture(autouse=True)
def lent():
    shelf.lend(declared_here)
    yield
    shelf.lend(None)


@pytest.fixture
def bring(client):
    """Send a file to the door; the page it leads to."""

    def send(content: bytes | str, name: str = "old.csv") -> str:
        data = content.encode() if isinstance(content, str) else content
        answer = client.post("/past/", {"entry": name, "file": SimpleUploadedFile(name, data)})
        assert answer.status_code == 302, answer.content.decode()
        return answer["Location"]

    return send


@pytest.fixture
def settle(client, form_in):
    """Open the page of a sheet, say what is said, send it; selects keep what is chosen on the page."""

    def send(address: str, **said: str):
        page = client.get(address)
        read_as = form_in(page).values["read_as"]
        return client.post(address, {"read_as": read_as, "entry": "settled", **said})

    return send


def finished(client, answer) -> tuple[Job, str]:
    """The work asked for, done by the worker in this process, and its page."""
    assert answer.status_code == 302, answer.content.decode()
    work()
    job = Job.objects.last()
    return job, client.get(answer["Location"]).content.decode()


SHELL = "shell (g),guar (g),water (g),cone (mm),how it ended\n300,3,150,19,good\n300,4,160,22,stalled\n"


class TestARealTable:
    """103 mixes of another trade (tests/references/yeh2007.toml)."""

    @pytest.fixture
    def asked(self, entry):
        declare_reading(entry(), {"title": "Flow", "unit": "cm", "floor": "20"})
        declare_reading(entry(), {"title": "Strength at 28 days", "unit": "MPa", "floor": "0"})
        lots = {f"lot_{at}": "new:filler" for at in DRY} | {f"moisture_{at}": "0" for at in DRY}
        return {**lots, "means_10": "reading:strength_at_28_days_mpa"}

    def test_the_preview_shows_what_each_reading_says(self, client, bring, settle, asked):
        page = settle(bring(YEH.read_bytes(), "yeh2007.csv"), **asked).content.decode()
        assert "103 rows can be taken in" in page
        assert "slump 0 mm, did not slump, above the range it can tell" in page
        assert "flow 20 cm, did not spread, at the end of the scale: 20 cm or less, below the range it can tell" in page

    def test_the_row_whose_slump_and_flow_contradict_is_flagged(self, client, bring, settle, asked):
        page = settle(bring(YEH.read_bytes(), "yeh2007.csv"), **asked).content.decode()
        assert page.count("in doubt</span>") == 1
        assert "flow 20 cm cannot both be" in page

    def test_all_mixes_come_in(self, client, bring, settle, asked):
        answer = settle(bring(YEH.read_bytes(), "yeh2007.csv"), **asked, save="all")
        job, page = finished(client, answer)
        assert job.state == "done", job.words
        assert "103 rows taken in" in page and "cannot both be" in page
        assert Batch.objects.count() == 103 and Reading.objects.count() == 3 * 103
        first = Batch.objects.order_by("number").first()
        assert {a.lot.name if a.lot else "water": a.target_g for a in first.amounts.all()} == {
            "cement": 273, "slag": 82, "fly ash": 105, "water": 210, "superplasticizer": 9, "coarse aggregate": 904,
            "fine aggregate": 680,
        }  # fmt: skip
        for reading in Reading.objects.filter(test="slump", headline_value=0):
            assert evidence_of(reading).kind is Kind.ABOVE
        stayed = [evidence_of(r).kind for r in Reading.objects.filter(test="flow_cm", headline_value=20)]
        assert stayed and set(stayed) == {Kind.BELOW}
        words = set(Reading.objects.filter(test="flow_cm", headline_value=20).values_list("headline_words", flat=True))
        assert words == {"did not spread, at the end of the scale: 20 cm or less"}

    def test_the_same_again_does_not_double(self, client, bring, settle, asked):
        at = bring(YEH.read_bytes(), "yeh2007.csv")
        finished(client, settle(at, **asked, save="all"))
        again = {f"lot_{n}": str(lot.pk) for n, lot in zip(DRY, Lot.objects.order_by("pk"), strict=True)}
        job, page = finished(client, settle(at, **{**asked, **again}, entry="another", save="all"))
        assert job.state == "done" and "103 rows were on this bench already" in page
        assert Batch.objects.count() == 103 and Lot.objects.count() == 6


def test_a_plain_table_needs_nothing_said_where_headings_say_all(client, bench, bring, settle):
    before = Batch.objects.count()
    at = bring(SHELL)
    page = settle(at).content.decode()
    assert "2 rows can be taken in" in page and "cone" in page
    job, page = finished(client, settle(at, save="all"))
    assert job.state == "done" and Batch.objects.count() == before + 2
    assert Lot.objects.count() == 3
    assert "batches" in page


def test_units_that_no_heading_says_are_asked_for(client, bench, bring, settle):
    at = bring(SHELL.replace(" (g)", ""))
    answer = settle(at)
    assert answer.status_code == 422 and "has no unit: say in what its amounts are" in answer.content.decode()
    assert "2 rows can be taken in" in settle(at, unit_all="g").content.decode()


def test_an_ingredient_nobody_knows_is_asked_for(client, bench, bring, settle):
    at = bring("grog (g),water (g),cone (mm)\n300,150,19\n")
    assert "say which lot “grog (g)” means" in settle(at).content.decode()
    assert "1 row can be taken in" in settle(at, lot_all="new:filler").content.decode()


def test_a_meaning_can_be_put_right_and_its_questions_come_with_the_next_look(client, bench, bring, settle):
    at = bring("shell (g),guar (g),water (g),sag\n300,3,150,19\n")
    assert client.get(at).status_code == 200
    page = settle(at, means_3="reading:fall_cone").content.decode()
    assert "choice_3_" in page and "1 row can be taken in" in page
    assert "fall cone" in page.lower()


BAD = SHELL + "300,4,soup,22,good\n300,4,,20,good\n"


def test_bad_rows_are_named_and_nothing_is_kept_until_they_are_given_up(client, bench, bring, settle):
    before = Batch.objects.count()
    at = bring(BAD)
    page = settle(at).content.decode()
    assert "Row 4:" in page and "soup" in page and "Row 5: no water is given" in page
    assert "Take in only the good rows: 2, 2 left out" in page
    job, page = finished(client, settle(at, save="all"))
    assert job.state == "refused" and Batch.objects.count() == before
    assert "2 of 4 rows cannot be read" in page and "Row 5" in page
    job, page = finished(client, client.post(f"/jobs/{job.pk}/on/", {"entry": "go"}))
    assert job.state == "done" and "2 rows left out" in page and Batch.objects.count() == before + 2


def test_back_to_the_columns_finds_what_was_chosen(client, bench, bring, settle):
    at = bring("grog (g),water (g),sag\n300,150,19\n300,x,19\n")
    job, page = finished(client, settle(at, lot_0="new:fibre", means_2="ignore", save="all"))
    assert f"{at}?job={job.pk}" in page
    page = client.get(f"{at}?job={job.pk}").content.decode()
    assert '<option value="new:fibre" selected>' in page


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("nothing.csv", b"", "0 bytes"),
        ("picture.csv", b"\x89PNG\r\n" + b"x" * 50, "a picture"),
        ("blank.csv", b"  \n\n", "no text"),
        ("one.csv", b"a\n1\n", "only one column"),
        ("damaged.xlsx", b"PK\x03\x04" + b"x" * 80, "damaged"),
        ("big.csv", b"a,b\n" + b"1,2\n" * (5 * 2**20 + 10), "at most 20 MB"),
    ],
)
def test_what_is_no_table_is_refused_in_one_sentence_and_not_kept(client, databases, name, content, says):
    answer = client.post("/past/", {"entry": "e", "file": SimpleUploadedFile(name, content)})
    page = answer.content.decode()
    assert answer.status_code == 422 and says in page and page.count('role="alert"') == 1
    assert not Sheet.objects.exists()


def unfolding(xml: bytes) -> bytes:
    head, mark, rest = xml.partition(b"?>")
    laughs = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
    return head + mark + laughs + rest if mark else laughs + xml


SMALL = [["shell (g)", "water (g)"], [300, 150]]
BOMBS = {
    "unpacks to": lambda: with_part(workbook(SMALL), "xl/media/x.xml", lambda _: b" " * (120 * 2**20)),
    "unfolds": lambda: with_part(workbook(SMALL), "xl/worksheets/sheet1.xml", unfolding),
    "more than 20000 rows": lambda: b"shell,water\n" + b"300,140\n" * 1_000_000,
    "at most 200 columns": lambda: (",".join(["1"] * 201) + "\n").encode() * 2,
    "is empty": lambda: workbook([]),
    "locked with a password": lambda: b"\xd0\xcf\x11\xe0" + b"x" * 100,
}


@pytest.mark.parametrize("says", BOMBS)
def test_a_file_made_to_do_harm_is_refused_in_one_sentence_and_not_kept(client, databases, says):
    answer = client.post("/past/", {"entry": "e", "file": SimpleUploadedFile("x.xlsx", BOMBS[says]())})
    page = answer.content.decode()
    assert answer.status_code == 422 and says in page and page.count('role="alert"') == 1
    assert not Sheet.objects.exists() and not Action.objects.exists()


def test_headings_that_are_merged_are_asked_about(client, databases, bring):
    at = bring(workbook(SMALL, lambda book: book.active.merge_cells("A1:B1")), "merged.xlsx")
    page = client.get(at).content.decode()
    assert "1 blocks of cells are merged" in page and "merged" in page and "Take all" not in page


def test_the_first_sheet_may_be_empty(client, bench, bring, settle):
    def second(book):
        sheet = book.create_sheet("mixes")
        for row in SMALL:
            sheet.append(row)

    at = bring(workbook([], second), "two.xlsx")
    page = client.get(at).content.decode()
    assert '<option value="mixes" selected>' in page and "1 row can be taken in" in page


def test_a_formula_counts_by_its_saved_value_and_is_never_run(client, bench, bring, settle):
    """openpyxl saves no values: the row is bad, and the sentence says what to do."""
    at = bring(workbook([*SMALL, ["=150*2", 150]]), "formula.xlsx")
    page = settle(at).content.decode()
    assert "1 row can be taken in, 1 cannot be read" in page
    assert "cell A3 holds a formula without a saved value" in page


def test_text_like_a_formula_comes_in_plain_and_goes_out_harmless(client, bench, bring, settle):
    at = bring("mix,shell (g),water (g)\n=cmd(),300,150\n")
    job, _ = finished(client, settle(at, save="all"))
    batch = Batch.objects.last()
    assert job.state == "done", job.words
    assert batch.called == "=cmd()"
    answer = client.post("/past/everything/", {"pack": "yes", "entry": "p"})
    finished(client, answer)
    box = client.get(f"/past/everything/{Job.objects.last().pk}.zip")
    with zipfile.ZipFile(io.BytesIO(b"".join(box.streaming_content))) as packed:
        assert "'=cmd()" in packed.read("tables/batch.csv").decode()


def test_no_file_is_asked_for(client, databases):
    assert "no file was chosen" in client.post("/past/", {"entry": "e"}).content.decode()


def test_a_share_is_asked_of_what_it_is(client, bench, bring, settle):
    at = bring("shell (g),guar,water (g)\n300,1,150\n")
    page = settle(at, unit_1="% of")
    assert page.status_code == 422 and "say of which columns" in page.content.decode()
    assert 'name="of_1"' in page.content.decode()
    page = settle(at, unit_1="% of", of_1="0").content.decode()
    assert "1 row can be taken in" in page and "guar gum 3, water 150" in page


def test_decimal_commas_semicolons_and_cp1252(client, bench, bring, settle):
    text = "Versuch;shell (g);guar (g);water (g);cone (mm)\nKübel 1;1.300,5;3,25;150;19,5\n"
    at = bring(text.encode("cp1252"))
    page = settle(at, means_0="called").content.decode()
    assert "text in cp1252, cells cut at semicolons" in page
    assert "Kübel 1" in page and "fall cone 19.5 mm" in page
    finished(client, settle(at, means_0="called", save="all"))
    assert [a.target_g for a in Batch.objects.last().amounts.all()] == [1300.5, 3.25, 150]


def test_days_of_a_workbook_are_days(client, bench, bring, settle):
    rows = [["date", "shell (g)", "water (g)"], [datetime(2024, 3, 5), 300, 150], [45357, 300, 151]]
    at = bring(workbook(rows), "days.xlsx")
    page = settle(at, means_0="date").content.decode()
    assert "2 rows can be taken in" in page and "2024-03-05" in page and "2024-03-06" not in page.split("<table")[0]
    finished(client, settle(at, save="all"))
    assert [f"{b.since:%Y-%m-%d}" for b in Batch.objects.order_by("-number")[:2]] == ["2024-03-06", "2024-03-05"]


def test_a_label_makes_a_lot_of_its_own(client, bench, bring, settle):
    at = bring("shell (g),shell lot,water (g)\n300,quay 3,150\n310,quay 4,150\n290,quay 3,150\n")
    job, _ = finished(client, settle(at, save="all"))
    assert job.state == "done", job.words
    names = [b.amounts.exclude(lot=None).get().lot.name for b in Batch.objects.order_by("-number")[:3]]
    assert names[0] == names[2] != names[1] and all("quay" in name for name in names)


def test_the_row_of_the_headings_can_be_said(client, bench, bring, settle):
    at = bring("my notes,,\n,,\n" + SHELL)
    assert "2 rows can be taken in" in settle(at).content.decode()
    page = settle(at, headings_in="9").content.decode()
    assert "row 9 is empty or not there" in page
    assert "give the number of the row" in settle(at, headings_in="one").content.decode()


def test_two_headings_alike_are_refused(client, bench, bring, settle):
    at = bring("shell (g),shell (g),water (g)\n1,2,3\n")
    assert "two columns are called" in settle(at).content.decode()


def test_markup_in_cells_stays_text(client, bench, bring, settle):
    at = bring("shell (g),water (g),how it ended\n300,150,<script>alert(1)</script>\n", "<b>x.csv")
    page = settle(at).content.decode()
    assert "<script>alert" not in page and "&lt;script&gt;" in page and "<b>x" not in page


def test_a_workbook_with_several_sheets(client, bench, bring):
    def second(book):
        sheet = book.create_sheet("mixes")
        for row in (["shell (g)", "water (g)", "cone (mm)"], [300, 150, 19]):
            sheet.append(row)

    at = bring(workbook([["nothing", "here"]], second), "old.xlsx")
    page = client.get(at).content.decode()
    assert 'name="sheet"' in page and "Still to be said: no row of headings was found" in page
    assert "1 row can be taken in" in client.post(at, {"sheet": "mixes", "entry": "a"}).content.decode()


def test_work_can_be_called_off_while_it_waits(client, bench, bring, settle):
    before = Batch.objects.count()
    answer = settle(bring(SHELL), save="all")
    page = client.get(answer["Location"]).content.decode()
    assert 'http-equiv="refresh"' in page and "Call it off" in page
    client.post(f"{answer['Location']}off/", {"entry": "off"})
    work()
    page = client.get(answer["Location"]).content.decode()
    assert "Called off" in page and "refresh" not in page
    assert Batch.objects.count() == before


def test_the_sheets_kept_are_listed(client, bench, bring):
    at = bring(SHELL, "winter.csv")
    assert bring(SHELL, "winter again.csv") == at
    page = client.get("/past/").content.decode()
    assert page.count("winter") == 1 and at in page


NINE = "shell (g),guar (g),water (g),cone (mm)\n" + "".join(
    f"300,3,{water},{19 + n}\n" for n, water in enumerate((165, 170, 180, 190, 200, 210, 220, 240, 1234.5))
)


def test_a_row_far_from_the_others_comes_first_and_all_of_a_short_table_are_shown(client, bench, bring, settle):
    page = settle(bring(NINE)).content.decode()
    told = page.split("<caption>The rows in doubt first, then the others")[1].split("<tbody>")[1].split("</tbody>")[0]
    assert told.count("<tr>") == 9 and "water 1234<" in told.split("</tr>")[0] and "in doubt" in told.split("</tr>")[0]
    assert "times the middle of all rows" in page and "Row 10: water, g per g dry, is" in page


def test_a_file_taken_in_before_says_so_and_reads_its_columns_as_then(client, bench, bring, settle):
    at = bring(SHELL.replace(",cone (mm)", ",depth of it"))
    finished(client, settle(at, save="all", means_3="reading:fall_cone", unit_3="mm"))
    before = Batch.objects.count()
    page = client.get(at).content.decode()
    assert "This file was taken in on" in page and f"as batches {before - 1} to {before}" in page
    assert "0 rows can be taken in, 2 more are on this bench already and stay out (rows 2, 3)" in page
    assert "Take all" not in page


def test_the_note_of_a_far_row_stays_with_its_batch(client, bench, bring, settle):
    finished(client, settle(bring(NINE), save="all"))
    (noted,) = Batch.objects.filter(note__contains="times the middle of all rows")
    assert "1234.5" in noted.typed_line


def test_a_column_is_folded_to_its_meaning_unless_it_still_asks_something(client, bench, bring):
    page = client.get(bring("shell (g),zwieback,guar (g),water (g),cone (mm)\n300,20,3,150,19\n")).content.decode()
    folded = [part.split("</summary>")[0] for part in page.split('<details class="column"')[1:]]
    water, unknown = (next(part for part in folded if name in part) for name in ("water (g)", "zwieback"))
    assert len(folded) == 5
    assert "amount of water" in water and not water.startswith(" open")
    assert unknown.startswith(" open") and "still asks something" in unknown


def test_a_reading_of_a_lot_that_is_also_read_of_a_batch_may_be_a_column(client, bench, bring):
    page = client.get(bring(SHELL)).content.decode()
    assert 'value="reading:jar_humidity"' in page and 'value="reading:oven_moisture"' not in page
