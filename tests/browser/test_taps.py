"""A reading at the bench takes at most four taps besides its digits, at tablet size, with the instruments of a bench.

Every tap a hand makes is counted: opening the pad, each field, each word, and the button that keeps it.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from itertools import count
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.hands import Taps
from tests.conftest import Served, watched_page

ROOT = Path(__file__).resolve().parents[2]
MOST_TAPS = 4
numbers = count(1)
CONES = """
from datetime import UTC, datetime
from slake.actions.entry import Entry
from slake.actions.instruments import describe_instrument
for name, grams in (("brass cone", "80"), ("printed cone", "30")):
    typed = {"name": name, "kind": "cone", "cone_mass_g": grams}
    describe_instrument(Entry(id=f"taps {name}", at=datetime.now(UTC)), typed)
"""


class Counted(Taps):
    """A finger whose taps are counted."""

    def __init__(self, page: Page) -> None:
        super().__init__(page)
        self.taps = 0

    def press(self, what: Locator) -> None:
        self.taps += 1
        super().press(what)

    def write(self, what: Locator, text: str) -> None:
        self.taps += 1
        super().write(what, text)


def run(served: Served, *command: str) -> str:
    env = {**os.environ, "SLAKE_HOME": str(served.home), "DJANGO_SETTINGS_MODULE": "slake.server.settings"}
    done = subprocess.run([sys.executable, *command], cwd=ROOT, env=env, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture
def page(browser, served: Served):
    number = int(run(served, "-m", "tests.pages.begun", f"t{os.getpid()}n{next(numbers)}"))
    run(served, "-c", f"import django\ndjango.setup()\n{CONES}")
    with watched_page(browser, base_url=served.url) as page:
        page.goto(f"/batches/{number}/bench/")
        page.wait_for_selector(".step.shown")
        yield page


@pytest.fixture
def hand(page: Page) -> Counted:
    return Counted(page)


def pad(page: Page, name: str) -> Locator:
    return page.locator(f"#pad-{name}")


def opened(hand: Counted, name: str) -> Locator:
    found = pad(hand.page, name)
    hand.press(found.locator("> summary"))
    return found


def keep(hand: Counted, found: Locator) -> None:
    hand.press(found.get_by_role("button", name=re.compile("^Keep")))


def kept(hand: Counted, words: str) -> None:
    expect(hand.page.locator(".kept-lines")).to_contain_text(re.compile(words))
    assert hand.taps <= MOST_TAPS, f"{hand.taps} taps"


def read_cone(hand: Counted, depth: str, cone: str = "") -> None:
    found = opened(hand, "fall_cone")
    hand.write(found.get_by_label("depth"), depth)
    if cone:
        hand.press(found.get_by_text(cone, exact=True))
    keep(hand, found)


def test_a_cone_reading(hand: Counted):
    read_cone(hand, "19")
    kept(hand, r"Fall cone 19 mm")


def test_a_cone_reading_with_another_cone_and_the_next_with_the_same(hand: Counted):
    """The cone is one tap more where it is another one, and none where it is the last one again."""
    read_cone(hand, "12", "brass cone")
    kept(hand, r"Fall cone 12 mm")
    first = hand.taps
    hand.taps = 0
    read_cone(hand, "13")
    kept(hand, r"Fall cone 13 mm")
    assert hand.taps == first - 1
    hand.page.reload()
    taken = pad(hand.page, "fall_cone").locator("label:has(input[name=instrument]:checked)")
    expect(taken).to_have_text(re.compile("brass cone"))


def test_how_it_ended(hand: Counted):
    found = opened(hand, "outcome")
    hand.press(found.get_by_text("good", exact=True))
    hand.press(found.get_by_text("cracked", exact=True))
    keep(hand, found)
    kept(hand, "Ended: good, cracked")


def test_layers_that_stood(hand: Counted):
    found = opened(hand, "layers_stood")
    hand.write(found.locator("input[name=in_layers_stood]"), "34")
    keep(hand, found)
    kept(hand, r"Layers stood 34")


def test_a_shrinkage_bar(hand: Counted):
    found = opened(hand, "shrinkage_bar")
    hand.write(found.locator("input[name=row1-wet_mm]"), "100")
    hand.write(found.locator("input[name=row1-dry_mm]"), "96,5")
    keep(hand, found)
    kept(hand, r"shrinkage bar 3\.5 %")
