"""A new lot of a known recipe on the sample: reached, said in grams, begun from the dry side; bad input refused."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.test import Client

from slake.actions.campaign import tell
from slake.actions.entry import Entry
from slake.actions.known_recipes import known_batch, known_batches
from slake.actions.lots import take_lots
from slake.actions.reading import log_reading
from slake.demo import telling
from slake.records.models import Batch, Lot
from slake.records.which import SAMPLE, using

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)


@pytest.fixture
def told(databases):
    with using(SAMPLE):
        telling.load(NOW)
        take_lots(
            Entry(id="shellnew", at=NOW),
            [{"ingredient": "mussel shell", "name": "shell N", "moisture_percent": "1,5", "water_demand": "0,36"}],
        )
        lot = Lot.objects.get(name="shell N")
    yield Client(), lot


def words(page: bytes) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page.decode()).split())


def worked_out(client: Client, lot: Lot, **asked: str):
    address = f"/sample/lots/{lot.pk}/new/"
    waiting = client.get(address, asked)
    assert waiting.status_code == 200 and "Work it out" in waiting.content.decode()
    sent = client.post(f"{address}work/", {"entry": "e1", **asked})
    assert sent.status_code == 302, words(sent.content)
    return client.get(sent["Location"])


def test_the_lot_and_the_next_batch_lead_to_it(told):
    client, lot = told
    assert f"/sample/lots/{lot.pk}/new/" in client.get(f"/sample/lots/{lot.pk}/").content.decode()
    assert f"/sample/lots/{lot.pk}/new/" in client.get("/sample/new-lot/").content.decode()


def test_it_says_the_water_to_change_with_its_range_from_the_dry_side(told):
    client, lot = told
    page = worked_out(client, lot)
    text = words(page.content)
    assert page.status_code == 200, text
    found = re.search(r"Water: ([+−][\d.]+) g \(8 times in 10: ([+−][\d.]+) to ([+−][\d.]+) g\)", text)
    assert found, text
    likely, low, high = (float(x.replace("−", "-")) for x in found.groups())
    assert low < likely < high
    first, held = map(float, re.search(r"Weigh in ([\d.]+) g of water first and hold ([\d.]+) g back", text).groups())
    now = float(re.search(r" water [\d.]+ g ([\d.]+) g", text).group(1))
    assert held > 0 and first + held == pytest.approx(now, abs=0.15)
    assert "Then add water by what it shows" in text and "In the end, at 60 min" in text


def test_a_batch_of_it_holds_the_water_back_and_knows_what_the_cone_should_read(told):
    client, lot = told
    page = worked_out(client, lot).content.decode()
    form = next(t for t in re.findall(r"<form.*?</form>", page, re.S) if "/begin/" in t)
    typed = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    held = float(re.search(r"hold ([\d.]+) g back", words(page.encode())).group(1))
    first, again = (client.post(f"/sample/lots/{lot.pk}/new/begin/", typed) for _ in range(2))
    assert first.status_code == again.status_code == 302 and first["Location"] == again["Location"]
    with using(SAMPLE):
        batch = Batch.objects.last()
        assert batch.amounts.filter(lot=lot).exists() and batch.recipe.parent_id
        assert batch.held_back_g == pytest.approx(held, abs=0.3)
        assert batch.amounts.get(held_back=True).target_g == pytest.approx(batch.held_back_g, abs=0.01)
    assert "shell N" in batch.note
    assert "cone" in words(client.get(first["Location"]).content)


ROW = re.compile(r" ([\d.]+) mm ([\d.]+) g ([\d.]+) g ([\d.]+) g")


def begun(client: Client, lot: Lot, **asked: str) -> tuple[str, Batch]:
    """The batch begun from the page of the lot, and what that page said."""
    page = worked_out(client, lot, **asked).content.decode()
    form = next(t for t in re.findall(r"<form.*?</form>", page, re.S) if "/begin/" in t)
    client.post(f"/sample/lots/{lot.pk}/new/begin/", dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)))
    with using(SAMPLE):
        return words(page.encode()), Batch.objects.last()


def test_the_bench_page_of_the_batch_says_what_to_add_by_what_its_first_reading_shows(told):
    client, lot = told
    said, batch = begun(client, lot)
    bench = f"/sample/batches/{batch.number}/bench/"
    at_the_bowl = words(client.get(bench).content)
    there, here = (ROW.findall(text[text.index("by what it shows") :]) for text in (said, at_the_bowl))
    assert len(there) >= 3 and [row[0] for row in here] == [row[0] for row in there]
    for ours, theirs in zip(here, there, strict=True):
        assert [float(x) for x in ours] == pytest.approx([float(x) for x in theirs], abs=0.15, rel=0.02)
    assert "the stiffness test should show" in at_the_bowl
    plain = words(client.get(f"/sample/batches/{batch.number - 1}/bench/").content)
    assert "start dry" not in plain


def test_once_read_the_table_folds_and_once_water_went_in_the_bowl_speaks_for_itself(told):
    client, lot = told
    _, batch = begun(client, lot)
    bench = f"/sample/batches/{batch.number}/bench/"

    def dry() -> bytes:
        parts = client.get(f"{bench}now/").json()["parts"]
        return parts["dry"].encode()

    assert b'class="dry" open' in dry()
    client.post(bench, {"entry": "r1", "kind": "reading", "test": "fall_cone", "in_cone_depth_mm": "9"})
    assert b'class="dry"' in dry() and b"open" not in dry()
    client.post(bench, {"entry": "k1", "kind": "knead", "grams": "5", "of": "held back"})
    assert b"dry" not in dry()


def test_the_size_is_the_persons_own(told):
    client, lot = told
    small, large = (words(worked_out_or_shown(client, lot, paste_g=size)) for size in ("100", "1000"))
    water = [float(re.search(r"Weigh in ([\d.]+) g", text).group(1)) for text in (small, large)]
    assert water[1] == pytest.approx(10 * water[0], rel=0.01)


def worked_out_or_shown(client: Client, lot: Lot, **asked: str) -> bytes:
    page = client.get(f"/sample/lots/{lot.pk}/new/", asked)
    return (worked_out(client, lot, **asked) if b"data-go-at-once" in page.content else page).content


def test_what_was_done_to_the_lot_is_ticked_and_the_rest_may_stay_open(told):
    client, lot = told
    text = words(worked_out(client, lot).content)
    assert "done water it drinks" in text and "not yet sieve" in text and "done moisture" in text
    assert "may follow tomorrow" in text


def test_sieves_of_both_lots_move_what_it_drinks_and_till_then_the_page_says_they_do_not(told):
    client, lot = told
    assert "The sieve changes no number yet" in words(worked_out(client, lot).content)
    openings, fine, coarse = ("250", "125", "63"), ("1", "3", "8"), ("4", "6", "6")
    with using(SAMPLE):
        old = known_batch(tell(), lot, None).old
        for one, kept, pan in ((lot, fine, "8"), (Lot.objects.get(name=old), coarse, "4")):
            split = {"put_in_g": "20", "pan_g": pan, "longest_fibre_mm": "0"}
            rows = [{"opening_um": opening, "kept_g": on} for opening, on in zip(openings, kept, strict=True)]
            log_reading(Entry(id=f"split {one.pk}", at=NOW), "sieve_split", ("lot", one.pk), split, rows)
    page = client.get(f"/sample/lots/{lot.pk}/new/")
    assert b"data-go-at-once" in page.content, "what the sieve said is worked out anew"
    text = words(worked_out(client, lot).content)
    found = re.search(r"Grains of shell N are ([\d.]+) times as large as those of .*? to drink ([\d.]+) times", text)
    assert found, text
    assert float(found.group(1)) < 1 < float(found.group(2)) < 1.1
    assert "its drip test holds most of that already" in text and "want a nozzle of" in text
    assert "changes no number" not in text


def test_another_batch_may_be_the_known_one_and_a_wrong_one_is_refused(told):
    client, lot = told
    with using(SAMPLE):
        other = known_batches(tell(), lot)[1].batch.number
    assert f"recipe of batch {other}" in words(worked_out(client, lot, known=str(other)).content)
    assert client.get(f"/sample/lots/{lot.pk}/new/", {"known": "9999"}).status_code == 422
    assert client.get(f"/sample/lots/{lot.pk}/new/", {"known": "soup"}).status_code == 422


def test_a_lot_of_nothing_mixed_before_says_so(told):
    client, _ = told
    with using(SAMPLE):
        (lot,) = take_lots(Entry(id="seaweed", at=NOW), [{"ingredient": "kelp from the quay", "role": "filler"}])
    page = client.get(f"/sample/lots/{lot.pk}/new/")
    assert page.status_code == 422 and "no batch of another lot" in words(page.content)


def test_a_size_that_cannot_be_is_refused_in_a_sentence(told):
    client, lot = told
    worked_out(client, lot)
    page = client.get(f"/sample/lots/{lot.pk}/new/", {"paste_g": "-3"})
    assert page.status_code == 422 and "paste of one batch" in words(page.content).casefold()


def test_what_was_given_stays_until_something_new_is_read(told):
    client, lot = told
    page = worked_out(client, lot).content.decode()
    form = next(t for t in re.findall(r"<form.*?</form>", page, re.S) if "/begin/" in t)
    typed = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    refused = client.post(f"/sample/lots/{lot.pk}/new/begin/", {**typed, "given": "999"})
    assert refused.status_code == 422 and "look at the change as it is now" in words(refused.content)
