"""Lots: two tabs, stock that is never negative, heat judged, hazards said."""

from slake.records.models import Action, Lot, StockMove


def test_a_lot_page_says_everything_it_knows(client, bench):
    page = client.get(f"/lots/{bench.shell.pk}/").content.decode()
    for part in ("Passed a sieve of 125 um", "2000.0 g", "Allergens: molluscs", "dust mask", "600 C", "treat as raw"):
        assert part in page, part
    assert client.get("/lots/").status_code == 200 and client.get("/lots/999/").status_code == 404


def test_two_tabs_the_second_is_told_and_loses_nothing(client, bench, form_in):
    address = f"/lots/{bench.shell.pk}/edit/"
    first, second = form_in(client.get(address)).values, form_in(client.get(address)).values
    assert client.post(address, first | {"moisture_percent": "3,5"}).status_code == 302
    answer = client.post(address, second | {"note": "from the pier"})
    assert answer.status_code == 422
    page, form = answer.content.decode(), form_in(answer)
    assert "was changed in the meantime" in page and "As it is now" in page and "3.5 %" in page
    assert form.values["note"] == "from the pier"
    assert Lot.objects.get(pk=bench.shell.pk).note == ""
    assert client.post(address, form.values).status_code == 302
    assert Lot.objects.get(pk=bench.shell.pk).note == "from the pier"


def test_the_same_change_twice_is_one(client, bench, form_in):
    address = f"/lots/{bench.shell.pk}/edit/"
    held = form_in(client.get(address)).values | {"sieve_um": "250"}
    assert client.post(address, held).status_code == client.post(address, held).status_code == 302
    lot = Lot.objects.get(pk=bench.shell.pk)
    assert (lot.sieve_um, lot.revision) == (250, bench.shell.revision + 1)


def test_stock_never_falls_below_zero(client, bench, fill):
    address = f"/lots/{bench.shell.pk}/stock/"
    answer = fill(address, grams="2000,1", why="spilled")
    assert answer.status_code == 422 and "has 2000 g left" in answer.content.decode()
    assert fill(address, grams="500,5", why="spilled").status_code == 302
    assert StockMove.objects.last().grams == -500.5
    assert "1499.5 g" in client.get("/lots/").content.decode()


def test_a_made_up_reason_for_a_stock_move_is_refused(fill, bench):
    assert fill(f"/lots/{bench.shell.pk}/stock/", grams="5", why="eaten").status_code == 422


def test_heat_that_meets_the_rule_and_heat_that_does_not(client, bench, fill):
    """70 C for 30 min: 131 700 000 / 10^9.8 days is 30.06 min, so 40 min meets and 20 does not (15A NCAC 02T .1106)."""
    address = f"/lots/{bench.shell.pk}/heat/"
    assert fill(address, row1__minutes="20", row1__temperature_c="70", row1__state="before").status_code == 302
    assert "Treat as raw" in client.get(f"/lots/{bench.shell.pk}/").content.decode()
    other = f"/lots/{bench.guar.pk}/heat/"
    assert fill(other, row1__minutes="40", row1__temperature_c="70", row1__state="wet").status_code == 302
    assert "Meets the time-temperature rule" in client.get(f"/lots/{bench.guar.pk}/").content.decode()


def test_heated_dry_powder_stays_raw(client, bench, fill):
    fill(f"/lots/{bench.shell.pk}/heat/", row1__minutes="600", row1__temperature_c="90", row1__state="dry")
    page = client.get(f"/lots/{bench.shell.pk}/").content.decode()
    assert "germs in dry powder" in page and "Treat as raw" in page


def test_a_lot_that_is_powder_is_asked_before_what_it_was_heated(client, bench, fill):
    address = f"/lots/{bench.shell.pk}/heat/"
    page = client.get(address).content.decode()
    assert "wet, before it was dried and milled" in page and "dried or sieved powder by now" in page
    fill(address, row1__minutes="20", row1__temperature_c="90", row1__state="powder wetted again")
    assert "Treat as raw" in client.get(f"/lots/{bench.shell.pk}/").content.decode()


def test_an_empty_or_wrong_heat_log_is_refused(fill, bench):
    address = f"/lots/{bench.shell.pk}/heat/"
    assert fill(address).status_code == 422
    for minutes, celsius in (("nan", "70"), ("30", "7000"), ("30", "900")):
        sent = fill(address, row1__minutes=minutes, row1__temperature_c=celsius, row1__state="before")
        assert sent.status_code == 422
    assert fill(address, row1__minutes="20", row1__temperature_c="90").status_code == 422
    assert Lot.objects.get(pk=bench.shell.pk).heat_log == []
    assert not Action.objects.filter(name="log heat").exists()


def test_a_gum_says_no_water_demand_of_nothing(client, bench, fill):
    fill(f"/lots/{bench.guar.pk}/edit/", water_demand="0")
    page = client.get(f"/lots/{bench.guar.pk}/").content.decode()
    assert "Water it drinks" not in page and "How it was heated" in page
