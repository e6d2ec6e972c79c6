"""The bench session in a real browser on a real server: out of reach, back again, and every row there once.

Under localhost's number and under a made-up name, where a page has no crypto and no service worker.
"""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from itertools import count
from pathlib import Path

import pytest

from tests.conftest import Served, watched_page

ROOT = Path(__file__).resolve().parents[2]
OFFLINE_NOISE = ["net::ERR_", "Failed to load resource", "beforeunload"]
TABLES = ("weighing", "reading", "outcome")
numbers = count(1)


@pytest.fixture
def number(served: Served) -> int:
    """A fresh batch on the served bench, begun from another process as the pages would begin it."""
    env = {**os.environ, "SLAKE_HOME": str(served.home)}
    name = f"b{os.getpid()}n{next(numbers)}"
    command = [sys.executable, "-m", "tests.pages.begun", name]
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return int(done.stdout)


@pytest.fixture(params=["url", "made_up_url"])
def page(request: pytest.FixtureRequest, browser, served: Served):
    with watched_page(browser, base_url=getattr(served, request.param)) as page:
        page.slake_allowed += OFFLINE_NOISE
        yield page


def rows(served: Served, number: int) -> dict[str, int]:
    """How many weighings, readings and outcomes this batch has, whether its clock runs, how often its room was said."""
    with closing(sqlite3.connect(served.home / "bench.sqlite3", timeout=20)) as file:
        batch, water = file.execute(
            "select id, first_water_at from records_batch where number = ?", [number]
        ).fetchone()
        found = {
            table: file.execute(f"select count(*) from records_{table} where batch_id = ?", [batch]).fetchone()[0]
            for table in TABLES
        }
        rooms = (
            "select count(*) from records_action where name = 'say room here' and json_extract(inputs, '$.batch') = ?"
        )
        found["room"] = file.execute(rooms, [batch]).fetchone()[0]
    return {**found, "clock": int(water is not None)}


FIVE = {"weighing": 1, "reading": 1, "outcome": 1, "clock": 1, "room": 1}


def open_bench(page, number: int):
    page.goto(f"/batches/{number}/bench/")
    page.wait_for_selector(".step.shown")


def weigh(page, grams: str) -> None:
    page.fill(".step.shown input[name=grams]", grams)
    page.press(".step.shown input[name=grams]", "Enter")


def enter_five(page) -> None:
    page.fill("#clock-late", "1,5")
    page.click("text=Water is in")
    page.wait_for_timeout(750)
    weigh(page, "114,4")
    page.click("#pad-fall_cone > summary")
    page.fill("#pad-fall_cone input[name=in_cone_depth_mm]", "19")
    page.click("#pad-fall_cone button[type=submit]")
    page.click("#pad-outcome > summary")
    page.check("#pad-outcome input[value=good]")
    page.check("#pad-outcome input[value=cracked]")
    page.click("#pad-outcome button[type=submit]")
    if not page.is_visible("#room-t"):
        page.click("text=It is different now")
    page.fill("#room-t", "21,5")
    page.click("text=Keep the room")


def wait_until_sent(page, what: str = "Outbox.waiting().length") -> None:
    """Until nothing waits any more. Asked from here: the page's own policy forbids what playwright would plant."""
    until = time.monotonic() + 30
    while page.evaluate(what):
        assert time.monotonic() < until, page.inner_text("#outbox")
        page.wait_for_timeout(100)


def said(page) -> str:
    page.wait_for_selector("#outbox")
    return page.inner_text("#outbox .kept")


def test_five_things_entered_out_of_reach_are_five_rows_once(page, served: Served, number: int):
    posted: list[tuple[str, str]] = []
    page.on("request", lambda r: posted.append((r.url, r.post_data)) if r.url.endswith("/entries/") else None)
    open_bench(page, number)
    page.context.set_offline(True)
    enter_five(page)
    assert said(page) == "Kept on this tablet, 5 waiting."
    assert page.inner_text(".clock .age") == "1 min"
    assert rows(served, number) == dict.fromkeys(FIVE, 0)
    page.context.set_offline(False)
    wait_until_sent(page)
    assert rows(served, number) == FIVE
    page.wait_for_selector(".now >> text=Yield stress")
    url, body = posted[-1]
    again = page.evaluate(
        """async ([url, body]) => (await fetch(url, {method: "POST", body, headers: {"Content-Type":
        "application/json", "X-CSRFToken": document.cookie.split("slake_csrf=")[1].split(";")[0]}})).json()""",
        [url, body],
    )
    assert [one["ok"] for one in again["entries"]] == [True] * len(json.loads(body)["entries"])
    assert rows(served, number) == FIVE
    assert page.is_hidden("#outbox")


