"""Buckets: the answer before the decision, weighings with their end, and the lot with its sample."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from slake.actions.buckets import look_at_bucket, take_bucket, weigh_bucket
from slake.actions.entry import Entry
from slake.demo import telling
from slake.records.models import Action, Bucket, BucketWeighing, Lot, StockMove

GRAIN = {
    "ingredient": "spent grain",
    "source": "the brewery",
    "wet_g": "5000",
    "hours_old": "10",
    "temperature_c": "20",
}


def text(response) -> str:
    return " ".join(response.content.decode().split())


@pytest.fixture
def shell(databases, entry) -> Bucket:
    row = {"ingredient": "mussel shell", "source": "the quay", "wet_g": "6200", "hours_old": "2", "temperature_c": "5"}
    return look_at_bucket(entry(), row)


@pytest.fixture
def taken(shell, entry) -> Bucket:
    return take_bucket(entry(), shell.pk, "accepted")


def test_the_answer_is_seen_before_anybody_decides(client, fill):
    answer = fill("/buckets/new/", **GRAIN)
    assert answer.status_code == 302
    page = text(client.get(answer.url))
    for part in ("Take it</p>", "keeps", "Dry powder", "Prints", "at 150.0 g dry each", "Spoils by", "Work of your"):
        assert part in page, part
    for part in ("Allergen: gluten", "Smell, fuzz, slime", "treat as raw", ">Take it</button>", ">Refuse it</button>"):
        assert part in page, part
    assert Bucket.objects.get().decision == "waiting"


def test_a_grain_bucket_of_5_kg_gives_the_hand_computed_prints(client, entry):
    """5000 g less the 77 % usual of the fresh waste is 1150 g dry; at 115 g a print these are 10 (by hand)."""
    bucket = look_at_bucket(entry(), GRAIN | {"moisture_percent": "77"})
    page = text(client.get(f"/buckets/{bucket.pk}/?dry_g=115"))
    dry = page[page.index("Dry powder") : page.index("Spoils by")]
    assert "<dd>1150 g" in dry and "<dd>10.00 (" in dry and "at 115.0 g dry each" in dry, dry


def test_a_bucket_too_old_is_answered_refuse_and_why(client, entry):
    bucket = look_at_bucket(entry(), GRAIN | {"hours_old": "300"})
    page = text(client.get(f"/buckets/{bucket.pk}/"))
    assert "Refuse it</p>" in page and "has usually spoiled" in page
    soon = look_at_bucket(entry(), GRAIN | {"hours_old": "60"})
    assert "Take it today</p>" in text(client.get(f"/buckets/{soon.pk}/"))


def test_nothing_said_of_age_and_temperature_widens_and_is_said(client, entry):
    bucket = look_at_bucket(entry(), {"ingredient": "spent grain", "source": "somebody", "wet_g": "5000"})
    page = text(client.get(f"/buckets/{bucket.pk}/"))
    assert "age not known" in page and "temperature not known" in page


def test_taken_or_refused_once_and_a_refusal_says_why(client, shell, fill):
    where = f"/buckets/{shell.pk}/"
    empty = fill(where, decision="refused")
    assert empty.status_code == 422 and "the reason is empty" in text(empty).lower()
    assert fill(where).status_code == 422 and fill(where, decision="eaten").status_code == 422
    assert Bucket.objects.get().decision == "waiting"
    assert fill(where, decision="refused", reason="it smells").status_code == 302
    page = text(client.get(where))
    assert "Refused" in page and "it smells" in page and ">Take it</button>" not in page
    assert "refused: it smells" in text(client.get("/buckets/"))


def test_two_at_the_same_bucket_the_second_is_told(client, shell, form_in):
    where = f"/buckets/{shell.pk}/"
    first, second = form_in(client.get(where)).values, form_in(client.get(where)).values
    assert client.post(where, first | {"decision": "accepted"}).status_code == 302
    answer = client.post(where, second | {"decision": "refused", "reason": "no room"})
    assert answer.status_code == 422 and "in the meantime" in text(answer)
    assert Bucket.objects.get().decision == "accepted"


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"wet_g": "0"}, "Wet mass (g) is 0, but must be from 1"),
        ({"wet_g": "-5"}, "Wet mass (g) is -5"),
        ({"wet_g": ""}, "Wet mass"),
        ({"wet_g": "1.000.0,5"}, "type one plain number"),
        ({"ingredient": ""}, "“what is it” is empty"),
        ({"source": " "}, "“where from” is empty"),
        ({"hours_old": "-1"}, "Hours old"),
        ({"ingredient": "moon dust"}, "is not in slake&#x27;s list"),
    ],
)
def test_a_bad_bucket_is_one_sentence_and_nothing_is_kept(fill, wrong, words):
    answer = fill("/buckets/new/", **(GRAIN | wrong))
    assert answer.status_code == 422 and words.lower() in text(answer).lower()
    assert text(answer).count('role="alert"') == 1
    assert not Bucket.objects.exists() and not Action.objects.exists()


def test_a_decimal_comma_is_read_and_a_bucket_sent_twice_is_one(client, form_in):
    held = form_in(client.get("/buckets/new/")).values | GRAIN | {"wet_g": "1500,5"}
    assert client.post("/buckets/new/", held).url == client.post("/buckets/new/", held).url
    assert Bucket.objects.get().wet_g == 1500.5


@pytest.mark.parametrize("bad", ["0", "-3", "soup", "nan", "1e9"])
def test_a_bad_dry_mass_per_print_is_said_and_the_usual_one_shown(client, shell, bad):
    answer = client.get(f"/buckets/{shell.pk}/", {"dry_g": bad})
    assert answer.status_code == 422 and "at 150.0 g dry each" in text(answer)
    assert "Dry mass of one print" in text(answer)


def test_half_an_hour_apart_and_alike_is_done(client, taken, fill):
    where = f"/buckets/{taken.pk}/weigh/"
    assert fill(where, step="cleaning", grams="5610,5", minutes_ago="60").status_code == 302
    assert "One weighing tells nothing yet" in text(client.get(f"/buckets/{taken.pk}/"))
    assert fill(where, step="cleaning", grams="5500", minutes_ago="30").status_code == 302
    page = text(client.get(f"/buckets/{taken.pk}/"))
    assert "Not done yet:" in page and "2.0 %" in page and "Weigh it next at" in page
    assert fill(where, step="cleaning", grams="5490").status_code == 302
    assert "Done:</strong> the last two weighings differ by 0.2 %" in text(client.get(f"/buckets/{taken.pk}/"))
    assert BucketWeighing.objects.count() == 3 and BucketWeighing.objects.first().typed == "5610,5"


def test_drying_says_how_dry_and_when(client, taken):
    start = timezone.now() - timedelta(hours=3)
    for number, grams in enumerate(("6100", "5700", "5500")):
        at = start + timedelta(hours=number)
        weigh_bucket(Entry(id=f"dry{number}", at=at), taken.pk, {"step": "drying", "grams": grams})
    page = text(client.get(f"/buckets/{taken.pk}/"))
    assert "Moisture now about" in page and "the scale should show about" in page and "Ready about" in page


def test_bad_weighings_are_refused_in_a_sentence(taken, shell, fill):
    where = f"/buckets/{taken.pk}/weigh/"
    for wrong in ({"grams": "0"}, {"grams": ""}, {"grams": "-4"}, {"grams": "50", "step": "frying"}):
        answer = fill(where, **({"step": "cleaning"} | wrong))
        assert answer.status_code == 422 and 'role="alert"' in text(answer), wrong
    assert not BucketWeighing.objects.exists()


def test_a_bucket_not_taken_is_not_weighed(shell, fill):
    answer = fill(f"/buckets/{shell.pk}/weigh/", step="cleaning", grams="50")
    assert answer.status_code == 422 and "take it first" in text(answer)


def test_powder_becomes_a_lot_with_its_sample(client, taken, fill):
    where = f"/buckets/{taken.pk}/lot/"
    assert "30 to 50 g" in text(client.get(where)) and "cannot say whether it is dry enough" in text(client.get(where))
    sample = {"sample_g": "40", "sample_where": "shelf 2, jar 7"}
    answer = fill(where, grams="5000", sieve_um="0,125 mm", milled="burr mill", name="quay shell", **sample)
    lot = Lot.objects.get()
    assert answer.url == f"/lots/{lot.pk}/" and (lot.name, lot.sieve_um) == ("quay shell", 125)
    page = text(client.get(answer.url))
    assert "4960.0 g" in page and f"/buckets/{taken.pk}/" in page and "of the quay" in page
    ledger = text(client.get(f"/lots/{lot.pk}/ledger/"))
    assert "kept as sample: shelf 2, jar 7" in ledger
    assert "quay shell" in text(client.get("/buckets/"))
    assert fill(where, grams="5000").status_code == 422 and Lot.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"grams": "6201"}, "waste only loses on the way"),
        ({"grams": "0"}, "Powder, as it is now"),
        ({"grams": "100", "sample_g": "40"}, "where the sample is"),
        ({"grams": "100", "sample_g": "200", "sample_where": "shelf"}, "has 100 g left"),
        ({"grams": "100", "sample_g": "-1", "sample_where": "shelf"}, "Sample kept aside"),
    ],
)
def test_a_bad_lot_is_refused_whole(taken, fill, typed, words):
    answer = fill(f"/buckets/{taken.pk}/lot/", **typed)
    assert answer.status_code == 422 and words in text(answer)
    assert not Lot.objects.exists() and not StockMove.objects.exists()


def test_buckets_are_found_from_home_and_lots(client, bench, taken):
    assert f"buckets/{taken.pk}/" in text(client.get("/")) and "/buckets/" in text(client.get("/"))
    lots = text(client.get("/lots/"))
    assert "/buckets/new/" in lots and "/blend/" in lots


def test_a_bench_with_a_bucket_and_no_lot_leads_to_the_bucket(client, shell):
    page = text(client.get("/"))
    assert f"Decide on bucket {shell.pk}: mussel shell" in page and "/start/" in page


def test_the_sample_workshop_took_one_and_refused_one(databases):
    telling.load(timezone.now())
    refused, taken = Bucket.objects.order_by("id")
    assert (refused.decision, taken.decision, taken.lot) == ("refused", "accepted", None)
    assert refused.reason and taken.weighings.count() == 6
    assert Lot.objects.count() == 10


def test_a_weighing_is_struck_from_its_page_and_stays_readable(client, taken, fill):
    fill(f"/buckets/{taken.pk}/weigh/", step="drying", grams="1500")
    row = BucketWeighing.objects.last()
    page = client.get(f"/buckets/{taken.pk}/").content.decode()
    assert f"/weighings/{row.pk}/strike/" in page
    assert fill(f"/weighings/{row.pk}/strike/", reason="").status_code == 422
    assert fill(f"/weighings/{row.pk}/strike/", reason="tray left on")["Location"] == f"/buckets/{taken.pk}/"
    page = client.get(f"/buckets/{taken.pk}/").content.decode()
    assert "tray left on" in page and f"/weighings/{row.pk}/strike/" not in page
    assert client.get("/weighings/999/strike/").status_code == 404


def test_more_than_came_in_is_refused_on_the_page(client, taken, fill):
    answer = fill(f"/buckets/{taken.pk}/weigh/", step="drying", grams=str(2 * taken.wet_g))
    assert answer.status_code == 422 and "more than what came in" in answer.content.decode()
    assert not BucketWeighing.objects.exists()


def test_where_a_lot_came_from_is_said_once(client, taken, fill):
    fill(f"/buckets/{taken.pk}/lot/", grams="900", milled="blender")
    lot = Lot.objects.last()
    assert client.get(f"/lots/{lot.pk}/").content.decode().count(f"of {taken.source}") == 1
