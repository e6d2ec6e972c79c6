"""While a batch is in the bowl and nothing of it is read yet, every page that looks at what is known still opens."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.test import Client

from slake.actions.campaign import tell
from slake.demo import telling
from slake.records.models import Batch
from slake.records.which import SAMPLE, using
from tests.pages.test_levers import CRACKED, PAGE, hidden

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)
LOOKING = ["next/", "next/today/", "map/", "curves/", "kept-word/", "new-lot/", "swap/", "verdict/"]
LOOKING += ["happened/stiffness/"]


@pytest.fixture
def mixing(databases) -> tuple[Client, int]:
    with using(SAMPLE):
        telling.load(NOW)
    client = Client()
    begun = client.post(PAGE, hidden(client.get(PAGE).content.decode(), "skeleton"))
    assert begun.status_code == 302
    with using(SAMPLE):
        batch = Batch.objects.last()
        Batch.objects.filter(pk=batch.pk).update(first_water_at=NOW)
        told = tell()
        assert [row.number for row in told.begun] == [batch.number]
        assert len(told.book.batches) == len(told.batches) + 1
    return client, batch.number


def test_every_page_that_looks_at_what_is_known_opens(mixing):
    client, number = mixing
    with using(SAMPLE):
        numbers = list(Batch.objects.values_list("number", flat=True))
    assert number in numbers
    wanted = LOOKING + [f"batches/{n}/" for n in numbers] + [f"batches/{n}/levers/" for n in numbers if n != number]
    answers = {address: client.get(f"/sample/{address}", follow=True).status_code for address in wanted}
    assert {address: code for address, code in answers.items() if code != 200} == {}


def test_the_batch_in_the_bowl_has_nothing_to_change_yet(mixing):
    client, number = mixing
    answer = client.get(f"/sample/batches/{number}/levers/")
    assert answer.status_code == 422 and f"read batch {number}" in answer.content.decode()
    assert client.get(f"/sample/batches/{CRACKED}/levers/").status_code == 200
