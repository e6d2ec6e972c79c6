"""Pairing: nothing but the code page and the styles before it, and no guessing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.conf import settings
from django.test import Client, override_settings

from slake.server import pairing
from slake.server.pairing import Tries, is_right

CODE = "ABCD2345"


@pytest.fixture
def client(monkeypatch: pytest.MonkeyPatch) -> Iterator[Client]:
    monkeypatch.setattr(pairing, "tries", Tries())
    with override_settings(PAIRING_CODE=CODE):
        yield Client()


@pytest.mark.parametrize("address", ["/", "/sample/", "/sample/pair/", "/nowhere/", "/pair/more/"])
def test_before_pairing_everything_leads_to_the_code(client: Client, address: str):
    response = client.get(address)
    assert response.status_code == 302 and response["Location"] == "/pair/"


def test_before_pairing_nothing_can_be_sent(client: Client):
    for address in ("/", "/sample/", "/nowhere/"):
        assert client.post(address, {"grams": "5"}).status_code == 403


def test_the_code_page_and_its_style_are_open(client: Client):
    assert client.get("/pair/").status_code == 200
    style = client.head("/static/server/plain.css")
    assert style.status_code == 200 and style["Content-Type"].startswith("text/css")


def test_the_right_code_opens_once_and_for_all(client: Client):
    response = client.post("/pair/", {"code": " abcd-2345 "})
    assert response.status_code == 302 and response["Location"] == "/"
    cookie = response.cookies[pairing.COOKIE]
    assert cookie["httponly"] and cookie["samesite"] == "Lax"
    assert client.get("/nowhere/").status_code == 404
    with override_settings(PAIRING_CODE="ZZZZ9999"):
        assert client.get("/nowhere/").status_code == 404, "a device asks for the code once, not at each start"


def test_a_made_up_or_old_cookie_opens_nothing(client: Client):
    client.cookies[pairing.COOKIE] = "yes"
    assert client.get("/nowhere/").status_code == 302
    client.cookies.clear()
    client.post("/pair/", {"code": CODE})
    with override_settings(SECRET_KEY="x" * 60):
        assert client.get("/nowhere/").status_code == 302, "a new key makes every device pair again"


def test_a_wrong_code_is_told_and_opens_nothing(client: Client):
    response = client.post("/pair/", {"code": "ABCD2346"})
    assert response.status_code == 422 and b"not the code" in response.content
    assert pairing.COOKIE not in response.cookies and client.get("/").status_code == 302


def test_five_wrong_codes_close_the_door_even_for_the_right_one(client: Client):
    for _ in range(5):
        assert client.post("/pair/", {"code": "WRONG"}).status_code == 422
    assert client.post("/pair/", {"code": CODE}).status_code == 429
    other = Client(REMOTE_ADDR="192.168.1.30")
    assert other.post("/pair/", {"code": CODE}).status_code == 302, "another device is not shut out"


def test_tries_are_counted_per_device_and_together_and_forgotten_in_time():
    tries = Tries(one=2, all_together=3, within_s=600)
    assert [tries.take("a", 0), tries.take("a", 1), tries.take("a", 2)] == [True, True, False]
    assert [tries.take("b", 3), tries.take("c", 4)] == [True, False]
    assert tries.take("a", 600.5) and not tries.take("c", 600.6)
    assert tries.take("c", 604)


@pytest.mark.parametrize("typed", ["", "ABCD", "ABCD234", "ABCD23456", "ÄBCD2345", "ＡBCD2345"])
def test_only_the_whole_code_is_right(typed: str):
    assert not is_right(typed, CODE)


def test_on_this_machine_there_is_no_code():
    assert settings.PAIRING_CODE == ""
    assert Client().get("/pair/")["Location"] == "/"
    assert Client().get("/nowhere/").status_code == 404