@pytest.mark.parametrize("page", ["url"], indirect=True)
def test_a_connection_that_drops_before_the_answer_writes_once(page, served: Served, number: int):
    """The laptop got it and wrote it, the answer was lost: the tablet must send again and nothing doubles.

    Only by number: playwright, standing in between here, does not know the made-up name.
    """
    dropped = []

    def lose_first_answers(route):
        if len(dropped) < 2:
            dropped.append(route.fetch().status)
            route.abort("connectionreset")
        else:
            route.continue_()

    open_bench(page, number)
    page.route("**/entries/", lose_first_answers)
    enter_five(page)
    wait_until_sent(page)
    assert dropped == [200, 200]
    assert rows(served, number) == FIVE


def test_what_was_kept_outlives_the_page(page, served: Served, number: int):
    open_bench(page, number)
    page.context.set_offline(True)
    enter_five(page)
    page.goto("about:blank")
    page.context.set_offline(False)
    open_bench(page, number)
    wait_until_sent(page)
    assert rows(served, number) == FIVE


def test_two_tabs_with_one_outbox_send_each_entry_once(page, served: Served, number: int):
    open_bench(page, number)
    other = page.context.new_page()
    other.goto(page.url)
    other.wait_for_selector(".step.shown")
    page.context.set_offline(True)
    enter_five(page)
    assert said(other) == "Kept on this tablet, 5 waiting."
    page.context.set_offline(False)
    wait_until_sent(page)
    wait_until_sent(other)
    assert rows(served, number) == FIVE


def test_a_refused_entry_comes_back_for_mending(page, served: Served, number: int):
    open_bench(page, number)
    weigh(page, "-5")
    page.wait_for_selector("#outbox .mend")
    assert "is -5, but must be from 0" in page.inner_text("#outbox .mend")
    assert rows(served, number)["weighing"] == 0
    page.fill("#outbox .refused input", "5")
    page.click("text=Send again")
    wait_until_sent(page, "Outbox.refused().length + Outbox.waiting().length")
    assert rows(served, number)["weighing"] == 1
    weigh(page, "nan")
    page.wait_for_selector("#outbox .mend")
    page.click("text=Drop it")
    page.wait_for_selector("#outbox", state="hidden")
    page.reload()
    assert page.is_hidden("#outbox")
    assert rows(served, number)["weighing"] == 1


def test_one_message_the_laptop_cannot_read_does_not_block_the_rest(page, served: Served, number: int):
    """Text beyond any limit, made by hand: the good entries behind it still arrive."""
    open_bench(page, number)
    page.context.set_offline(True)
    page.evaluate(
        """Outbox.add({url: document.getElementById("bench").dataset.entries, batch: "1", kind: "outcome",
        words: "long", typed: {words: "x".repeat(5000)}, rows: [], labels: {words: "words"}})"""
    )
    weigh(page, "114,4")
    page.context.set_offline(False)
    page.wait_for_selector("#outbox .mend")
    wait_until_sent(page)
    assert "at most 2000 characters" in page.inner_text("#outbox .mend")
    assert rows(served, number) == {**dict.fromkeys(FIVE, 0), "weighing": 1}


def test_a_tablet_the_laptop_no_longer_knows_keeps_its_entries(page, served: Served, number: int):
    open_bench(page, number)
    page.context.clear_cookies()
    weigh(page, "114,4")
    assert "does not know this tablet" in said(page)
    assert rows(served, number)["weighing"] == 0
    page.reload()
    wait_until_sent(page)
    assert rows(served, number)["weighing"] == 1


def test_without_storage_entries_are_kept_while_the_page_is_open(page, served: Served, number: int):
    page.add_init_script("Storage.prototype.setItem = () => { throw new Error('no room'); };")
    open_bench(page, number)
    page.context.set_offline(True)
    weigh(page, "114,4")
    assert said(page) == "Kept only while this page stays open, 1 waiting."
    page.context.set_offline(False)
    wait_until_sent(page)
    assert rows(served, number)["weighing"] == 1


