"""The first fifteen minutes, exactly as the README tells them, from an empty bench: by tap and by keyboard."""

from __future__ import annotations

import re
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.hands import Hands, Keys, Taps
from tests.conftest import watched_page

SHOTS = Path(__file__).parents[2] / "shots"
FIVE = """shell 300, guar 2, alginate 4, water 190 - too runny
shell 300, guar 4, alginate 6, water 110 - stalled
shell 300, guar 3, alginate 4, water 150 - fell at layer 9; cone 21 mm at 60 min
shell 300, guar 3, alginate 5, water 135 - good but cracked
shell 300, guar 3, alginate 5, water 142 - good; cone 17,5 mm at 60 min
"""


def test_by_tap(browser, served_alone):
    with watched_page(browser, base_url=served_alone.url) as page:
        walk(Taps(page), "tap")


def test_by_keyboard(browser, served_alone):
    with watched_page(browser, base_url=served_alone.url) as page:
        walk(Keys(page), "keys")


def walk(hands: Hands, name: str) -> None:
    looks = Looks(hands.page, name)
    set_up(hands, looks)
    notebook_to_next(hands, looks)
    at_the_bench(hands, looks)
    on_paper(hands, looks)


class Looks:
    """Numbered screenshots, left in shots/ to be looked at."""

    def __init__(self, page: Page, name: str) -> None:
        self.page, self.name, self.count = page, name, 0

    def shot(self, what: str) -> None:
        self.count += 1
        SHOTS.mkdir(exist_ok=True)
        self.page.screenshot(path=SHOTS / f"{self.name}_{self.count:02d}_{what}.png", full_page=True)


def set_up(hands: Hands, looks: Looks) -> None:
    page = hands.page
    page.goto("/")
    expect(page.get_by_role("link", name="sample workshop").first).to_be_visible()
    looks.shot("doors")
    hands.press(page.get_by_role("link", name="Start my bench"))
    for number, what in enumerate(("mussel shell", "guar", "alginate"), 1):
        row = page.get_by_role("group", name=f"Lot {number}")
        hands.write(row.get_by_label("What is it"), what)
        hands.press(row.get_by_label("yes"))
        hands.write(row.get_by_label("Sieved at"), "125")
    looks.shot("my_waste")
    hands.press(page.get_by_role("button", name="Keep these lots"))
    main = page.locator("main")
    expect(main).to_contain_text("common practice, no source")
    expect(main).to_contain_text("One weighing before and after the oven would leave")
    expect(main).to_contain_text("Treat as raw")
    expect(main).to_contain_text("molluscs")
    looks.shot("what_is_known")
    hands.press(page.get_by_role("link", name="Next: my machine"))
    hands.write(page.get_by_label("Nozzle bore"), "2")
    hands.write(page.get_by_label("Barrel bore"), "60")
    looks.shot("machine")
    hands.press(page.get_by_role("button", name="Keep this machine"))
    expect(page.locator("main")).to_contain_text("Usual: 11 to 17 mm (common practice, no source)")
    looks.shot("brief")
    hands.press(page.get_by_role("button", name="Keep this brief"))


def notebook_to_next(hands: Hands, looks: Looks) -> None:
    page = hands.page
    hands.write(page.get_by_label("Lines", exact=True), FIVE)
    hands.press(page.get_by_role("button", name="Look at these lines"))
    expect(page.locator("main")).to_contain_text("5 batches read; nothing stands against keeping them.")
    looks.shot("read_back")
    hands.press(page.get_by_role("button", name="Take all 5 in"))
    expect(page).to_have_url(re.compile("/map/"))
    drawing = page.locator("main img").first
    expect(drawing).to_be_visible()
    page.wait_for_function("image => image.complete && image.naturalWidth > 100", arg=drawing.element_handle())
    for words in ("too runny", "stalled", "fell at layer 9", "good but cracked", "broke", "held", "not read"):
        expect(page.locator("main")).to_contain_text(words)
    looks.shot("map")
    hands.press(page.get_by_role("navigation", name="The bench").get_by_role("link", name="next batch"))
    main = page.locator("main")
    expect(main).to_contain_text("Batch 6")
    expect(main).to_contain_text("Chance that all lines hold:", timeout=30_000)
    said = main.inner_text()
    assert re.search(r"Chance that all lines hold: \d+ % \(80 %: \d+ to \d+ %\)", said)
    assert re.search(r"(Least known|No single weighing)", said)
    assert "Grams as received, in the order to add them." in said and "water held back" in said
    assert re.search(r"At 60 min after first water the cone should read \d", said)
    assert "Wear a dust mask" in said and "molluscs" in said.lower()
    looks.shot("next")
    hands.write(page.get_by_label("dry solids"), "600")
    hands.press(page.get_by_role("button", name="Mix this"))
    expect(page).to_have_url(re.compile("/batches/6/bench/"))


