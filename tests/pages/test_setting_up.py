"""Machine, brief, room and people: said once, a change is a new row, bad input is one sentence."""

import pytest

from slake.records.models import Action, Brief, Machine, Person, Room


def test_two_bores_are_a_machine(client, fill):
    answer = fill("/machine/", nozzle_mm="2", barrel_mm="60")
    assert answer.status_code == 302 and answer["Location"] == "/brief/"
    machine = Machine.objects.get()
    assert (machine.nozzle_mm, machine.force_n, machine.pushed_cone_mm) == (2, None, None)
    fill("/machine/", nozzle_mm="1,5", pushed_cone_mm="11", stalled_cone_mm="7")
    assert [m.nozzle_mm for m in Machine.objects.all()] == [2, 1.5]
    assert "As it was" in client.get("/machine/").content.decode()


@pytest.mark.parametrize(
    "typed",
    [
        {"nozzle_mm": ""},
        {"nozzle_mm": "nan"},
        {"nozzle_mm": "0"},
        {"nozzle_mm": "2000"},
        {"pushed_cone_mm": "7", "stalled_cone_mm": "11"},
        {"note": "n" * 10**6},
        {"name": "ü" * 81},
    ],
)
def test_a_machine_that_cannot_be_is_refused_with_all_that_was_typed(fill, form_in, typed):
    typed = {"nozzle_mm": "2", "barrel_mm": "60", **typed}
    answer = fill("/machine/", **typed)
    assert answer.status_code == 422 and form_in(answer).alerts == 1
    assert {name: form_in(answer).values[name] for name in typed} == typed
    assert not Machine.objects.exists()


def test_the_brief_begins_with_usual_windows_and_says_they_are_practice(client, form_in, fill):
    page = client.get("/brief/")
    held = form_in(page).values
    assert (held["low_cone_depth_mm"], held["high_cone_depth_mm"]) == ("11", "17")
    assert "common practice, no source" in page.content.decode()
    answer = fill("/brief/", low_cone_depth_mm="14,5", high_cone_depth_mm="", high_shrinkage_percent="")
    assert answer.status_code == 302 and answer["Location"] == "/notebook/"
    windows = {w.reading: (w.low, w.high) for w in Brief.objects.get().windows.all()}
    assert windows["cone_depth_mm"] == (14.5, None) and "shrinkage_percent" not in windows


def test_the_usual_brief_kept_untouched_stays_marked_as_usual(client, fill):
    fill("/brief/")
    assert Brief.objects.get().typical and "untouched" in client.get("/brief/").content.decode()
    fill("/brief/", low_cone_depth_mm="12")
    assert not Brief.objects.last().typical


def test_a_brief_upside_down_or_empty_is_refused(client, fill, form_in):
    answer = fill("/brief/", low_cone_depth_mm="20", high_cone_depth_mm="11")
    assert answer.status_code == 422 and form_in(answer).values["low_cone_depth_mm"] == "20"
    held = dict.fromkeys(form_in(client.get("/brief/")).values, "")
    assert client.post("/brief/", held).status_code == 422
    assert not Brief.objects.exists() and not Action.objects.exists()


def test_the_room_is_said_and_may_stay_open(fill):
    assert fill("/room/", temperature_c="21,5", humidity_percent="don't know").status_code == 302
    room = Room.objects.get()
    assert (room.temperature_c, room.humidity_percent) == (21.5, None)
    assert fill("/room/", humidity_percent="140").status_code == 422


def test_a_person_is_picked_once_per_device_and_goes_beside_what_is_done(client, fill, bench):
    fill("/people/", name="Ines")
    ines = Person.objects.get()
    fill(f"/lots/{bench.guar.pk}/stock/", grams="100", why="came in")
    assert Action.objects.first().person == ines
    assert "Ines is at this device" in client.get("/").content.decode()
    assert "Ines" not in client.get("/sample/").content.decode()
    client.post("/people/pick/", {"person": ""})
    assert "Who is at this device?" in client.get("/").content.decode()
    client.post("/people/pick/", {"person": "9" * 50})
    client.post("/people/pick/", {"person": str(ines.pk)})
    assert "Ines is at this device" in client.get("/").content.decode()
    assert fill("/people/", name="Ines").status_code == 302 and Person.objects.count() == 1
    assert client.get("/people/pick/").status_code == 405


def test_the_log_says_who_what_and_with_what(client, bench):
    page = client.get("/log/").content.decode()
    for part in ("take in notebook", "set brief", "mussel shell", "SHA-256", "slake 0"):
        assert part in page, part
    assert client.get("/log/?before=1").status_code == client.get("/log/?before=x").status_code == 200


def test_the_first_page_has_two_doors_then_what_is_due(client, databases, fill):
    page = client.get("/").content.decode()
    assert 'href="/start/"' in page and 'href="/sample/"' in page
    fill("/start/", row1__ingredient="mussel shell")
    page = client.get("/").content.decode()
    assert "My bench today" in page and "Say what your machine is" in page and 'href="/notebook/"' in page


def test_a_kept_machine_is_told(client, databases, fill):
    sent = fill("/machine/", name="ram two", nozzle_mm="2,5", barrel_mm="60")
    page = client.get(sent["Location"]).content.decode()
    assert "Kept: ram two, nozzle 2.5 mm, barrel 60 mm" in page and "batches before keep theirs" in page
