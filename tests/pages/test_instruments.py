"""The pages of the instruments: described, changed, checked, refused in one sentence."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from slake.records.models import Instrument, InstrumentCheck, Reading
from slake.records.models.instruments import INSTRUMENT_KINDS


def text(answer) -> str:
    return answer.content.decode()


def test_an_empty_bench_offers_every_kind_and_demands_none(client: Client):
    said = text(client.get("/instruments/"))
    assert "None is needed" in said
    for kind in INSTRUMENT_KINDS:
        assert f"/instruments/new/{kind}/" in said and client.get(f"/instruments/new/{kind}/").status_code == 200
    assert client.get("/instruments/new/spoon/").status_code == 404


def test_described_changed_and_checked_through_the_pages(client: Client, fill):
    fill("/instruments/new/scale/", name="kitchen scale", scale_step_g="0,1")
    row = Instrument.objects.get()
    fill(f"/instruments/{row.pk}/check/", known="7,5", shown="7,9", unit="g")
    assert InstrumentCheck.objects.get().shown == 7.9
    said = text(client.get(f"/instruments/{row.pk}/"))
    assert "shows 0.4 g too much" in said and "7,5 g" in said
    fill(f"/instruments/{row.pk}/change/", scale_step_g="1", note="new batteries, other mode")
    assert Instrument.objects.count() == 2
    said = text(client.get(f"/instruments/{row.pk}/"))
    assert "1 g" in said and "As it was" in said and "new batteries" in said
    assert text(client.get("/instruments/")).count("kitchen scale") == 1


def test_a_change_keeps_the_name_whatever_is_sent(client: Client, fill):
    fill("/instruments/new/bowl/", name="blue bowl", tare_g="400")
    fill(f"/instruments/{Instrument.objects.get().pk}/change/", name="red bowl", tare_g="401")
    assert set(Instrument.objects.values_list("name", flat=True)) == {"blue bowl"}


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("/instruments/new/cone/", {"name": "brass", "cone_mass_g": "9999"}),
        ("/instruments/new/cone/", {"name": "", "cone_mass_g": "30"}),
        ("/instruments/new/bowl/", {"name": "b", "tare_g": "1/2"}),
    ],
)
def test_what_is_refused_comes_back_as_typed(client: Client, fill, address, typed):
    answer = fill(address, **typed)
    assert answer.status_code == 422 and 'role="alert"' in text(answer)
    assert all(f'value="{said}"' in text(answer) for said in typed.values() if said)
    assert not Instrument.objects.exists()


@pytest.mark.parametrize("typed", [{"known": ""}, {"shown": "nan"}, {"unit": "stone"}])
def test_a_check_that_says_nothing_is_refused(client: Client, fill, typed):
    fill("/instruments/new/scale/", name="kitchen scale")
    row = Instrument.objects.get()
    assert (
        fill(f"/instruments/{row.pk}/check/", **{"known": "5", "shown": "5", "unit": "g", **typed}).status_code == 422
    )
    assert not InstrumentCheck.objects.exists()


def test_the_dish_of_a_moisture_reading_is_weighed_once_and_for_all(client: Client, bench, fill):
    """Its empty mass is filled in from the bowl; the next reading takes the same dish by itself."""
    fill("/instruments/new/bowl/", name="oven dish", tare_g="102,4")
    dish = Instrument.objects.get()
    address = f"/read/oven_moisture/lot/{bench.shell.pk}/"
    assert "Taken with" in text(client.get(address))
    rows = {"row1__hours": "20", "row1__mass_g": "202,0", "row2__hours": "24", "row2__mass_g": "202,0"}
    assert fill(address, instrument=str(dish.pk), in_wet_mass_g="204,4", **rows).status_code == 302
    row = Reading.objects.get(lot=bench.shell)
    assert row.instrument == dish and row.typed["fields"]["tare_g"] == "102,4"
    assert row.headline_value == pytest.approx(100 * 2.4 / 102, abs=0.01)
    taken = re.search(r'<input type="radio" name="instrument" value="(\d*)"[^>]* checked', text(client.get(address)))
    assert taken[1] == str(dish.pk)


def test_without_an_instrument_the_reading_page_asks_for_none(client: Client, bench):
    assert "Taken with" not in text(client.get(f"/read/oven_moisture/lot/{bench.shell.pk}/"))