def at_the_bench(hands: Hands, looks: Looks) -> None:
    page, main = hands.page, hands.page.locator("main")
    hands.write(page.locator(".room").get_by_label("Temperature"), "19")
    hands.write(page.locator(".room").get_by_label("Humidity"), "55")
    hands.press(page.get_by_role("button", name="Keep the room"))
    expect(main).to_contain_text("Room: 19 C, 55 % humidity.")
    hands.write(page.get_by_label("I was late by"), "60")
    hands.press(page.get_by_role("button", name="Water is in"))
    expect(main).to_contain_text(re.compile(r"(1 h 0 min|60 min) since water went in"))
    looks.shot("clock_runs")
    for what, over in (("water", 0.0), ("sodium alginate", 0.0), ("guar gum", 3.0)):
        weigh(hands, what, over)
    expect(main).to_contain_text("guar gum: 3.0 g too much")
    expect(main).to_contain_text(re.compile(r"Gum [\d.]+ → [\d.]+ g per 100 g water"))
    looks.shot("overshoot")
    hands.press(page.get_by_role("button", name=re.compile("Rescale the rest")))
    expect(main).not_to_contain_text("too much")
    looks.shot("rescaled")
    for what in ("water", "sodium alginate", "mussel shell"):
        weigh(hands, what, 0.0)
    hands.press(page.locator("summary", has_text="Fall cone"))
    hands.write(page.locator("#pad-fall_cone").get_by_label("depth"), "19")
    hands.press(page.locator("#pad-fall_cone").get_by_role("button", name="Keep this reading"))
    expect(main).to_contain_text(re.compile(r"yield stress \d+ Pa \(80 %: \d+ to \d+\)", re.IGNORECASE))
    expect(main).to_contain_text("The brief asks 11 to 17 mm: outside")
    expect(main).to_contain_text(re.compile(r"knead in [\d.]+ g of mussel shell .* to the \d+ g left in the bowl"))
    looks.shot("cone")


def weigh(hands: Hands, what: str, over: float) -> None:
    """Goes to each amount called `what` on the card and puts in what it still asks for, the last with `over` more."""
    page, step = hands.page, hands.page.locator("li.step.shown")
    links = page.locator(".track").get_by_role("link", name=re.compile(rf"step \d, {what}:"))
    to_do = links.and_(page.locator(".todo, .part"))
    expect(to_do).not_to_have_count(0)
    while many := to_do.count():
        hands.press(to_do.first)
        expect(step.get_by_role("heading", name=re.compile(rf": {what}$"))).to_be_visible()
        order = step.get_attribute("data-order")
        asked = float(step.locator(".target").inner_text().split()[0])
        hands.write(step.get_by_role("textbox"), f"{asked + (over if many == 1 else 0):.1f}".replace(".", ","))
        hands.press(step.get_by_role("button", name="It is in"))
        expect(page.locator(f".track a[data-step='{order}']")).to_have_class(re.compile("done|over"))


def on_paper(hands: Hands, looks: Looks) -> None:
    page = hands.page
    hands.press(page.get_by_role("link", name="sheet"))
    expect(page.locator("main")).to_contain_text("mussel shell")
    looks.shot("sheet")
    hands.press(page.get_by_role("link", name="Back to the bench"))
    hands.press(page.get_by_role("link", name="label"))
    label = page.locator("main")
    expect(label).to_contain_text(re.compile("mixed", re.IGNORECASE))
    expect(label).to_contain_text("print by")
    expect(label).to_contain_text("out at the latest")
    looks.shot("label")
