"""The verdict page: the limiting line in one sentence first, every line in a table, changes, sentences for slips."""

from __future__ import annotations

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
    assert "smallest changes" in page and "knead in dry filler" in page


def test_of_a_stiffness_typed_by_hand(client, bench):
    page = client.get("/verdict/?cone_depth_mm=12,5&wall_height_mm=20").content.decode()
    assert "for a wall 20 mm high" in page and 'value="12,5"' in page
    svg = client.get("/verdict/wide.svg?cone_depth_mm=12,5&wall_height_mm=20")
    assert svg["Content-Type"] == "image/svg+xml" and b"force" in svg.content


def test_a_bench_without_a_machine_is_told_what_to_say_first(client, databases):
    answer = client.get("/verdict/")
    assert answer.status_code == 422 and "two bores are enough" in answer.content.decode()


@pytest.mark.parametrize(
    "query", ["wall_height_mm=nan", "cone_depth_mm=900", "closed=perhaps&wall_height_mm=30", "wait_min=-1"]
)
def test_a_slip_is_one_sentence_and_the_form_stays(client, bench, query):
    answer = client.get(f"/verdict/?{query}")
    assert answer.status_code == 422 and 'role="alert"' in answer.content.decode()
    assert "Work it out" in answer.content.decode()


def test_kept_as_given(client, bench):
    where = f"/batches/{bench.runny.number}/verdict/"
    assert client.post(where, {"wall_height_mm": "30", "entry": "v1"})["Location"] == where
    assert VerdictGiven.objects.get().inputs["wall_height_mm"] == "30"
    assert "As it was given" in client.get(where).content.decode()


def test_it_is_linked_from_batch_and_machine(client, bench):
    assert f"/batches/{bench.runny.number}/verdict/" in client.get(f"/batches/{bench.runny.number}/").content.decode()
    assert "/verdict/" in client.get("/machine/").content.decode()


def test_what_is_new_on_a_machine_is_a_dated_change(client, bench, fill):
    fill("/machine/", nozzle_mm="3", changed="3 mm nozzle, heater added", fixtures="plaster bed")
    page = client.get("/machine/").content.decode()
    assert "3 mm nozzle, heater added" in page and "plaster bed" in page and "As it was" in page
    fill("/machine/", nozzle_mm="2", changed="back to 2 mm")
    assert client.get("/machine/").content.decode().count("3 mm nozzle, heater added") == 1
