"""Visits every address of a served bench that can be reached by links, and keeps what each answered."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from urllib.error import HTTPError
from urllib.parse import urldefrag, urljoin, urlsplit
from urllib.request import Request, urlopen

MOST = 3000
LOADING = {"src", "href", "poster", "data", "srcset", "xlink:href"}


@dataclass(frozen=True, kw_only=True)
class Visit:
    """One answer to one GET."""

    url: str
    landed: str
    status: int
    headers: dict[str, str]
    body: bytes
    seconds: float
    came_from: str

    @property
    def is_page(self) -> bool:
        return self.headers.get("content-type", "").startswith("text/html")

    @property
    def references(self) -> Reader:
        reader = Reader()
        if self.is_page:
            reader.feed(self.body.decode("utf-8"))
        return reader


class Reader(HTMLParser):
    """Collects what a page links to, what it loads, and what the content policy would stop."""

    def __init__(self) -> None:
        super().__init__()
        self.links: list[str] = []
        self.loads: list[str] = []
        self.inline: list[str] = []
        self.forms: list[tuple[str, str]] = []
        self._in: str = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self._in = tag if tag in {"script", "style"} and "src" not in given else ""
        if self._in == "script" and given.get("type") in {"application/json", "text/plain"}:
            self._in = ""
        self.inline += [f"<{tag} {name}>" for name in given if name == "style" or name.startswith("on")]
        for name in LOADING & set(given):
            (self.links if tag in {"a", "area"} else self.loads).append(given[name])
        if tag == "form":
            self.forms.append((given.get("method", "get").lower(), given.get("action", "")))

    def handle_data(self, data: str) -> None:
        if self._in and data.strip():
            self.inline.append(f"<{self._in}> {data.strip()[:40]}")

    def handle_endtag(self, tag: str) -> None:
        self._in = ""


def visit(url: str, came_from: str = "") -> Visit:
    start = time.perf_counter()
    try:
        with urlopen(Request(url, headers={"Accept": "text/html"}), timeout=60) as answer:
            landed, status, headers, body = answer.url, answer.status, answer.headers, answer.read()
    except HTTPError as error:
        landed, status, headers, body = error.url or url, error.code, error.headers, error.read()
        error.close()
    named = {name.lower(): value for name, value in headers.items()}
    seconds = time.perf_counter() - start
    said = {"status": status, "headers": named, "body": body}
    return Visit(url=url, landed=landed, seconds=seconds, came_from=came_from, **said)


def walk(root: str) -> Iterator[Visit]:
    """Every address under `root`'s host, each once, found through links and loaded files."""
    seen = {root}
    waiting = deque([(root, "")])
    while waiting and len(seen) < MOST:
        found = visit(*waiting.popleft())
        yield found
        reader = found.references
        for reference in (*reader.links, *reader.loads):
            url = urldefrag(urljoin(found.url, reference)).url
            if urlsplit(url).netloc == urlsplit(root).netloc and url not in seen:
                seen.add(url)
                waiting.append((url, found.url))
