"""What happened here: trends with what changed, two batches side by side, and sentences for wrong addresses."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from slake.actions import stiffness_map
from slake.actions.entry import Entry
from slake.actions.reading import log_reading
from slake.actions.striking import strike_batch
from slake.demo import telling
from slake.records.models import Batch
from slake.records.which import SAMPLE, using

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)


@pytest.fixture
def workshop(databases):
    """The six weeks of the sample workshop: two lots of shell, twelve batches."""
    with using(SAMPLE):
        telling.load(NOW)
        yield


def test_a_trend_shows_every_batch_read_and_the_lots_that_changed(client, workshop):
    page = client.get("/sample/happened/trend/yield_stress_pa/").content.decode()
    assert "Stiffness from batch to batch" in page
    assert page.count('<tr><th scope="row">') >= 8
    assert "shell B" in page and "80 % range" in page
    svg = client.get("/sample/happened/trend/yield_stress_pa/wide.svg")
    assert svg["Content-Type"] == "image/svg+xml" and b"shell B" in svg.content and b"stiffness, Pa" in svg.content


@pytest.mark.parametrize("key", ["linear_shrinkage", "bend_strength_pa", "layers_stood"])
def test_other_trends_open_with_or_without_readings(client, workshop, key):
    assert client.get(f"/sample/happened/trend/{key}/").status_code == 200
    assert client.get(f"/sample/happened/trend/{key}/phone.svg").status_code == 200


def test_side_by_side_lists_what_differs_first(client, workshop):
    page = client.get("/sample/happened/side-by-side/?first=3&second=5").content.decode()
    assert "Is what differs enough to explain it?" in page
    rows = page.split("<tbody>")[1].split("</tr>")
    differs = ["<strong>" in row for row in rows if "<th" in row]
    assert differs == sorted(differs, reverse=True) and any(differs)
    assert "water, g per g dry" in page and "how it ended" in page


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("first=3&second=3", "choose two different"),
        ("first=3&second=999", "no batch “999”"),
        ("first=x&second=3", "no batch “x”"),
        ("first=9999999999999&second=3", "no batch"),
    ],
)
def test_two_numbers_that_are_no_pair_are_refused_in_a_sentence(client, workshop, query, says):
    answer = client.get(f"/sample/happened/side-by-side/?{query}")
    assert answer.status_code == 422 and says in answer.content.decode()


def test_what_is_not_followed_is_not_found(client, workshop):
    assert client.get("/sample/happened/trend/magic/").status_code == 404
    assert client.get("/sample/happened/trend/yield_stress_pa/poster.svg").status_code == 404


def test_an_empty_bench_says_so(client, databases):
    assert "No reading tells of stiffness yet" in client.get("/happened/trend/yield_stress_pa/").content.decode()
    assert client.get("/happened/").status_code == 200
    assert client.get("/happened/side-by-side/").status_code == 200


def test_stiffness_over_water_and_gum_is_worked_out_once_and_falls_with_water(client, workshop, monkeypatch):
    monkeypatch.setattr(stiffness_map, "_kept", {})
    waiting = client.get("/sample/happened/stiffness/").content.decode()
    assert "data-go-at-once" in waiting
    assert client.post("/sample/happened/stiffness/")["Location"].endswith("/happened/stiffness/")
    page = client.get("/sample/happened/stiffness/").content.decode()
    assert "Yield stress in Pa (80 % range)" in page and "data-go-at-once" not in page
    rows = [row.split("</tr>")[0] for row in page.split("<tbody>")[1].split("<tr>")[1:]]
    middle = rows[len(rows) // 2].split('<td class="num">')[1:]
    pascals = [float(cell.split(" (")[0]) for cell in middle if "too dry" not in cell and "not tried" not in cell]
    assert len(pascals) >= 3 and pascals == sorted(pascals, reverse=True)
    svg = client.get("/sample/happened/stiffness/wide.svg")
    assert svg["Content-Type"] == "image/svg+xml" and b"Pa</text>" in svg.content


def test_too_few_batches_for_a_map_is_said(client, databases):
    page = client.get("/happened/stiffness/").content.decode()
    assert "first say what waste" in page or "read the cone" in page


def test_my_own_repeatability_is_told_test_by_test(client, workshop):
    batch = Batch.objects.get(number=5)
    for number, depth in enumerate(("15", "16.5", "15.5", "14.5")):
        said = Entry(id=f"r{number}", at=NOW)
        log_reading(said, "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})
    page = client.get("/sample/happened/repeat/").content.decode()
    (row,) = [row for row in page.split("<tr>") if "Fall cone" in row]
    # 15, 16.5, 15.5 and 14.5 mm: standard deviation 0.854 mm; chi-square of 3 degrees of freedom: 0.59 to 1.93 mm
    assert '<td class="num" data-label="repeats">3</td>' in row
    assert "0.9 mm (0.6 to 1.9)" in row
    assert "Your own scatter counts" in row and "the last 200 batches" in page


def test_one_repeat_is_shown_and_not_used_yet(client, workshop):
    batch = Batch.objects.get(number=5)
    for number, depth in enumerate(("15", "16")):
        log_reading(Entry(id=f"r{number}", at=NOW), "fall_cone", ("batch", batch.pk), {"cone_depth_mm": depth})
    page = client.get("/sample/happened/repeat/").content.decode()
    assert "2 more repeats and yours count" in page


def test_without_repeats_it_says_how_to_get_some(client, databases):
    assert "No test was read twice" in client.get("/happened/repeat/").content.decode()


def test_what_happened_leads_to_every_page_of_it(client, workshop):
    page = client.get("/sample/happened/").content.decode()
    for part in ("map/", "happened/repeat/", "happened/stiffness/", "happened/side-by-side/", "past/", "log/"):
        assert f'href="/sample/{part}' in page


def test_a_batch_is_struck_and_taken_in_again_from_its_page(client, workshop):
    assert "/sample/batches/5/strike/" in client.get("/sample/batches/5/").content.decode()
    where = "/sample/batches/5/strike/"
    assert client.post(where, {"entry": "a" * 20, "reason": ""}).status_code == 422
    client.post(where, {"entry": "b" * 20, "reason": "water typed wrong"})
    assert "water typed wrong" in client.get("/sample/batches/5/").content.decode()
    assert "Struck: water typed wrong" in client.get("/sample/batches/").content.decode()
    assert "/batches/5/" not in client.get("/sample/happened/trend/yield_stress_pa/").content.decode()
    client.post(where, {"entry": "c" * 20, "reason": "it was right"})
    assert "Struck" not in client.get("/sample/batches/").content.decode()
    assert client.get("/sample/batches/999/strike/").status_code == 404


def test_a_struck_batch_is_not_offered_side_by_side_first(client, workshop):
    newest = Batch.objects.order_by("-number").first()
    assert f"first={newest.number}&" in client.get("/sample/happened/").content.decode()
    strike_batch(Entry(id="s", at=NOW), newest.pk, "spilt")
    assert f"first={newest.number}&" not in client.get("/sample/happened/").content.decode()
    assert f'<option value="{newest.number}">' not in client.get("/sample/happened/side-by-side/").content.decode()
    asked = client.get(f"/sample/happened/side-by-side/?first={newest.number}&second=5").content.decode()
    assert f"Batch {newest.number} is struck" in asked


SHOWN_PX, SVG_UNITS = 356, 4.4 * 72
"""A drawing on a page 390 px wide, and the units across the drawing made for it."""


@pytest.mark.parametrize("which", ["trend/yield_stress_pa", "stiffness"])
def test_the_text_of_a_drawing_can_be_read_on_a_telephone(client, workshop, which):
    svg = client.get(f"/sample/happened/{which}/phone.svg").content.decode()
    sizes = {float(size) for size in re.findall(r"font(?:-size)?: (?:[a-z]+ )*([0-9.]+)px", svg)}
    assert sizes and min(sizes) * SHOWN_PX / SVG_UNITS >= 11
