"""Entries of the bench session as an outbox sends them: once each, in order, refused in one sentence."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from slake.actions.entry import Entry
from slake.actions.instruments import describe_instrument
from slake.pages.bench import doing, views
from slake.pages.bench.wire import MOST_BYTES, MOST_ENTRIES, Pace
from slake.records.models import (
    Batch,
    InstrumentCheck,
    Outcome,
    Reading,
    Room,
    StepDone,
    Strike,
    Taken,
    Weighing,
)
from tests.pages.begun import begin

NOW_MS = 1_790_000_000_000


@pytest.fixture(autouse=True)
def fresh_pace(monkeypatch):
    monkeypatch.setattr(views, "pace", Pace())


@pytest.fixture
def batch(databases) -> Batch:
    return begin()


@pytest.fixture
def send(client: Client, batch: Batch):
    def post(*entries: dict, sent: float = NOW_MS, status: int = 200):
        full = [{"at": NOW_MS, "typed": {}, "rows": [], **entry} for entry in entries]
        answer = client.post(
            f"/batches/{batch.number}/entries/",
            json.dumps({"sent": sent, "entries": full}),
            content_type="application/json",
        )
        assert answer.status_code == status, answer.content[:300]
        return answer.json()

    return post


def entry(name: str) -> Entry:
    return Entry(id=name, at=timezone.now())


def weighing(order: int, grams: str, name: str = "t1.weigh.aaaa") -> dict:
    return {"id": name, "kind": "weigh", "typed": {"order": str(order), "grams": grams}}


def cone(depth: str, name: str = "t1.cone.aaaa", **more: str) -> dict:
    return {"id": name, "kind": "reading", "typed": {"test": "fall_cone", "in_cone_depth_mm": depth, **more}}


def test_five_things_at_once_are_five_rows(send, batch: Batch):
    answer = send(
        {"id": "t1.clock.aaaa", "kind": "clock"},
        weighing(1, "114,4"),
        {"id": "t1.room.aaaa", "kind": "room", "typed": {"temperature_c": "21,5", "humidity_percent": ""}},
        cone("19"),
        {"id": "t1.ended.aaaa", "kind": "outcome", "typed": {"ended": "good, cracked", "words": ""}},
    )
    assert [one["ok"] for one in answer["entries"]] == [True] * 5
    assert Weighing.objects.get().grams == 114.4
    assert Room.objects.get().temperature_c == 21.5
    assert Batch.objects.get().temperature_c == 21.5
    assert Reading.objects.get().headline_value == 19
    assert Outcome.objects.get().words == "good, cracked"


def test_the_same_entries_again_change_nothing_and_are_answered_alike(send):
    entries = [{"id": "t1.clock.aaaa", "kind": "clock"}, weighing(1, "114"), cone("19")]
    first, second = send(*entries), send(*entries)
    assert first["entries"] == second["entries"]
    assert (Weighing.objects.count(), Reading.objects.count()) == (1, 1)


def test_every_kind_sent_twice_happens_once(send, batch: Batch):
    """A lost answer makes the tablet send everything again, whatever it was."""
    send({"id": "t1.clock.aaaa", "kind": "clock"}, weighing(2, "9"), cone("19"))
    pour = str(Weighing.objects.get().pk)
    more = [
        {"id": "t1.rescale.aaaa", "kind": "rescale"},
        {"id": "t1.room.aaaa", "kind": "room", "typed": {"temperature_c": "20"}},
        {"id": "t1.strike.aaaa", "kind": "strike", "typed": {"what": "weighing", "row": pour, "reason": "wrong pan"}},
        {"id": "t1.outcome.aaaa", "kind": "outcome", "typed": {"words": "stalled"}},
    ]
    for _ in range(2):
        assert [one["ok"] for one in send(*more)["entries"]] == [True] * 4
    assert (Strike.objects.count(), Outcome.objects.count(), Room.objects.count()) == (1, 1, 1)
    once = {"clock", "weigh", "reading", "outcome", "room", "strike", "rescale", "accept"}
    assert set(doing.KINDS) == once | {"undo", "take", "knead", "bowl", "step", "check", "note"}


def test_every_further_kind_sent_twice_happens_once(send, batch: Batch):
    bowl = describe_instrument(entry("bowl"), {"name": "blue bowl", "kind": "bowl", "tare_g": "412,5"})
    scale = describe_instrument(entry("scale"), {"name": "scale", "kind": "scale"})
    send({"id": "t1.clock.aaaa", "kind": "clock"}, weighing(1, "114,4"))
    row = str(Weighing.objects.get().pk)
    check = {"instrument": str(scale.pk), "known": "7,5", "shown": "7,5"}
    more = [
        {"id": "t1.bowl.aaaa", "kind": "bowl", "typed": {"bowl": str(bowl.pk)}},
        {"id": "t1.take.aaaa", "kind": "take", "typed": {"grams": "20", "why": "test", "note": "Fall cone"}},
        {"id": "t1.left.aaaa", "kind": "take", "typed": {"shown": "700"}},
        {"id": "t1.step.aaaa", "kind": "step", "typed": {"step": "knead", "late": "0"}},
        {"id": "t1.check.aaaa", "kind": "check", "typed": check},
        {"id": "t1.undo.aaaa", "kind": "undo", "typed": {"row": row}},
        {"id": "t1.knead.aaaa", "kind": "knead", "typed": {"grams": "7", "lot": ""}},
    ]
    for _ in range(2):
        assert [one["sentence"] for one in send(*more)["entries"]] == [""] * 7
    assert Weighing.objects.count() == 2
    assert (Taken.objects.count(), StepDone.objects.count(), InstrumentCheck.objects.count()) == (2, 1, 1)
    assert Strike.objects.get().reason == "undone at the bench"
    batch.refresh_from_db()
    assert batch.bowl == bowl and batch.bowl_tare_g == 412.5


def test_steps_said_late_carry_their_own_time(send):
    send({"id": "t1.clock.aaaa", "kind": "clock", "typed": {"late": "40"}})
    send({"id": "t1.step.aaaa", "kind": "step", "typed": {"step": "knead", "late": "12,5"}})
    ago = timezone.now() - StepDone.objects.get().at
    assert timedelta(minutes=12.5) <= ago < timedelta(minutes=13)


def test_two_totals_with_bowl_sent_at_once_count_one_after_the_other(send, batch: Batch):
    bowl = describe_instrument(entry("bowl"), {"name": "blue bowl", "kind": "bowl", "tare_g": "412,5"})
    pours = [weighing(n, shown, f"t1.weigh.{n}aaa") for n, shown in ((1, "526,9"), (2, "533,7"))]
    for pour in pours:
        pour["typed"]["shows"] = "total"
    picked = {"id": "t1.bowl.aaaa", "kind": "bowl", "typed": {"bowl": str(bowl.pk)}}
    assert all(one["ok"] for one in send(picked, *pours)["entries"])
    assert list(Weighing.objects.values_list("grams", flat=True)) == pytest.approx([114.4, 6.8])


@pytest.mark.parametrize(
    ("kind", "typed", "says"),
    [
        ("undo", {"row": ""}, "does not say what it is about"),
        ("undo", {"row": "99999"}, "this weighing is not of batch"),
        ("bowl", {"bowl": "99999"}, "is not on this bench"),
        ("take", {"grams": "5000", "why": "spilled"}, "only 435.0 g are left"),
        ("take", {"shown": "700"}, "pick its bowl first"),
        ("step", {"step": "dance"}, "has no step called"),
        ("step", {"step": "knead"}, "does not run yet"),
        ("check", {"instrument": "99999", "known": "1", "shown": "1"}, "is not on this bench"),
    ],
)
def test_what_a_further_kind_cannot_be_is_one_sentence(send, kind: str, typed: dict, says: str):
    (answer,) = send({"id": "t1.entry.aaaa", "kind": kind, "typed": typed})["entries"]
    assert not answer["ok"] and says in answer["sentence"]
    assert not Taken.objects.exists() and not StepDone.objects.exists() and not InstrumentCheck.objects.exists()


def test_an_overshoot_accepted_twice_is_asked_no_more(send):
    send(weighing(2, "9"))
    accept = {"id": "t1.accept.aaaa", "kind": "accept"}
    for _ in range(2):
        assert send(accept)["entries"] == [{"id": "t1.accept.aaaa", "ok": True, "sentence": ""}]
    assert "Rescale" not in send(accept)["parts"]["over"]
    assert "Rescale" in send(weighing(2, "1", "t1.weigh.more"))["parts"]["over"]


def test_a_refused_entry_does_not_stop_the_others_and_may_come_again_mended(send):
    answer = send(weighing(1, "-5"), cone("19"))
    assert [one["ok"] for one in answer["entries"]] == [False, True]
    assert "must be from 0 to 100000" in answer["entries"][0]["sentence"]
    assert send(weighing(1, "114,4"))["entries"][0]["ok"]
    assert Weighing.objects.get().grams == 114.4


@pytest.mark.parametrize(
    "grams", ["-1", "nan", "inf", "1e9", "", "12 13", "1_0", "thirty", "1,5,5", "5 mm", "x" * 1500]
)
def test_no_bad_number_is_weighed(send, grams: str):
    (answer,) = send(weighing(1, grams))["entries"]
    assert not answer["ok"] and 0 < len(answer["sentence"]) < 250
    assert not Weighing.objects.exists()


@pytest.mark.parametrize("depth", ["-3", "nan", "400", "0", ""])
def test_no_reading_its_test_cannot_make_is_kept(send, depth: str):
    (answer,) = send(cone(depth))["entries"]
    assert not answer["ok"] and answer["sentence"]
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    "entry",
    [
        {"id": "t1.aaaaaa", "kind": "explode"},
        {"id": "t1.aaaaaa", "kind": "weigh", "typed": {"order": "99", "grams": "1"}},
        {"id": "t1.aaaaaa", "kind": "weigh", "typed": {"order": "²", "grams": "1"}},
        {"id": "t1.aaaaaa", "kind": "reading", "typed": {"test": "no such", "in_x": "1"}},
        {"id": "t1.aaaaaa", "kind": "reading", "typed": {"test": "oven_moisture"}},
        {"id": "t1.aaaaaa", "kind": "strike", "typed": {"what": "weighing", "row": "77", "reason": "x"}},
        {"id": "t1.aaaaaa", "kind": "strike", "typed": {"what": "lot", "row": "1", "reason": "x"}},
        {"id": "t1.aaaaaa", "kind": "rescale"},
        {"id": "t1.aaaaaa", "kind": "accept"},
        {"id": "t1.aaaaaa", "kind": "room"},
        {"id": "t1.aaaaaa", "kind": "outcome", "typed": {"words": "it was wonderful"}},
        {"id": "t1.aaaaaa", "kind": "clock", "typed": {"late": "-4"}},
        {"id": "t1.aaaaaa", "kind": "clock", "typed": {"late": "soon"}},
    ],
)
def test_an_entry_about_nothing_is_refused_in_a_sentence(send, entry: dict):
    (answer,) = send(entry)["entries"]
    assert not answer["ok"] and ": " in answer["sentence"]


@pytest.mark.parametrize(
    "body",
    [
        "",
        "[]",
        "{",
        "null",
        '{"sent": NaN, "entries": [{}]}',
        '{"sent": 1, "entries": []}',
        '{"sent": 1, "entries": [7]}',
        '{"sent": 1, "entries": [{"id": "short", "kind": "clock", "at": 1}]}',
        '{"sent": 1, "entries": [{"id": "t1.aaaaaaaa", "kind": "clock", "at": "now"}]}',
        '{"sent": 1, "entries": [{"id": "t1.aaaaaaaa", "kind": "clock", "at": true}]}',
        '{"sent": 1, "entries": [{"id": "t1.aaaaaaaa", "kind": "clock", "at": 1e400}]}',
        '{"sent": 1, "entries": [{"id": "t1.aaaaaaaa", "kind": "clock", "at": 1' + "0" * 400 + "}]}",
        '{"sent": 1, "entries": [{"id": "t1.aaaaaaaa", "kind": "clock", "at": 1, "typed": {"late": 5}}]}',
        '{"sent": 1, "entries": [{"id": "t1.aaaaaaaa", "kind": "clock", "at": 1, "rows": [[]]}]}',
        "[" * 100_000,
    ],
)
def test_what_no_outbox_sends_is_refused_whole(client: Client, batch: Batch, body: str):
    answer = client.post(f"/batches/{batch.number}/entries/", body, content_type="application/json")
    assert answer.status_code == 422 and answer.json()["sentence"]
    assert Batch.objects.get().first_water_at is None


def test_too_many_and_too_long_are_refused(client: Client, send, batch: Batch):
    many = [{"id": f"t1.clock.{n:04d}", "kind": "clock"} for n in range(MOST_ENTRIES + 1)]
    send(*many, status=422)
    long = client.post(f"/batches/{batch.number}/entries/", "x" * (MOST_BYTES + 1), content_type="application/json")
    assert long.status_code == 422
    assert Batch.objects.get().first_water_at is None


def test_too_fast_is_told_to_wait(send, monkeypatch):
    monkeypatch.setattr(views, "pace", Pace(most=2))
    send(weighing(1, "1")), send(weighing(1, "1"))
    assert "waits" in send(weighing(1, "1"), status=429)["sentence"]


def test_the_pace_forgets_after_its_minute_and_counts_each_device_alone():
    pace = Pace(most=1, within_s=60)
    assert pace.take("a", 0.0) and not pace.take("a", 59.0)
    assert pace.take("b", 59.0)
    assert pace.take("a", 61.0)


def test_the_time_is_the_laptops_less_what_the_tablet_waited(send):
    """A tablet three years behind kept the water for 40 min and the reading for 10: it was read at 30 min."""
    past = NOW_MS - 3 * 365 * 24 * 3600 * 1000
    minute = 60 * 1000
    send(
        {"id": "t1.clock.aaaa", "kind": "clock", "at": past - 40 * minute},
        {**cone("19"), "at": past - 10 * minute},
        sent=past,
    )
    assert abs(Reading.objects.get().age_s - 30 * 60) < 0.01
    waited = timezone.now() - Batch.objects.get().first_water_at
    assert timedelta(minutes=40) <= waited < timedelta(minutes=41)


def test_late_minutes_come_off_with_a_decimal_comma(send):
    send({"id": "t1.clock.aaaa", "kind": "clock", "typed": {"late": "12,5"}})
    waited = timezone.now() - Batch.objects.get().first_water_at
    assert timedelta(minutes=12.5) <= waited < timedelta(minutes=13)


def test_a_tablet_clock_put_back_counts_as_no_wait(send):
    send({"id": "t1.clock.aaaa", "kind": "clock", "at": NOW_MS + 5_000_000})
    assert timezone.now() - Batch.objects.get().first_water_at < timedelta(minutes=1)


def test_what_a_tablet_kept_for_months_is_not_believed(send):
    (answer,) = send({"id": "t1.clock.aaaa", "kind": "clock", "at": NOW_MS - 90 * 24 * 3600 * 1000})["entries"]
    assert "90 days" in answer["sentence"]


def test_a_strike_of_another_batch_is_refused(send, client: Client, batch: Batch):
    other = begin("other")
    row = client.post(
        f"/batches/{other.number}/bench/", {"kind": "weigh", "entry": "form1", "order": "1", "grams": "3"}
    )
    assert row.status_code == 302
    pour = str(Weighing.objects.get(batch=other).pk)
    typed = {"what": "weighing", "row": pour, "reason": "x"}
    (answer,) = send({"id": "t1.strike.aaaa", "kind": "strike", "typed": typed})["entries"]
    assert answer["sentence"].startswith("this weighing is not of batch")


def test_two_tabs_rescale_once(send, batch: Batch):
    """The second tab still shows the overshoot the first has already rescaled away."""
    over = send(weighing(4, "16,3"))["parts"]["over"]
    factor = over.split('name="factor" value="')[1].split('"')[0]
    tabs = [{"id": f"t{n}.rescale.aaaa", "kind": "rescale", "typed": {"factor": factor}} for n in (1, 2)]
    first, second = send(*tabs)["entries"]
    assert first["ok"] and not second["ok"]
    assert "nothing on the pan is over" in second["sentence"]


def test_a_choice_made_on_an_older_bowl_is_asked_again(send):
    send(weighing(4, "16,3"))
    (answer,) = send({"id": "t1.accept.aaaa", "kind": "accept", "typed": {"factor": "1.500"}})["entries"]
    assert answer["sentence"].startswith("the bowl moved on")


def test_a_get_changes_nothing_and_a_post_needs_its_token(batch: Batch):
    strict = Client(enforce_csrf_checks=True)
    assert strict.get(f"/batches/{batch.number}/entries/").status_code == 405
    body = json.dumps({"sent": 1, "entries": [{"id": "t1.clock.aaaa", "kind": "clock", "at": 1}]})
    sent = strict.post(f"/batches/{batch.number}/entries/", body, content_type="application/json")
    assert sent.status_code == 403
    assert Batch.objects.get().first_water_at is None
