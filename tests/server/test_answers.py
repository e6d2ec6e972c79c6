"""What every answer carries, what is refused before a page is asked, and what an error page may say."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from types import ModuleType

import pytest
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.test import Client, override_settings
from django.urls import include, path, reverse
from django.views.decorators.http import require_POST

from slake.records.which import current_bench
from slake.server import errors

SECRET_WORD = "the-inside-of-the-program"


def breaks(request: HttpRequest) -> HttpResponse:
    raise RuntimeError(SECRET_WORD)


def closed(request: HttpRequest) -> HttpResponse:
    raise PermissionDenied(SECRET_WORD)


def where(request: HttpRequest) -> HttpResponse:
    return HttpResponse(f"{current_bench.get()} {reverse('where')} {request.path_info}")


def drawing(request: HttpRequest) -> HttpResponse:
    return HttpResponse("<svg/>", content_type="image/svg+xml")


@require_POST
def take(request: HttpRequest) -> HttpResponse:
    return HttpResponse(f"took {request.POST.get('grams')} and {len(request.FILES)} files")


def addresses() -> ModuleType:
    made = ModuleType("addresses")
    made.urlpatterns = [
        path("breaks/", breaks),
        path("closed/", closed),
        path("where/", where, name="where"),
        path("drawing/", drawing),
        path("take/", take),
        path("", include("slake.server.urls")),
    ]
    made.handler400, made.handler403 = errors.bad_request, errors.forbidden
    made.handler404, made.handler500 = errors.not_found, errors.our_fault
    return made


@pytest.fixture
def client() -> Iterator[Client]:
    with override_settings(ROOT_URLCONF=addresses()):
        yield Client(enforce_csrf_checks=True, raise_request_exception=False)


def id_on(response: HttpResponse) -> str:
    found = re.search(r"id ([0-9a-f]{8})", response.content.decode())
    assert found, response.content.decode()
    return found[1]


@pytest.mark.parametrize("address", ["/where/", "/sample/where/", "/nowhere/", "/breaks/", "/closed/", "/pair/"])
def test_every_answer_loads_only_from_here_and_sits_in_no_frame(client: Client, address: str):
    response = client.get(address)
    policy = dict(part.split(" ", 1) for part in response["Content-Security-Policy"].split("; "))
    assert policy["default-src"] == "'self'" and policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in response["Content-Security-Policy"]
    assert response["X-Content-Type-Options"] == "nosniff" and response["X-Frame-Options"] == "DENY"
    assert response["Referrer-Policy"] == "same-origin"


def test_a_drawing_may_style_itself_and_nothing_else(client: Client):
    policy = client.get("/drawing/")["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "sandbox" in policy and "script" not in policy


def test_the_two_doors(client: Client):
    assert client.get("/where/").content == b"default /where/ /where/"
    assert client.get("/sample/where/").content == b"sample /sample/where/ /where/"
    assert client.get("/where/").content == b"default /where/ /where/", "the door stayed open"
    assert client.get("/sample")["Location"] == "/sample/"


def test_an_error_in_the_sample_leaves_the_door_closed(client: Client):
    client.get("/sample/breaks/")
    assert client.get("/where/").content == b"default /where/ /where/"


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.20", "[::1]"])
def test_a_wrong_host_is_refused(client: Client, host: str):
    response = client.get("/where/", headers={"host": host})
    assert response.status_code == 400 and b"answers only to the address" in response.content


def test_our_fault_shows_an_id_and_no_trace(client: Client, caplog: pytest.LogCaptureFixture):
    logging.getLogger("slake").addHandler(caplog.handler)
    try:
        response = client.get("/breaks/")
    finally:
        logging.getLogger("slake").removeHandler(caplog.handler)
    page = response.content.decode()
    assert response.status_code == 500
    assert SECRET_WORD not in page and "Traceback" not in page and ".py" not in page
    record = next(r for r in caplog.records if id_on(response) in r.getMessage())
    assert record.exc_info and SECRET_WORD in str(record.exc_info[1])


@pytest.mark.parametrize(("address", "status"), [("/nowhere/", 404), ("/closed/", 403)])
def test_other_errors_show_an_id_too(client: Client, address: str, status: int):
    response = client.get(address)
    assert response.status_code == status and id_on(response)
    assert SECRET_WORD not in response.content.decode()


def test_a_post_without_token_is_refused_and_what_was_typed_is_offered_again(client: Client):
    response = client.post("/take/?from=5", {"grams": "12,5 <b>"})
    page = response.content.decode()
    assert response.status_code == 403 and id_on(response)
    assert "12,5 &lt;b&gt;" in page and 'action="/take/?from=5"' in page
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    assert token
    again = client.post("/take/", {"grams": "12,5", "csrfmiddlewaretoken": token[1]})
    assert again.content == b"took 12,5 and 0 files"


def test_a_form_from_another_site_is_refused_and_not_offered_again(client: Client):
    response = client.post("/take/", {"grams": "666"}, headers={"origin": "http://evil.example"})
    assert response.status_code == 403 and "666" not in response.content.decode()


def test_too_much_text_is_413_with_an_id(client: Client):
    response = client.post("/take/", {"grams": "x" * (2 * 2**20 + 1)})
    assert response.status_code == 413 and id_on(response)
    long = client.post("/take/", "grams=" + "x" * (2 * 2**20), content_type="application/x-www-form-urlencoded")
    assert long.status_code == 413


def test_too_many_fields_is_413(client: Client):
    assert client.post("/take/", {f"f{n}": "1" for n in range(2100)}).status_code == 413


def test_too_long_a_request_is_refused_before_it_is_read(client: Client):
    response = client.generic("POST", "/take/", b"x", CONTENT_LENGTH=str(21 * 2**20 + 1))
    assert response.status_code == 413
    assert client.generic("POST", "/take/", b"x", CONTENT_LENGTH="many").status_code == 413


def test_an_address_with_signs_of_control_is_logged_on_one_line(client: Client, caplog: pytest.LogCaptureFixture):
    logging.getLogger("slake").addHandler(caplog.handler)
    try:
        client.get("/nowhere%0a2026 ERROR made up/")
    finally:
        logging.getLogger("slake").removeHandler(caplog.handler)
    assert all("\n" not in r.getMessage() for r in caplog.records) and caplog.records
