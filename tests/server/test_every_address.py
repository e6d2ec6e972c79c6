"""Every address of a real served bench, visited by links: what it loads and carries; looking changes nothing."""

from __future__ import annotations

import hashlib
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.urls import Resolver404, get_resolver, resolve

from tests.conftest import Served
from tests.server.walker import Reader, Visit, visit, walk


def state(home: Path) -> dict[str, str]:
    """A digest of every row of both benches."""
    found = {}
    for name in ("bench.sqlite3", "sample.sqlite3"):
        with closing(sqlite3.connect(home / name, timeout=20)) as connection:
            found[name] = hashlib.sha256("\n".join(connection.iterdump()).encode()).hexdigest()
    return found


def addresses(patterns, before: str = "") -> list[str]:
    """Every route below a list of patterns."""
    found: list[str] = []
    for pattern in patterns:
        route = before + str(pattern.pattern)
        inner = getattr(pattern, "url_patterns", None)
        found += [route] if inner is None else addresses(inner, route)
    return found


def route_of(url: str) -> str:
    return resolve(urlsplit(url).path.removeprefix("/sample")).route


def walk_all(root: str) -> list[Visit]:
    """What links lead to, and then every address of the program that no link led to, in the sample."""
    visits = list(walk(root + "/"))
    seen = set()
    for v in visits:
        with suppress(Resolver404):
            seen.add(route_of(v.url))
    unseen = [route for route in addresses(get_resolver().url_patterns) if route not in seen]
    return visits + [visit(f"{root}/sample/{re.sub('<[^>]+>', '1', route)}") for route in unseen]


@pytest.fixture(scope="module")
def walked(served: Served) -> Iterator[tuple[list[Visit], dict[str, str], dict[str, str]]]:
    before = state(served.home)
    visits = walk_all(served.url)
    yield visits, before, state(served.home)


@pytest.fixture
def visits(walked) -> list[Visit]:
    return walked[0]


def test_both_doors_and_many_pages_were_seen(visits: list[Visit]):
    paths = {urlsplit(v.url).path for v in visits if v.is_page}
    assert {"/", "/sample/"} <= paths
    assert sum(path.startswith("/sample/") for path in paths) > 20
    assert any(not path.startswith("/sample/") for path in paths - {"/"})


def test_every_link_leads_somewhere(visits: list[Visit]):
    assert [(v.url, v.status, v.came_from) for v in visits if v.status >= 400 and v.came_from] == []


def test_looking_changes_nothing(walked):
    _, before, after = walked
    assert before == after


def test_no_page_refers_to_another_machine(visits: list[Visit]):
    elsewhere = [
        (v.url, reference)
        for v in visits
        for reference in (*v.references.links, *v.references.loads, *(a for _, a in v.references.forms))
        if urlsplit(reference).netloc or urlsplit(reference).scheme not in {"", "data"}
    ]
    assert elsewhere == []


def test_no_page_has_inline_script_or_style(visits: list[Visit]):
    """The content policy would stop it without a word to the person."""
    assert [(v.url, inline) for v in visits for inline in v.references.inline] == []


def test_every_answer_carries_the_policy(visits: list[Visit]):
    for v in visits:
        policy = v.headers["content-security-policy"]
        assert "default-src 'self'" in policy or "default-src 'none'" in policy, v.url
        assert v.headers["x-content-type-options"] == "nosniff", v.url
        if v.is_page:
            assert "default-src 'self'" in policy and "unsafe" not in policy, v.url


def test_every_form_that_posts_carries_a_token(visits: list[Visit]):
    posting = [v for v in visits if any(method == "post" for method, _ in v.references.forms)]
    assert posting
    assert [v.url for v in posting if b"csrfmiddlewaretoken" not in v.body] == []


def test_no_page_shows_what_only_a_programmer_should_see(visits: list[Visit]):
    words = (b"Traceback", b"{{", b"{%", b"object at 0x", b">None<", b">nan<", b"&lt;slake.")
    assert [(v.url, word) for v in visits if v.is_page for word in words if word in v.body] == []


def test_links_of_the_sample_stay_in_the_sample(visits: list[Visit]):
    """Only the two ways out that say so leave it: nobody ends at their own bench without a word."""
    left = {
        (v.url, link)
        for v in visits
        if urlsplit(v.landed).path.startswith("/sample/")
        for link in v.references.links
        if link.startswith("/") and not link.startswith(("/sample/", "/static/")) and link not in {"/", "/start/"}
    }
    assert left == set()


def test_the_reader_of_pages_sees_what_it_is_for():
    reader = Reader()
    reader.feed(
        '<a href="https://x.example/">x</a><img src="//y.example/z.png" onload="go()"><p style="color:red">'
        "<script>go()</script><style>p{}</style><script src='/s.js'></script><form method='POST' action='/a'>"
    )
    assert reader.links == ["https://x.example/"]
    assert reader.loads == ["//y.example/z.png", "/s.js"]
    assert len(reader.inline) == 4 and reader.forms == [("post", "/a")]


def test_every_address_there_is_was_visited(visits: list[Visit]):
    """So that the tests above speak of every address; one that takes only posts says so (405) to a look."""
    answers: dict[str, set[int]] = {}
    for v in visits:
        with suppress(Resolver404):
            answers.setdefault(route_of(v.url), set()).add(v.status)
    wrong = {
        r: answers.get(r) for r in addresses(get_resolver().url_patterns) if not answers.get(r, set()) & {200, 405}
    }
    assert wrong == {}
