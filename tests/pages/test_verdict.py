"""The verdict page: the limiting line in one sentence first, every line in a table, changes, sentences for slips."""

from __future__ import annotations

import html
import re

import pytest

from slake.records.models import VerdictGiven


def test_of_a_batch_it_says_what_limits_it_first(client, bench, fill):
    page = client.get(f"/batches/{bench.runny.number}/verdict/?wall_height_mm=60").content.decode()
    assert (
        page.index("What limits it is the")
        < page.index("Every line, the limiting one first")
        < page.index("Ask it otherwise")
    )
    assert "The ram pinches" in page and "holds in 100" in page
    assert "The smallest changes that would make it pass" in page and "mm high instead of 60" in page


def test_a_change_is_asked_by_one_tap_and_then_it_says_go(client, bench):
    where = f"/batches/{bench.runny.number}/verdict/"
    page = client.get(f"{where}?wall_height_mm=60").content.decode()
    mends = re.findall(r'<li><strong>.*?href="(\?[^"]+)">Ask it so', page)
    assert mends
    for mend in mends:
        after = client.get(where + html.unescape(mend)).content.decode()
        assert '<span class="in">Go</span>' in after and "every line, asked by itself, holds 80 in 100" in after
        assert ("would make it pass" not in after and "<details open>" in after) or "nozzle_mm" not in mend


def test_where_nothing_makes_it_pass_what_helps_stands_apart(client, bench, fill):
    """A paste that weeps and is too high for its wall."""
    fields = {"in_pressed_g": "15", "in_paper_dry_g": "1.2", "in_paper_wet_g": "2.4"}
    assert fill(f"/read/bleed_press/batch/{bench.runny.pk}/", **fields).status_code == 302
    page = client.get(f"/batches/{bench.runny.number}/verdict/?wall_height_mm=60").content.decode()
    assert "No change worked out here makes it pass" in page and "would make it pass</h2>" not in page
    assert "These help in part: it would still not pass." in page and "Not mended by it: bleeding" in page


def test_the_two_times_are_told_apart(client, bench):
    page = client.get(f"/batches/{bench.runny.number}/verdict/?print_min=20").content.decode()
    assert "Until the ram stalls, which is later than the paste is fit to print" in page
    assert "A quarter stiffer, and no longer fit for the same print, it is after about 2 h" in page


def test_letters_of_the_drawing_keep_their_size_on_a_phone(client, bench):
    """Shown at least 340 dots wide on a screen of 390: letters of 11 dots at least."""
    svg = client.get("/verdict/phone.svg?cone_depth_mm=12,5&wall_height_mm=20").content.decode()
    width = float(re.search(r'<svg[^>]* width="([0-9.]+)pt"', svg).group(1))
    sizes = {float(size) for size in re.findall(r"font-size: ([0-9.]+)px", svg)}
    assert sizes and min(sizes) * 340 / width >= 11


def test_of_a_stiffness_typed_by_hand(client, bench):
    page = client.get("/verdict/?cone_depth_mm=12,5&wall_height_mm=20").content.decode()
    assert "for a wall 20 mm high" in page and 'value="12,5"' in page
    svg = client.get("/verdict/wide.svg?cone_depth_mm=12,5&wall_height_mm=20")
    assert svg["Content-Type"] == "image/svg+xml" and b"force" in svg.content


def test_a_bench_without_a_machine_is_told_what_to_say_first(client, databases):
    """Nothing was typed yet, so nothing is refused: a link here leads to a page."""
    answer = client.get("/verdict/")
    assert answer.status_code == 200 and "two bores are enough" in answer.content.decode()


@pytest.mark.parametrize(
    "query", ["wall_height_mm=nan", "cone_depth_mm=900", "closed=perhaps&wall_height_mm=30", "wait_min=-1"]
)
def test_a_slip_is_one_sentence_and_the_form_stays(client, bench, query):
    answer = client.get(f"/verdict/?{query}")
    assert answer.status_code == 422 and 'role="alert"' in answer.content.decode()
    assert "Work it out" in answer.content.decode()


def test_kept_as_given(client, bench):
    where = f"/batches/{bench.runny.number}/verdict/"
    answer = client.post(where, {"wall_height_mm": "30", "nozzle_mm": "3", "entry": "v1"}, follow=True)
    assert answer.redirect_chain[-1][0] == f"{where}?wall_height_mm=30&nozzle_mm=3"
    page = answer.content.decode()
    assert "Kept as it was given" in page and 'value="30"' in page and "As it was given" in page
    assert VerdictGiven.objects.get().inputs["wall_height_mm"] == "30"


def test_it_is_linked_from_batch_and_machine(client, bench):
    assert f"/batches/{bench.runny.number}/verdict/" in client.get(f"/batches/{bench.runny.number}/").content.decode()
    assert "/verdict/" in client.get("/machine/").content.decode()


def test_what_is_new_on_a_machine_is_a_dated_change(client, bench, fill):
    fill("/machine/", nozzle_mm="3", changed="3 mm nozzle, heater added", fixtures="plaster bed")
    page = client.get("/machine/").content.decode()
    assert "3 mm nozzle, heater added" in page and "plaster bed" in page and "As it was" in page
    fill("/machine/", nozzle_mm="2", changed="back to 2 mm")
    assert client.get("/machine/").content.decode().count("3 mm nozzle, heater added") == 1
