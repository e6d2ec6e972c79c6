"""Every form of a told bench, whatever is typed into it: a sentence or a kept entry, never a crash, nothing half kept.

The forms are found by following links, so a new page is asked without anybody naming it here.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from datetime import UTC, datetime
from html.parser import HTMLParser
from urllib.parse import urldefrag, urljoin, urlsplit

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import Resolver404, resolve

from slake.demo import telling
from slake.records.which import SAMPLE, using

NOW = datetime(2026, 11, 2, 17, 0, tzinfo=UTC)
DOOR = "/sample/"
PAGES_A_ROUTE = 1
ROUNDS = 5
PRINTED = "label"
NASTY = {
    "nothing": "",
    "a word": "soup",
    "no number": "nan",
    "without end": "-1e999",
    "far below": "-1",
    "nought": "0",
    "far above": "99999999999999999999",
    "a comma too many": "1.000.0,5",
    "another script": "１２ ٣ \u202eabc",
    "a null": "a\x00b",
    "markup": "<script>alert(1)</script>{{ 7 }}",
    "like a formula": "=cmd()",
    "much": "x" * 5000,
}
GIVEN = {"csrfmiddlewaretoken", "entry", "revision"}


@dataclass
class Asked:
    """One form: where it goes and what it asks."""

    method: str
    action: str
    values: dict[str, str] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)


class Seen(HTMLParser):
    """Links and forms of one page, and what ties labels to inputs."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.forms: list[Asked] = []
        self.ids: list[str] = []
        self.labelled: set[str] = set()
        self.asking: list[str] = []
        self.headings = 0
        self._form: Asked | None = None
        self._select = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.ids += [given["id"]] if "id" in given else []
        self.headings += tag == "h1"
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
        if tag == "label":
            self.labelled.add(given.get("for", ""))
        if tag == "form":
            self._form = Asked(method=given.get("method", "get").lower(), action=given.get("action", ""))
            self.forms.append(self._form)
        if tag in {"input", "select", "textarea"}:
            self._field(tag, given)
        if tag == "option" and self._form is not None and self._select:
            self._form.values.setdefault(self._select, given.get("value", ""))

    def _field(self, tag: str, given: dict[str, str]) -> None:
        kind, name = given.get("type", ""), given.get("name", "")
        if kind != "hidden":
            named = "aria-label" in given or "aria-labelledby" in given
            self.asking += [] if named else [given.get("id", "")]
        if self._form is None or not name:
            return
        self._select = name if tag == "select" else ""
        if kind == "file":
            self._form.files.append(name)
        elif kind in {"radio", "checkbox"}:
            if "checked" in given:
                self._form.values[name] = given.get("value", "on")
        elif tag != "select":
            self._form.values[name] = given.get("value", "")
            if kind != "hidden":
                self._form.texts.append(name)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        if tag == "select":
            self._select = ""


@pytest.fixture
def told(databases):
    with using(SAMPLE):
        telling.load(NOW)
        yield


_walked: dict[str, Seen] = {}


@pytest.fixture
def pages(told) -> dict[str, Seen]:
    """Pages reached by links from the first one; the same rows are told for every test, so they are walked once."""
    _walked.update({} if _walked else _walk())
    return _walked


def _walk() -> dict[str, Seen]:
    """At most a few pages of each route."""
    client, waiting, found, counts = Client(), deque([DOOR]), {}, {}
    while waiting:
        path = waiting.popleft()
        if path in found:
            continue
        route = _route(path)
        if route is None or counts.get(route, 0) >= PAGES_A_ROUTE:
            continue
        counts[route] = counts.get(route, 0) + 1
        answer = client.get(path, follow=True)
        if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
            continue
        found[path] = seen = Seen(answer.content.decode())
        for link in seen.links:
            parts = urlsplit(urldefrag(urljoin(path, link))[0])
            if not parts.netloc and parts.path.startswith(DOOR):
                waiting.append(parts.path + (f"?{parts.query}" if parts.query else ""))
    return found


def _route(path: str) -> str | None:
    try:
        return resolve(urlsplit(path).path.removeprefix(DOOR.rstrip("/"))).route
    except Resolver404:
        return None


def counted() -> dict[str, int]:
    with using(SAMPLE):
        return {m._meta.model_name: m.objects.count() for m in apps.get_app_config("records").get_models()}


def test_many_pages_and_forms_are_found(pages):
    routes = {_route(path) for path in pages}
    posting = {
        (_route(path), n) for path, seen in pages.items() for n, f in enumerate(seen.forms) if f.method == "post"
    }
    assert len(routes) > 30 and len(posting) > 15, (sorted(map(str, routes)), posting)


def test_every_input_has_its_label_every_id_is_there_once_and_every_page_one_heading(pages):
    for path, seen in pages.items():
        assert [i for i in seen.asking if i not in seen.labelled] == [], path
        assert len(seen.ids) == len(set(seen.ids)), (path, sorted(i for i in seen.ids if seen.ids.count(i) > 1))
        assert seen.headings == (0 if PRINTED in path else 1), path


@pytest.mark.parametrize("turn", range(ROUNDS))
def test_whatever_is_typed_is_kept_or_refused_in_a_sentence(pages, turn):
    """Each field of a form gets another nasty text, and another one each turn."""
    client = Client(raise_request_exception=True)
    for path, seen in pages.items():
        for number, form in enumerate(seen.forms):
            before = counted()
            answer = _send(client, path, form, turn * 3 + number)
            said = f"{path} {form.action} turn {turn}: {answer.status_code}"
            assert answer.status_code < 500, said
            if answer.status_code == 422:
                assert counted() == before, f"{said}: refused, and yet something was kept"
                assert b"problem" in answer.content or answer["Content-Type"] == "application/json", said
            assert b"<script>alert" not in answer.content, said


def _send(client: Client, path: str, form: Asked, turn: int):
    where = urljoin(path, form.action) if form.action else path
    nasty = list(NASTY.values())
    typed = {name: nasty[(turn + n) % len(nasty)] for n, name in enumerate(form.texts)}
    values = {**form.values, **typed}
    if form.method == "get":
        return client.get(urlsplit(where).path, {k: v for k, v in values.items() if k not in GIVEN})
    text = nasty[turn % len(nasty)]
    files = {name: SimpleUploadedFile("old.csv", text.encode()) for name in form.files}
    return client.post(where, {**values, **files})
