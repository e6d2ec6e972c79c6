"""What every test may ask for: both databases, a served bench, and a browser that talks to this machine only."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest
from hypothesis import settings

settings.register_profile("bench", deadline=None)  # a busy machine is no wrong answer
settings.load_profile("bench")

MADE_UP_HOST = "bench.slake.test"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
BROWSER_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--host-resolver-rules=MAP {MADE_UP_HOST} 127.0.0.1",
]
LOOPBACK = {"127.0.0.1", "localhost", MADE_UP_HOST}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Whatever drives a browser is marked so, without anybody having to remember it."""
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)


@pytest.fixture
def databases(request: pytest.FixtureRequest) -> None:
    """Both benches, empty, each test rolled back: `default` and `sample`."""
    request.applymarker(pytest.mark.django_db(databases=["default", "sample"]))
    request.getfixturevalue("db")


@dataclass(frozen=True, kw_only=True)
class Served:
    """A real `slake serve` in a process of its own."""

    url: str
    made_up_url: str
    home: Path
    port: int
    said: Callable[[], str]


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One served bench for the whole session (one per worker): an empty own bench and the sample workshop."""
    with serving(tmp_path_factory.mktemp("served") / "home") as bench:
        yield bench


@pytest.fixture
def served_alone(tmp_path: Path) -> Iterator[Served]:
    """A served bench for one test, when it must begin empty."""
    with serving(tmp_path / "home") as bench:
        yield bench


@contextmanager
def serving(home: Path, *options: str, host: str = "127.0.0.1", more_env: dict[str, str] | None = None):
    """Run the real server on a free port until the block ends; it must answer within two minutes."""
    port = free_port()
    home.parent.mkdir(parents=True, exist_ok=True)
    heard = home.parent / "said.txt"
    env = {**os.environ, "SLAKE_HOME": str(home), "SLAKE_HOSTNAMES": MADE_UP_HOST, **(more_env or {})}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "-c", "from slake.cli import main; main()", "serve", "--port", str(port), *options]
    with open(heard, "w", encoding="utf-8") as out:
        process = subprocess.Popen(command, env=env, stdout=out, stderr=subprocess.STDOUT)
    try:
        wait_for(f"http://{host}:{port}/", process, heard)
        yield Served(
            url=f"http://{host}:{port}",
            made_up_url=f"http://{MADE_UP_HOST}:{port}",
            home=home,
            port=port,
            said=lambda: heard.read_text(encoding="utf-8"),
        )
    finally:
        process.send_signal(signal.SIGINT)
        try:
            process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(url: str, process: subprocess.Popen[bytes], heard: Path) -> None:
    until = time.monotonic() + 120
    while time.monotonic() < until:
        assert process.poll() is None, f"slake ended: {heard.read_text(encoding='utf-8')}"
        try:
            with urlopen(url, timeout=10):
                return
        except HTTPError as error:
            error.close()
            return
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"no answer from {url}: {heard.read_text(encoding='utf-8')}")


@pytest.fixture(scope="session")
def browser():
    """Chromium of this machine, driven by playwright; the test fails where there is none."""
    sync_api = pytest.importorskip("playwright.sync_api")
    path = next(filter(None, map(shutil.which, BROWSERS)), None)
    assert path, "no chromium on the PATH: run `make test`, which says what to do, or add -m 'not browser'"
    sync_api.expect.set_options(timeout=20_000)  # a busy machine is no wrong answer
    with sync_api.sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=BROWSER_ARGS)
        yield chromium
        chromium.close()


@pytest.fixture
def browser_page(browser, served: Served):
    """A page of a fresh visitor, tablet sized; afterwards every request it made must have gone to this machine."""
    with watched_page(browser, base_url=served.url) as page:
        yield page


@contextmanager
def watched_page(browser, **options: object):
    """A page whose requests, console errors and script errors are collected and judged when the block ends.

    `page.slake_allowed` may be given texts of console errors that a test provokes itself.
    """
    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True, **options)
    asked: list[str] = []
    wrong: list[str] = []
    context.on("request", lambda request: asked.append(request.url))
    page = context.new_page()
    page.slake_allowed = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.set_default_timeout(30_000)
    try:
        yield page
    finally:
        allowed = list(page.slake_allowed)
        context.close()
    assert elsewhere(asked) == [], "a page called another machine"
    assert [text for text in wrong if not any(part in text for part in allowed)] == []


def elsewhere(urls: list[str]) -> list[str]:
    """Those of the addresses that lead off this machine."""
    return [
        url
        for url in urls
        if urlsplit(url).scheme not in {"data", "blob", "about"} and urlsplit(url).hostname not in LOOPBACK
    ]
