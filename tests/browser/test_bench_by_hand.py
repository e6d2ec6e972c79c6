"""The bench page in a real browser: undo out of reach, totals with bowl, the alarm, and everything large enough."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from itertools import count
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_outbox import MEASURE, OFFLINE_NOISE, wait_until_sent, weigh
from tests.conftest import Served, watched_page

ROOT = Path(__file__).resolve().parents[2]
numbers = count(1)
OWN = """
import django
django.setup()
from datetime import UTC, datetime
from slake.actions.entry import Entry
from slake.actions.instruments import describe_instrument
for typed in (
    {"name": "blue bowl", "kind": "bowl", "tare_g": "412,5"},
    {"name": "kitchen scale", "kind": "scale", "scale_step_g": "0,1"},
    {"name": "brass cone", "kind": "cone", "cone_mass_g": "80"},
):
    describe_instrument(Entry(id="hand " + typed["name"], at=datetime.now(UTC)), typed)
"""


def run(served: Served, *command: str) -> str:
    env = {**os.environ, "SLAKE_HOME": str(served.home), "DJANGO_SETTINGS_MODULE": "slake.server.settings"}
    done = subprocess.run([sys.executable, *command], cwd=ROOT, env=env, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture
def page(browser, served_alone: Served):
    number = int(run(served_alone, "-m", "tests.pages.begun", f"h{os.getpid()}n{next(numbers)}"))
    run(served_alone, "-c", OWN)
    with watched_page(browser, base_url=served_alone.url) as page:
        page.slake_allowed += OFFLINE_NOISE
        page.goto(f"/batches/{number}/bench/")
        page.wait_for_selector(".step.shown")
        yield page


def shown(page: Page) -> str:
    return page.get_attribute(".step.shown", "data-order")


def test_undo_out_of_reach_sends_nothing_and_in_reach_strikes(page: Page):
    page.context.set_offline(True)
    weigh(page, "114,4")
    assert shown(page) == "2"
    page.click("text=Undo the last pour")
    assert shown(page) == "1" and page.evaluate("Outbox.waiting().length") == 0
    page.context.set_offline(False)
    page.wait_for_timeout(750)
    weigh(page, "114,4")
    wait_until_sent(page)
    page.click("text=Undo the last pour: water 114.4 g")
    expect(page.locator(".kept-lines")).to_contain_text("Struck: undone at the bench")
    assert shown(page) == "1" and page.locator(".undoing form[data-only-kept]").is_hidden()


def test_totals_with_bowl_add_up_out_of_reach_and_are_chosen_again(page: Page):
    page.click("text=Which bowl?")
    page.click("text=blue bowl, 412,5 g")
    expect(page.locator(".bowl-line")).to_contain_text("412.5 g empty")
    page.context.set_offline(True)
    page.click(".step.shown >> text=total with bowl")
    weigh(page, "526,9")
    assert shown(page) == "2" and page.is_checked(".step.shown input[value=total]")
    page.wait_for_timeout(750)
    weigh(page, "533,7")
    assert "121.2 g kept here" in page.inner_text(".alsokept")
    page.context.set_offline(False)
    wait_until_sent(page)
    expect(page.locator(".bowl-line")).to_contain_text("533.7 g")
    assert page.is_checked(".step.shown input[value=total]")


def test_the_alarm_of_a_step_whose_time_has_come(page: Page):
    """A colour bar while the step itself is out of sight, the title, and a sound once the page was touched."""
    made = "window.slake_tones = 0; const start = OscillatorNode.prototype.start;"
    count_tones = "OscillatorNode.prototype.start = function (at) { window.slake_tones += 1; start.call(this, at); };"
    page.evaluate(f"() => {{ {made} {count_tones} }}")
    page.fill("#clock-late", "40")
    page.click("text=Water is in")
    expect(page.locator(".timed.over")).to_contain_text("time is up since")
    assert page.title().startswith("! Knead")
    assert page.is_hidden(".alarm")
    page.locator("#pad-outcome").scroll_into_view_if_needed()
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    expect(page.locator(".alarm")).to_be_visible()
    expect(page.locator(".alarm")).to_contain_text("time is up since")
    until_rung(page)
    page.click(".alarm")
    page.click(".timed >> text=I was late")
    page.fill("#step-late", "2")
    page.click(".timed >> text=Done")
    expect(page.locator(".timed")).to_contain_text("Rest, covered; then a first cone")
    expect(page.locator(".timed .togo")).to_contain_text(re.compile(r"in 1[234] min"))
    assert not page.title().startswith("!") and page.is_hidden(".alarm")


def until_rung(page: Page) -> None:
    for _ in range(100):
        if page.evaluate("window.slake_tones") >= 3:
            return
        page.wait_for_timeout(100)
    raise AssertionError("no sound within 10 s")


@pytest.mark.parametrize(("wide", "high"), [(390, 844), (820, 1180)])
def test_everything_new_is_large_enough_for_a_knuckle_and_fits(page: Page, wide: int, high: int):
    page.set_viewport_size({"width": wide, "height": high})
    page.click("text=Which bowl?")
    page.click("text=blue bowl, 412,5 g")
    expect(page.locator(".bowl-line")).to_contain_text("412.5 g empty")
    page.fill("#clock-late", "40")
    page.click("text=Water is in")
    page.wait_for_timeout(750)
    weigh(page, page.get_attribute(".step.shown", "data-target"))
    page.click("#pad-fall_cone > summary")
    page.fill("#pad-fall_cone input[name=in_cone_depth_mm]", "12")
    page.click("#pad-fall_cone >> text=brass cone")
    assert page.evaluate(MEASURE) == []
    page.click("#pad-fall_cone button[type=submit]")
    page.wait_for_selector(".now .big")
    for words in ("All timed steps", "All amounts", "Other grams, or weigh", "More tests", "I was late"):
        page.click(f"summary >> text={words}")
    assert page.evaluate(MEASURE) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= wide


def test_the_grams_of_the_advice_are_ready_to_tap_and_follow_what_is_left(page: Page):
    page.fill("#clock-late", "60")
    page.click("text=Water is in")
    page.wait_for_timeout(750)
    page.click("#pad-fall_cone > summary")
    page.fill("#pad-fall_cone input[name=in_cone_depth_mm]", "8")
    page.click("#pad-fall_cone button[type=submit]")
    first = float(page.input_value("#knead-grams"))
    page.click("text=Fall cone took")
    expect(page.locator(".kept-lines")).to_contain_text("Out: test, Fall cone")
    second = float(page.input_value("#knead-grams"))
    assert 0 < second < first
    advised = page.inner_text(".do-now")
    held = float(re.search(r"first from the ([\d.]+) g of water held back", advised)[1])
    assert held > 0 and f"the {held:.1f} g held back first" in page.inner_text(".now form")
    page.click("text=It is kneaded in")
    lines = page.locator(".kept-lines")
    expect(lines).to_contain_text(f"water held back, kneaded in {min(held, second):.1f} g")
    other = re.findall(r"(?m)^water kneaded in ([\d.]+) g", lines.inner_text())
    assert min(held, second) + sum(map(float, other)) == pytest.approx(second, abs=0.11)
    expect(page.locator(".do-now")).to_contain_text(f"{second:.1f} g of water in at")
    expect(page.locator(".do-now")).to_contain_text("read again at")
    expect(page.locator("#knead-grams")).to_have_count(0)


IN_SIGHT = """(what) => { const box = document.querySelector(what).getBoundingClientRect();
  const bar = document.querySelector(".alarm"), over = bar.hidden ? 0 : bar.getBoundingClientRect().bottom;
  return box.top >= over && box.bottom <= window.innerHeight; }"""


def expect_in_sight(page: Page, what: str) -> None:
    """Between the alarm bar and the lower edge; scrolling may take a moment."""
    expect(page.locator(what)).to_be_visible()
    for _ in range(60):
        if page.evaluate(IN_SIGHT, what):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{what} is not in sight")


@pytest.mark.parametrize(("wide", "high"), [(390, 844), (820, 1180)])
def test_what_is_to_be_done_next_is_in_sight_under_the_alarm_bar(page: Page, wide: int, high: int):
    """After an overshoot its heading, after a choice or an undo the amount to weigh, after kneading when to read."""
    page.set_viewport_size({"width": wide, "height": high})
    page.fill("#clock-late", "40")
    page.click("text=Water is in")
    page.locator(".timed.over").wait_for()
    weigh(page, page.get_attribute(".step.shown", "data-target"))
    expect(page.locator(".step.shown")).to_have_attribute("data-order", "2")
    weigh(page, str(float(page.get_attribute(".step.shown", "data-target")) + 2))
    expect(page.locator(".alarm")).to_be_visible()
    expect_in_sight(page, "[data-live=over] h3")
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    expect(page.locator("[data-live=over]")).to_contain_text(
        re.compile(r"Fine alginate 2 → [\d.]+ % of the dry solids\. Gum")
    )
    page.click("text=Rescale the rest")
    expect(page.locator("[data-live=over] h3")).to_have_count(0)
    expect_in_sight(page, ".step.shown form")
    page.click("text=Undo the last pour")
    expect(page.locator("[data-live=lines]")).to_contain_text("Struck: undone at the bench")
    expect_in_sight(page, ".step.shown form")
    page.click("#pad-fall_cone > summary")
    page.fill("#pad-fall_cone input[name=in_cone_depth_mm]", "8")
    page.click("#pad-fall_cone button[type=submit]")
    page.click("text=It is kneaded in")
    expect(page.locator(".do-now")).to_contain_text("read again at")
    expect_in_sight(page, ".do-now")


CUT_OFF = """() => [...document.querySelectorAll(".tub")].flatMap((tub) => {
  const edge = tub.getBoundingClientRect(), code = tub.querySelector("img").getBoundingClientRect();
  return [...tub.querySelectorAll(".number, .what, .times span")].filter((line) => {
    const text = document.createRange();
    text.selectNodeContents(line);
    const box = text.getBoundingClientRect();
    return box.bottom > edge.bottom || box.right > edge.right || (box.right > code.left && box.top < code.bottom);
  }).map((line) => line.textContent);
})"""


def test_nothing_on_the_label_is_cut_off_or_under_the_code(page: Page):
    page.click("text=Water is in")
    page.wait_for_selector(".since")
    page.click("nav >> text=label")
    page.wait_for_selector(".tub.small")
    page.wait_for_load_state("load")
    small = page.locator(".tub.small").bounding_box()
    assert (small["width"], small["height"]) == pytest.approx((40 / 25.4 * 96, 24 / 25.4 * 96), abs=0.5)
    for words in ("print by", "out at the latest", "if kept cold", "Look and smell first"):
        expect(page.locator(".tub.small .times")).to_contain_text(words)
    assert page.evaluate(CUT_OFF) == []