def test_the_card_goes_on_out_of_reach_and_says_when_it_is_too_much(page, number: int):
    open_bench(page, number)
    page.context.set_offline(True)
    first = page.get_attribute(".step.shown", "data-order")
    weigh(page, page.get_attribute(".step.shown", "data-target"))
    assert page.get_attribute(".step.shown", "data-order") != first
    page.wait_for_timeout(750)
    weigh(page, str(float(page.get_attribute(".step.shown", "data-target")) + 3))
    assert "3.0 g too much: stop here" in page.inner_text(".step.shown .poured")


def test_an_overshoot_is_rescaled_by_keyboard(page, served: Served, number: int):
    """Of an amount that stands once on the card: what is too much of a portion is only taken off the next one."""
    open_bench(page, number)
    guar = page.locator("li.step", has=page.locator("h3", has_text="pale guar"))
    order = guar.get_attribute("data-order")
    first, target = (float(one.get_attribute("data-target")) for one in (page.locator("li.step").first, guar))
    page.click(f".track a[data-step='{order}']")
    page.focus(".step.shown input[name=grams]")
    page.keyboard.type(f"{target + 3:.1f}".replace(".", ","))
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Rescale the rest")
    page.focus("text=Rescale the rest")
    page.keyboard.press("Enter")
    page.wait_for_selector(".over", state="detached")
    assert page.get_attribute(".step.shown", "data-order") == "1"
    grown = float(guar.get_attribute("data-target"))
    assert grown == pytest.approx(target + 3, abs=0.06)
    assert float(page.get_attribute("li.step >> nth=0", "data-target")) == pytest.approx(
        first * grown / target, rel=0.01
    )


def test_without_a_script_the_same_forms_post(browser, served: Served, number: int):
    with watched_page(browser, base_url=served.url, java_script_enabled=False) as page:
        page.goto(f"/batches/{number}/bench/")
        page.fill("#grams-1", "114,4")
        page.press("#grams-1", "Enter")
        page.wait_for_selector("text=114.4 g, ")
        page.click("text=Water is in")
        page.wait_for_selector("text=since water went in")
    assert rows(served, number) == {**dict.fromkeys(FIVE, 0), "weighing": 1, "clock": 1}


MEASURE = """() => [...document.querySelectorAll("main button, main a, main summary, main input, main .choice, nav a")]
  .filter((e) => e.checkVisibility() && !["hidden", "checkbox", "radio"].includes(e.type))
  .map((e) => [e.textContent.trim() || e.name, Math.round(e.getBoundingClientRect().height)])
  .filter(([, height]) => height < 64)"""


@pytest.mark.parametrize(("wide", "high"), [(390, 844), (820, 1180)])
def test_everything_is_large_enough_for_a_knuckle_and_fits(browser, served: Served, number: int, wide: int, high: int):
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": wide, "height": high})
        open_bench(page, number)
        weigh(page, "114,4")
        page.wait_for_selector(".kept-lines summary")
        for test in ("fall_cone", "outcome", "shrinkage_bar"):
            page.click(f"#pad-{test} > summary")
            assert page.evaluate(MEASURE) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= wide


def test_what_comes_back_keeps_its_kind_and_copies_of_it_are_one(page, served: Served, number: int):
    """A cone angle once came back as free text, and three tries piled up over half the bench."""
    open_bench(page, number)
    for _ in range(3):
        page.click("#pad-fall_cone > summary")
        page.fill("#pad-fall_cone input[name=in_cone_depth_mm]", "-5")
        page.check("#pad-fall_cone input[name=in_cone_angle][value='60']", force=True)
        page.click("#pad-fall_cone button[type=submit]")
        page.wait_for_selector("#outbox .mend")
        page.wait_for_timeout(750)
    wait_until_sent(page)
    assert page.locator("#outbox .refused > details").count() == 1
    assert page.is_checked("#outbox .refused input[type=radio][value='60']")
    assert page.evaluate("document.getElementById('outbox').offsetHeight <= 0.35 * window.innerHeight")
    page.check("#outbox .refused input[type=radio][value='30']")
    page.fill("#outbox .refused input[inputmode=decimal] >> nth=0", "15")
    page.click("text=Send again")
    wait_until_sent(page, "Outbox.refused().length + Outbox.waiting().length")
    assert rows(served, number)["reading"] == 1
