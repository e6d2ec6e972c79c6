"""The notebook's page: looked at first, all or nothing, nothing typed ever lost."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from slake.campaign.reading_lines import LONGEST_TEXT
from slake.pages.next.lines import EXAMPLE, LARGEST_FILE_BYTES
from slake.records.models import Batch, Lot, Reading

GOOD = "shell 300, guar 4, alginate 8, water 150 - good; cone 15,5 mm at 60 min"


def post(client, lines="", **more):
    return client.post("/notebook/", {"lines": lines, **more})


def shown_lines(form_in, answer) -> str:
    return form_in(answer).values["lines"]


def test_looking_keeps_nothing_and_shows_what_was_read(client, bench):
    before = Batch.objects.count()
    answer = post(client, GOOD, look="yes")
    page = answer.content.decode()
    assert answer.status_code == 200 and Batch.objects.count() == before
    assert "shell 300, guar 4, alginate 8, water 150" in page
    assert "fall cone 15.5 mm at 60 min" in page


def test_the_example_on_the_page_can_be_taken_in_as_it_stands(client, bench):
    before = Batch.objects.count()
    answer = post(client, EXAMPLE, save="yes")
    assert answer.status_code == 302 and answer["Location"] == "/map/?taken=in"
    assert Batch.objects.count() == before + 5


def test_one_bad_line_keeps_all_of_them_out_and_every_line_stays(client, bench, form_in):
    before = Batch.objects.count()
    text = f"{GOOD}\nshell 300, guar 4 - good\n{GOOD}"
    answer = post(client, text, save="yes")
    page = answer.content.decode()
    assert answer.status_code == 422 and Batch.objects.count() == before
    assert "Line 2:" in page and "no water is named" in page
    assert shown_lines(form_in, answer) == text


def test_a_word_that_is_no_lot_is_matched_by_a_pick(client, bench):
    text = "my grey sand 300, guar 4, water 150 - good"
    before = Batch.objects.count()
    assert "my grey sand" in post(client, text, look="yes").content.decode()
    assert post(client, text, save="yes").status_code == 422
    picked = {"word_0": "my grey sand", "lot_for_0": str(bench.shell.pk)}
    assert post(client, text, save="yes", **picked).status_code == 302
    assert Batch.objects.count() == before + 1
    assert bench.shell in {a.lot for a in Batch.objects.last().amounts.all()}


def test_a_word_that_is_no_lot_can_become_one_and_not_before_all_else_is_read(client, bench):
    lots = Lot.objects.count()
    picked = {"word_0": "плавник", "lot_for_0": "new:filler"}
    text = "плавник 300, guar 4, water 150 - good"
    assert post(client, f"{text}\nguar 4 - good", save="yes", **picked).status_code == 422
    assert Lot.objects.count() == lots
    assert post(client, text, save="yes", **picked).status_code == 302
    assert Lot.objects.filter(name="плавник", role="filler").count() == 1


def test_a_role_or_lot_that_cannot_be_is_as_if_nothing_was_picked(client, bench):
    for pick in ("new:king", "999999", "１", "-1", "x" * 1000):
        picked = {"word_0": "driftwood", "lot_for_0": pick}
        assert post(client, "driftwood 300, water 150 - good", save="yes", **picked).status_code == 422


def test_the_grid_becomes_lines_below_the_typed_ones(client, bench, form_in):
    cells = {f"g{bench.shell.pk}-1": "300", f"g{bench.guar.pk}-1": "4,5", "water-1": "150", "words-1": "too runny"}
    answer = post(client, GOOD, look="yes", **cells, **{"readings-1": "cone 25 mm at 60 min"})
    lines = shown_lines(form_in, answer).splitlines()
    assert lines == [GOOD, "mussel shell 300, guar gum 4,5, water 150; too runny; cone 25 mm at 60 min"]
    assert "2 batches read" in answer.content.decode()


def test_a_grid_row_without_water_is_kept_as_a_line_and_refused(client, bench, form_in):
    answer = post(client, look="yes", **{f"g{bench.shell.pk}-2": "300", "words-2": "good"})
    assert "Line 1:" in answer.content.decode() and shown_lines(form_in, answer) == "mussel shell 300; good"


def test_what_a_grid_adds_is_looked_at_before_it_is_kept(client, bench):
    before = Batch.objects.count()
    cells = {f"g{bench.shell.pk}-1": "300", "water-1": "150", "words-1": "too runny"}
    answer = post(client, GOOD, save="yes", **cells)
    assert answer.status_code == 200 and "2 batches read" in answer.content.decode()
    assert Batch.objects.count() == before


def test_a_file_is_read_like_typed_lines(client, bench, form_in):
    file = SimpleUploadedFile("lines.csv", b"\xef\xbb\xbfshell,guar,water,outcome\r\n300,4,150,good\r\n")
    answer = post(client, look="yes", file=file)
    assert shown_lines(form_in, answer) == "shell,guar,water,outcome\n300,4,150,good"
    assert "1 batch read" in answer.content.decode()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [(b"\xff\xfe\x00\x80", "not plain text in UTF-8"), (b"a" * (LARGEST_FILE_BYTES + 1), "at most 1000 kB fit")],
)
def test_a_file_that_cannot_be_read_is_one_sentence_and_the_typed_lines_stay(client, bench, form_in, content, sentence):
    answer = post(client, GOOD, look="yes", file=SimpleUploadedFile("x", content))
    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert shown_lines(form_in, answer) == GOOD


@pytest.mark.parametrize("letter", ["a", "ж", "字", "🐚", "ة"])
def test_text_of_any_language_is_read_up_to_the_limit_and_refused_beyond_it(client, bench, form_in, letter):
    """At the limit the lines are read (and found to be no batch); one more is refused by its length."""
    at_limit = post(client, letter * LONGEST_TEXT, look="yes")
    assert at_limit.status_code == 200 and "Line 1:" in at_limit.content.decode()
    beyond = post(client, letter * (LONGEST_TEXT + 1), look="yes")
    assert beyond.status_code == 422 and f"more than {LONGEST_TEXT} characters" in beyond.content.decode()
    assert shown_lines(form_in, beyond) == letter * (LONGEST_TEXT + 1)


@pytest.mark.parametrize(
    "typed", ["", " \n ", "\x00", "hello", "shell nan, water 150 - good", "shell -3, water 1 - good"]
)
def test_what_is_no_batch_is_said_and_nothing_is_kept(client, bench, typed):
    before = Batch.objects.count()
    answer = post(client, typed, save="yes")
    assert answer.status_code == 422 and 'role="alert"' in answer.content.decode()
    assert Batch.objects.count() == before


def test_the_same_form_twice_takes_the_lines_in_once(client, bench, form_in):
    entry = form_in(client.get("/notebook/")).values["entry"]
    before = Batch.objects.count()
    for _ in range(2):
        assert post(client, GOOD, save="yes", entry=entry).status_code == 302
    assert Batch.objects.count() == before + 1


def test_a_bench_without_lots_can_begin_with_its_notebook(client, databases):
    text = "shell 300, guar 4, water 150 - good"
    assert "No lot of this bench is called “shell”" in post(client, text, look="yes").content.decode()
    picked = {"word_0": "shell", "lot_for_0": "new:filler", "word_1": "guar", "lot_for_1": "new:thickener"}
    assert post(client, text, save="yes", **picked).status_code == 302
    assert Batch.objects.count() == 1 and Lot.objects.count() == 2


def test_what_is_typed_is_shown_as_text_never_as_markup(client, bench):
    page = post(client, "<script>alert(1)</script> 300, water 150 - good", look="yes").content.decode()
    assert "<script>alert(1)" not in page


def test_a_comma_reading_and_a_point_reading_are_the_same(client, bench):
    post(client, f"{GOOD}\n{GOOD.replace('15,5', '15.5')}", save="yes")
    one, two = Reading.objects.order_by("-id")[:2]
    assert one.headline_value == two.headline_value == 15.5
