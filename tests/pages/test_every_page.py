"""What holds on every page of a bench: labels tied to inputs, ids once, the ribbon, tokens, no write on a look."""

import pytest
from django.test import Client

from slake.bench.shelf import all_tests
from slake.records.models import Action
from slake.records.which import SAMPLE, using
from slake.server.doors import SAMPLE_PREFIX

PLAIN = ["", "start/", "start/taken/", "lots/", "machine/", "brief/", "room/", "people/", "batches/", "tests/"]
PLAIN += ["sources/", "log/", "past/", "check/"]


def addresses(bench) -> list[str]:
    lot, batch = bench.shell.pk, bench.runny
    reading = batch.readings.first()
    found = [*PLAIN, f"lots/{lot}/", f"lots/{lot}/edit/", f"lots/{lot}/stock/", f"lots/{lot}/heat/"]
    found += [f"read/oven_moisture/lot/{lot}/", f"readings/{reading.pk}/", f"strike/reading/{reading.pk}/"]
    found += [f"read/{t.id}/batch/{batch.pk}/" for t in all_tests().values() if t.about.value != "lot"]
    found += [f"batches/{batch.number}/", f"recipes/{batch.recipe.pk}/", f"details/lot/{lot}/"]
    return found + [f"tests/{test_id}/" for test_id in all_tests()]


def test_every_input_has_its_label_and_every_id_is_there_once(client, bench, form_in):
    for address in addresses(bench):
        answer = client.get(f"/{address}")
        assert answer.status_code == 200, address
        form = form_in(answer)
        assert [i for i in form.asked if i not in form.labelled] == [], address
        assert len(form.ids) == len(set(form.ids)), address
        assert form.described <= set(form.ids), address
        page = answer.content.decode()
        assert page.count("<h1") == 1 and "<style" not in page and "<script" not in page.replace("<script src", ""), (
            address
        )


def test_enter_in_a_field_keeps_the_form_and_never_asks_for_a_row(client, bench):
    """A browser presses the first submit button of a form."""
    for address in addresses(bench):
        for form in client.get(f"/{address}").content.decode().split("<form")[1:]:
            assert "name=" not in form.split("<button")[1].split(">")[0], address


def test_looking_writes_nothing(client, bench):
    before = Action.objects.count()
    for address in addresses(bench):
        client.get(f"/{address}")
    assert Action.objects.count() == before


def test_the_sample_wears_its_ribbon_on_every_page_and_the_own_bench_never(client, bench):
    for address in PLAIN:
        assert (
            "Invented sample workshop: nothing here is real" in client.get(f"{SAMPLE_PREFIX}{address}").content.decode()
        )
        assert "Invented sample workshop" not in client.get(f"/{address}").content.decode()
    with using(SAMPLE):
        assert not Action.objects.exists()


@pytest.mark.parametrize("address", ["start/", "machine/", "brief/", "room/", "people/", "people/pick/"])
def test_nothing_is_taken_without_a_token(databases, address: str):
    assert Client(enforce_csrf_checks=True).post(f"/{address}", {"name": "x"}).status_code == 403
    assert not Action.objects.exists()


def test_other_ways_of_asking_are_refused(client, bench):
    for address in addresses(bench):
        assert client.delete(f"/{address}").status_code == 405, address
        assert client.head(f"/{address}").status_code == 200, address
