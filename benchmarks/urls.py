"""Every address of the sample workshop, followed link by link on a really served bench: how long each takes.

    .venv/dev/bin/python benchmarks/urls.py

Serves a new data folder on a free port, asks every page once to warm up and three times to time, and prints the
slowest and the median. Goal: median under 150 ms. Ends with 1 where a page did not answer 200 or the goal is missed.
"""

from __future__ import annotations

import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urldefrag, urljoin, urlsplit
from urllib.request import urlopen

DOOR = "/sample/"
GOAL_S = 0.150
TIMES = 3
FOLLOWED = {"a": "href", "img": "src", "source": "srcset", "link": "href", "script": "src"}
LIMIT_S = 120


class Links(HTMLParser):
    """The addresses a page names."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs).get(FOLLOWED.get(tag, ""))
        if named and not re.match(r"[a-z]+:(?!//)", named):
            self.found.append(named.split(" ")[0])


@contextmanager
def served() -> Iterator[str]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "SLAKE_HOME": folder}
        command = [sys.executable, "-c", "from slake.cli import main; main()", "serve", "--port", str(port)]
        with open(Path(folder) / "said.txt", "w", encoding="utf-8") as said:
            process = subprocess.Popen(command, env=env, stdout=said, stderr=subprocess.STDOUT)
        try:
            base = f"http://127.0.0.1:{port}"
            wait_for(base, process)
            yield base
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(timeout=30)


def wait_for(base: str, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + LIMIT_S
    while process.poll() is None and time.monotonic() < until:
        try:
            with urlopen(base + "/", timeout=30):
                return
        except HTTPError:
            return
        except OSError:
            time.sleep(0.1)
    raise SystemExit("slake did not start")


def ask(url: str) -> tuple[int, float, str, str]:
    """Status, seconds, text where it is a page, and where one ended up."""
    begun = time.perf_counter()
    try:
        with urlopen(url, timeout=60) as answer:
            body, kind, ended = answer.read(), answer.headers.get_content_type(), answer.geturl()
            status = answer.status
    except HTTPError as error:
        body, kind, ended, status = error.read(), "", url, error.code
    took = time.perf_counter() - begun
    return status, took, body.decode("utf-8", "replace") if kind == "text/html" else "", ended


def crawl(base: str) -> dict[str, tuple[int, float]]:
    """Every address within the door, with its status and the middle of a few times."""
    waiting, done = [DOOR, DOOR + "map/"], {}
    while waiting:
        path = waiting.pop(0)
        if path in done:
            continue
        status, _, text, ended = ask(base + path)
        times = sorted(ask(base + path)[1] for _ in range(TIMES))
        done[path] = (status, times[len(times) // 2])
        for named in Links(text).found:
            full = urlsplit(urldefrag(urljoin(ended, named))[0])
            inside = full.path.startswith((DOOR, "/static/")) and full.netloc == urlsplit(base).netloc
            if inside:
                waiting.append(full.path + (f"?{full.query}" if full.query else ""))
    return done


def main() -> int:
    with served() as base:
        done = crawl(base)
    pages = {path: took for path, (_, took) in done.items() if path.startswith(DOOR)}
    wrong = {path: status for path, (status, _) in done.items() if status != 200}
    for path, took in sorted(pages.items(), key=lambda one: -one[1])[:10]:
        print(f"{1000 * took:7.1f} ms  {path}")
    median = statistics.median(pages.values())
    print(f"{len(pages)} addresses of the sample ({len(done)} with static files), median {1000 * median:.1f} ms")
    for path, status in wrong.items():
        print(f"NOT 200: {status} {path}")
    return 1 if wrong or median > GOAL_S else 0


if __name__ == "__main__":
    sys.exit(main())
