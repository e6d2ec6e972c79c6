"""The pages in a real browser, at both sizes: pictures into shots/, nothing wider than the screen, targets for thumbs,
and the whole first path by keyboard alone.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import Served, watched_page

SHOTS = Path(__file__).resolve().parents[2] / "shots" / "pages"
SIZES = {"phone": (390, 844), "tablet": (820, 1180)}
pytestmark = pytest.mark.browser

TOO_SMALL = """least => [...document.querySelectorAll(
  "a, button, input:not([type=hidden]), select, summary, textarea")].filter(one => {
    const label = one.closest("label");
    const box = (label || one).getBoundingClientRect();
    const hidden = box.width === 0 || one.classList.contains("skip") || !one.checkVisibility();
    const inText = getComputedStyle(one).display === "inline";
    return !hidden && !inText && box.height < least - 0.5;
  }).map(one => one.outerHTML.slice(0, 120))"""


OF_THE_SAMPLE = ["", "start/taken/", "start/", "lots/", "lots/1/", "lots/1/edit/", "lots/1/heat/", "lots/1/stock/"]
OF_THE_SAMPLE += ["machine/", "brief/", "room/", "people/", "batches/", "batches/1/", "batches/12/", "recipes/3/"]
OF_THE_SAMPLE += ["details/recipe/3/", "read/fall_cone/batch/12/", "read/oven_moisture/lot/1/", "readings/1/"]
OF_THE_SAMPLE += ["readings/12/", "strike/reading/1/", "tests/", "tests/fall_cone/", "sources/", "log/"]
OF_THE_SAMPLE += ["past/", "past/1/", "jobs/1/", "check/?batch=12"]
OF_THE_SAMPLE += ["buckets/", "buckets/new/", "buckets/1/", "buckets/2/", "buckets/2/weigh/", "buckets/2/lot/"]
OF_THE_SAMPLE += ["blend/?of=1", "lots/6/ledger/", "recipes/3/bridge/?old=shell%20A", "recipes/3/packs/?start=14:00"]
OF_THE_SAMPLE += ["batches/13/levers/?wall_mm=6", "swap/", "recipes/8/swap/?out=7&into=9"]
OF_THE_SAMPLE += ["recipes/8/swap/?out=5&into=10"]
OF_THE_SAMPLE += ["recipes/3/cartridges/?parts_ml=1240&bead_mm=2,4&layer_mm=1,2&speed=20"]


@pytest.mark.parametrize("size", sorted(SIZES))
def test_every_page_fits_the_screen_and_the_thumb(browser, served: Served, size: str):
    width, height = SIZES[size]
    SHOTS.mkdir(parents=True, exist_ok=True)
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": width, "height": height})
        for address in ["/", *(f"/sample/{part}" for part in OF_THE_SAMPLE)]:
            assert page.goto(address).status == 200, address
            page.screenshot(path=SHOTS / f"{size}{address.replace('/', '_')}.png", full_page=True)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, address
            assert page.evaluate(TOO_SMALL, 44) == [], address
            if page.locator("body.bench").count():
                assert page.evaluate(TOO_SMALL.replace('"a, button', '"main button, main .button, main'), 64) == []


def test_a_refused_form_shows_the_sentence_where_one_looks(browser, served: Served):
    with watched_page(browser, base_url=served.url) as page:
        page.slake_allowed.append("422")
        page.goto("/sample/read/fall_cone/batch/12/")
        page.get_by_label("Depth the cone sank").fill("nan")
        page.get_by_role("button", name="Keep this reading").tap()
        assert page.get_by_role("alert").evaluate("one => one === document.activeElement")
        assert page.get_by_label("Depth the cone sank").get_attribute("aria-invalid") == "true"
        assert page.get_by_label("Depth the cone sank").input_value() == "nan"
        page.screenshot(path=SHOTS / "tablet_refused.png", full_page=True)


def test_waste_machine_and_brief_by_keyboard_alone(browser, served_alone: Served):
    """Tab and Enter only; focus is seen on every stop."""
    with watched_page(browser, base_url=served_alone.url) as page:
        page.goto("/")
        press_until(page, "Start my bench")
        page.keyboard.press("Enter")
        page.wait_for_url("**/start/")
        for number, word in enumerate(("mussel shell", "guar", "alginate"), 1):
            press_until(page, f"id_row{number}-ingredient")
            page.keyboard.type(word)
        press_until(page, "Keep these lots")
        page.keyboard.press("Enter")
        page.wait_for_url("**/start/taken/")
        press_until(page, "Next: my machine")
        page.keyboard.press("Enter")
        page.wait_for_url("**/machine/")
        for name, typed in (("id_nozzle_mm", "2"), ("id_barrel_mm", "60"), ("id_pushed_cone_mm", "9,5")):
            press_until(page, name)
            page.keyboard.type(typed)
        press_until(page, "Keep this machine")
        page.keyboard.press("Enter")
        page.wait_for_url("**/brief/")
        press_until(page, "Keep this brief")
        page.keyboard.press("Enter")
        page.wait_for_url("**/notebook/")


def press_until(page, wanted: str) -> None:
    """Tab until the thing of that id or words has the focus, which must be outlined."""
    for _ in range(120):
        page.keyboard.press("Tab")
        here = page.evaluate(
            "() => { const one = document.activeElement; const style = getComputedStyle(one);"
            " return [one.id, one.innerText || '', style.outlineStyle, parseFloat(style.outlineWidth)] }"
        )
        if wanted == here[0] or wanted in here[1].split("\n")[0]:
            assert here[2] != "none" and here[3] >= 3, f"the focus on {wanted} is not seen"
            return
    raise AssertionError(f"{wanted} is not reached by the keyboard")
