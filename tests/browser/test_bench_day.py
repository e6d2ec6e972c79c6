"""A whole bench day of seven hours, station by station, on a tablet: every entry by tap, nothing kept on paper.

The clock of the machine is left alone: what happened earlier in the day says so in "I was late" and "minutes ago".
"""

from __future__ import annotations

import re
import sqlite3
import time
from collections import Counter
from contextlib import closing

from playwright.sync_api import Locator, Page, expect

from tests.browser.hands import Taps
from tests.browser.test_fifteen_minutes import FIVE, Looks
from tests.browser.test_outbox import wait_until_sent
from tests.conftest import Served, watched_page

WITHIN_S = 90
MOST_POURS = 8
KEPT = "[data-live=lines]"
LOTS = ("mussel shell", "guar", "alginate")
LAST_WEEK, YESTERDAY, TODAY = 5, 6, 7
DAY_MIN, WATER_MIN = 1500, 95
ALL_OF_THE_DAY = {
    **dict.fromkeys(("take lots", "describe machine", "set brief", "take in notebook", "repeat recipe"), 1),
    "describe instrument": 3,
    "check instrument": 1,
    "say room": 1,
    "begin batch": 1,
    "pick bowl": 1,
    "weigh": 7,
    "strike": 1,
    "rescale rest": 1,
    "say step": 2,
    "start clock": 2,
    "log reading": 12,
    "take paste": 2,
    "knead in held back": 1,
    "keep verdict": 1,
    "say outcome": 1,
    "note detail": 1,
}
"""By the log; one clock is yesterday's.

Seven pours: water twice and once more after the rescale, each gum once, shell in its two portions.
"""
DRAWN = """() => Promise.all([...document.images].map((one) => one.decode())).then(() => true, () => false)"""


class Day:
    """One hand, one page, and what was seen of it."""

    def __init__(self, page: Page) -> None:
        self.page, self.main = page, page.locator("main")
        self.hand, self.looks = Taps(page), Looks(page, "day")

    def tap(self, words: str | re.Pattern[str], inside: Locator | None = None) -> None:
        """Taps the button, link, folded heading or choice that says so."""
        where = inside or self.page
        found = where.get_by_role("button", name=words).or_(where.get_by_role("link", name=words))
        self.hand.press(found.or_(where.locator("summary", has_text=words)).or_(where.get_by_label(words)).first)

    def write(self, label: str | re.Pattern[str], text: str, inside: Locator | None = None) -> None:
        self.hand.write((inside or self.page).get_by_label(label).first, text)

    def sees(self, *words: str) -> None:
        for one in words:
            expect(self.main).to_contain_text(re.compile(one, re.IGNORECASE))

    def shot(self, what: str) -> None:
        """Once every drawing in sight is there."""
        assert self.page.evaluate(DRAWN), f"a drawing is missing: {what}"
        self.looks.shot(what)


def test_a_bench_day(browser, served_alone: Served):
    with watched_page(browser, base_url=served_alone.url) as page:
        day = Day(page)
        before_today(day)
        began = time.monotonic()
        at_08_30(day)
        at_08_45(day)
        at_09_30(day)
        at_10_30(day)
        at_11_00(day)
        at_11_15(day)
        at_11_45(day)
        at_14_15(day)
        at_15_00(day)
        at_15_30(day)
        assert time.monotonic() - began < WITHIN_S
        page.goto(f"/batches/{TODAY}/bench/")
        wait_until_sent(page, "Outbox.refused().length + Outbox.waiting().length")
    assert done_once(served_alone) == ALL_OF_THE_DAY


def done_once(bench: Served) -> dict[str, int]:
    """How often each thing was done today, by the log, and that the log holds no entry twice."""
    with closing(sqlite3.connect(bench.home / "bench.sqlite3", timeout=20)) as file:
        rows = file.execute("select name, entry from records_action order by id").fetchall()
    assert len({entry for _, entry in rows}) == len(rows)
    return dict(Counter(name for name, _ in rows))


def before_today(day: Day) -> None:
    """Waste, machine, brief and the batches of earlier days: said once, not part of the day."""
    page = day.page
    page.goto("/start/")
    for number, what in enumerate(LOTS, 1):
        row = page.get_by_role("group", name=f"Lot {number}")
        day.write("What is it", what, row)
        day.hand.press(row.get_by_label("yes"))
    day.tap("Keep these lots")
    day.tap("Next: my machine")
    day.write("Nozzle bore", "2")
    day.write("Barrel bore", "60")
    day.tap("Keep this machine")
    day.tap("Keep this brief")
    page.get_by_label("Lines", exact=True).fill(FIVE)
    day.tap("Look at these lines")
    day.tap("Take all 5 in")
    expect(page).to_have_url(re.compile("/map/"))
    day.tap("batches")
    open_batch(day, LAST_WEEK)
    day.hand.press(day.main.locator("a[href*='/recipes/']").first)
    day.tap("Begin a batch of it")
    expect(page).to_have_url(re.compile(f"/batches/{YESTERDAY}/"))
    page.goto(f"/batches/{YESTERDAY}/bench/")
    water_is_in(day, DAY_MIN)


def water_is_in(day: Day, minutes_ago: int) -> None:
    day.write("I was late by", str(minutes_ago))
    day.tap("Water is in")
    day.sees("since water went in")


def new_instrument(day: Day, kind: str, name: str, label: str, text: str) -> None:
    day.tap("instruments")
    day.tap(re.compile(f"^{kind}$"))
    day.write("Name", name)
    day.write(re.compile(label, re.IGNORECASE), text)
    day.tap("Keep it")
    day.sees(name)


def at_08_30(day: Day) -> None:
    """Coin check of the scale, the room, and yesterday's tub."""
    day.page.goto("/")
    day.sees(f"Say how batch {YESTERDAY} ended", "discard it: past since", f"Line-shrinkage bar of batch {YESTERDAY}")
    day.shot("0830_due")
    new_instrument(day, "bowl", "blue bowl", "empty mass", "412,5")
    new_instrument(day, "cone", "brass cone", "mass", "30")
    new_instrument(day, "scale", "kitchen scale", "smallest step", "0,1")
    day.tap("instruments")
    day.sees("What readings are taken with")
    day.shot("0830_instruments")
    day.tap("kitchen scale")
    day.tap("Check it")
    day.write(re.compile("should|known", re.IGNORECASE), "8,5")
    day.write(re.compile("show[sn]", re.IGNORECASE), "8,4")
    day.tap("Keep this check")
    day.sees("The last one")
    day.shot("0830_coin")
    day.tap("room and water")
    day.write("Temperature", "19")
    day.write("Humidity", "55")
    day.tap("Keep this")
    day.sees("19 C, 55 % humidity")
    day.shot("0830_room")
    day.tap("batches")
    open_batch(day, YESTERDAY)
    day.sees("discard by .* if kept cold and covered")
    day.shot("0830_yesterdays_tub")
    of_batch(day, YESTERDAY, "Mould watch")
    day.sees("Do not open a mouldy tub")
    day.shot("0830_mould_pad")
    for row, (at, grade) in enumerate((("0", "0"), ("1", "0")), 1):
        look = day.page.get_by_role("group", name=str(row), exact=True)
        day.write("day of the look", at, look)
        day.write("mould seen", grade, look)
    day.tap("Keep this reading")
    day.sees("still clean")
    day.shot("0830_mould_said")


def of_batch(day: Day, number: int, test: str) -> None:
    day.tap("batches")
    open_batch(day, number)
    link = day.page.locator("a.button.second", has_text=re.compile(f"^{test}$"))
    fold = day.main.locator("details", has=link)
    if fold.count():
        day.hand.press(fold.locator("summary").first)
    day.hand.press(link)


def open_batch(day: Day, number: int) -> None:
    day.hand.press(day.main.get_by_role("link", name=re.compile(rf"^(Batch )?{number}$")).first)
    expect(day.page.get_by_role("heading", name=f"Batch {number}", exact=True)).to_be_visible()


def at_08_45(day: Day) -> None:
    """The batch from its proposal: warnings first, then one ingredient at a time."""
    page = day.page
    day.tap("next batch")
    expect(day.main).to_contain_text("Chance that all lines hold:", timeout=45_000)
    day.write("dry solids", "300")
    day.shot("0845_proposal")
    day.tap("Mix this")
    expect(page).to_have_url(re.compile(f"/batches/{TODAY}/bench/"))
    expect(page.locator(".step.shown")).to_be_visible()
    day.sees("Room: 19 C, 55 % humidity", "Before you weigh|to know of this mix")
    day.shot("0845_before_the_first_pour")
    day.tap("Which bowl?")
    day.tap(re.compile("^blue bowl"))
    day.sees("blue bowl, 412.5 g empty")
    pour_and_undo(day)
    overshoot_and_rescue(day)
    tick(day, "Premix the gum", "")
    water_is_in(day, WATER_MIN)
    tick(day, "Knead", str(WATER_MIN - 20))
    day.shot("0845_all_in")


def tick(day: Day, words: str, minutes_ago: str) -> None:
    """Ticks the timed step that says `words`, as done so many minutes ago."""
    step = day.page.locator(".timed")
    expect(step.locator(".coming")).to_contain_text(words)
    if minutes_ago:
        day.tap("I was late", step)
        day.hand.write(step.locator("#step-late"), minutes_ago)
    day.tap("Done", step)
    expect(step.locator(".coming")).not_to_contain_text(words)


def pour_and_undo(day: Day) -> None:
    page = day.page
    weigh(day, 0.0)
    day.tap(re.compile("^Undo the last pour: water"))
    expect(page.locator(KEPT)).to_contain_text("Struck: undone at the bench")
    expect(page.locator(".step.shown")).to_have_attribute("data-order", "1")
    day.shot("0845_undone")
    weigh(day, 0.0)


def overshoot_and_rescue(day: Day) -> None:
    """The second amount goes in with 3 g too much; the rest is rescaled, and each then asks for what it still wants."""
    page = day.page
    weigh(day, 3.0)
    day.sees("3.0 g too much")
    day.shot("0845_overshoot")
    day.tap(re.compile("^Rescale the rest"))
    expect(page.locator(".over h3")).to_have_count(0)
    folded = page.locator("details.weighed")
    for _ in range(MOST_POURS):
        if folded.count():
            break
        expect(page.locator(".step.shown")).to_have_class(re.compile("todo|part"))
        weigh(day, 0.0)
    day.tap(re.compile(r"^All weighed: [\d.]+ g in the bowl, [\d.]+ g of water held back beside it"))
    expect(page.locator(".step.shown h3")).to_contain_text("held back")
    expect(page.locator(".step.shown .warn")).to_contain_text("beside the bowl until the first cone")


def weigh(day: Day, over: float) -> None:
    """Puts in what the card shows and asks for, or `over` grams more, and waits until it counts."""
    page = day.page
    shown = page.locator(".step.shown")
    asked = float(shown.locator(".target").inner_text().split()[0])
    order = shown.get_attribute("data-order")
    lines = page.locator(".kept-lines li").count()
    day.hand.write(shown.get_by_role("textbox"), f"{asked + over:.1f}".replace(".", ","))
    day.tap("It is in", shown)
    expect(page.locator(".kept-lines li")).to_have_count(lines + 1)
    expect(page.locator(f".track a[data-step='{order}']")).to_have_attribute("class", re.compile("done|over"))


def cone(day: Day, depth: str, minutes_ago: str) -> None:
    pad = day.page.locator("#pad-fall_cone")
    day.hand.press(pad.locator("> summary"))
    day.write("depth", depth, pad)
    day.hand.press(pad.get_by_text("brass cone", exact=True))
    day.write("minutes ago", minutes_ago, pad)
    day.tap("Keep this reading", pad)
    day.sees(f"Fall cone: {depth.replace(',', '.')} mm")


def at_09_30(day: Day) -> None:
    """The clock runs since the water met the powder; a first cone while the rest runs."""
    cone(day, "8,5", "70")
    day.sees("yield stress", "brass cone")
    day.shot("0930_cone")


def at_10_30(day: Day) -> None:
    """At 60 min too stiff: what the test took is taken off, and the grams are for what is left in the bowl."""
    page = day.page
    cone(day, "8", "35")
    day.sees("The brief asks 11 to 17 mm: outside")
    grams = page.locator("#knead-grams")
    before = float(grams.input_value())
    day.tap(re.compile("^Fall cone took"))
    expect(page.locator(KEPT)).to_contain_text("Out: test, Fall cone")
    expect(grams).not_to_have_value(f"{before:.1f}")
    assert float(grams.input_value()) < before
    day.sees("g left in the bowl")
    day.shot("1030_too_stiff")
    day.tap("It is kneaded in")
    expect(page.locator(KEPT)).to_contain_text("water held back, kneaded in")


def at_11_00(day: Day) -> None:
    """Inside the window; on the page of the batch all its readings are put together."""
    cone(day, "13", "")
    day.sees("The brief asks 11 to 17 mm: (inside|.*one reading cannot tell)")
    cone(day, "12,5", "")
    day.shot("1100_inside")
    day.tap(f"batch {TODAY}")
    day.sees("All readings together")
    day.shot("1100_together")


def at_11_15(day: Day) -> None:
    """The verdict before loading, a cartridge out of the bowl, the ram read, a label on the tub."""
    page = day.page
    day.tap("Will it run and stand?")
    day.write("Height of the wall", "60")
    day.tap("Work it out")
    day.sees(
        "All lines at once hold about", "The smallest changes that would make it pass", "Every line, the limiting one"
    )
    expect(page.locator("ul.mends li").first).to_be_visible()
    day.shot("1115_verdict")
    day.tap("Keep this verdict as given")
    day.sees("As it was given")
    day.tap(f"Batch {TODAY}")
    day.tap("At the bench")
    day.tap("Other grams, or weigh the bowl")
    day.write("Paste out of the bowl", "150")
    day.hand.press(page.locator(".took").get_by_text("cartridge", exact=True))
    day.tap("It is out")
    expect(page.locator(KEPT)).to_contain_text("Out: cartridge")
    pad = more(day, "ram_push")
    day.write("force on the ram", "420", pad)
    day.tap("Keep this reading", pad)
    day.sees("Ram push: 420 N")
    day.shot("1115_ram")
    day.tap("label")
    day.sees("mixed", "out at the latest", "Mould is usual from")
    day.shot("1115_label")
    day.tap("Back to the bench")


def more(day: Day, test: str) -> Locator:
    """The pad of a test that lies under “more”, opened."""
    pad = day.page.locator(f"#pad-{test}")
    expect(day.page.locator(".pads")).to_be_visible()
    if not pad.is_visible():
        day.tap("More tests")
    day.hand.press(pad.locator("> summary"))
    return pad


def at_11_45(day: Day) -> None:
    """The wall folded: how many layers stood, and how it ended."""
    page = day.page
    pad = page.locator("#pad-layers_stood")
    day.hand.press(pad.locator("> summary"))
    day.write("layers that stood", "34", pad)
    day.hand.press(pad.get_by_text("folded sideways", exact=True))
    day.tap("Keep this reading", pad)
    day.sees("Layers stood: 34 layers")
    pad = page.locator("#pad-outcome")
    day.hand.press(pad.locator("> summary"))
    day.hand.press(pad.get_by_text("folded", exact=True))
    day.tap("Keep how it ended", pad)
    day.sees("Ended: folded")
    day.shot("1145_layers")


def at_14_15(day: Day) -> None:
    """The density of what is left; its bars are measured when they are dry."""
    pad = more(day, "paste_density")
    day.write("empty syringe or cup", "11,2", pad)
    day.write("filled and wiped", "26,4", pad)
    day.write("volume filled", "10", pad)
    day.tap("Keep this reading", pad)
    day.sees("Paste density: 1.52 g/mL")
    day.shot("1415_density")


def at_15_00(day: Day) -> None:
    """What dries from earlier days: a curve and the marks of a bar; last week's bars broken, the worst crack."""
    day.tap(f"batch {TODAY}")
    of_batch(day, YESTERDAY, "Line-shrinkage bar")
    rows(day, ("between the marks, wet", "between the marks, dry"), (("100", "96,5"), ("100", "96,2")))
    day.sees("Line-shrinkage bar: 3.65 %", "The brief asks for at most")
    day.shot("1500_shrinkage")
    of_batch(day, YESTERDAY, "Drying curve")
    rows(day, ("hours", "mass"), (("0", "182,4"), ("20", "141,0"), ("24", "139,2")))
    day.shot("1500_drying")
    of_batch(day, LAST_WEEK, "Three-point bend")
    bars = ((load, "60", "10", "6") for load in ("19", "22,5", "20"))
    rows(day, ("load", "distance", "width", "thickness"), bars)
    day.sees("MPa")
    day.shot("1500_bend")
    of_batch(day, LAST_WEEK, "Crack grade")
    day.hand.press(day.main.get_by_text("2 visible, 0.1 to 0.5 mm wide"))
    day.tap("Keep this reading")
    day.sees("Crack grade: 2")
    day.shot("1500_crack")


def rows(day: Day, labels: tuple[str, ...], values) -> None:
    for number, row in enumerate(values, 1):
        group = day.page.get_by_role("group", name=str(number), exact=True)
        for label, text in zip(labels, row, strict=True):
            day.write(re.compile(f"^{label}", re.IGNORECASE), text, group)
    day.tap("Keep this reading")
    expect(day.page.get_by_role("heading", name="As typed")).to_be_visible()


def at_15_30(day: Day) -> None:
    """Notes, what happened, and the log of the day."""
    day.tap("batches")
    open_batch(day, TODAY)
    day.tap("Further details of this batch")
    day.sees("Details of")
    day.write("What is known", "tap, left standing overnight")
    day.tap("Keep this detail")
    day.sees("Known so far", "left standing overnight")
    day.shot("1530_details")
    day.tap("what happened")
    day.sees("What happened here")
    day.shot("1530_happened")
    day.tap("Two batches side by side")
    day.write("First batch", str(LAST_WEEK))
    day.write("Second batch", str(TODAY))
    day.tap("Lay them side by side")
    day.sees("Is what differs enough to explain it", "All of both, what differs first")
    day.shot("1530_side_by_side")
    day.tap("what happened")
    day.tap(re.compile("^stiffness.* from batch to batch|^yield stress.* from batch to batch", re.IGNORECASE))
    day.sees("newest last")
    day.shot("1530_trend")
    day.tap("what happened")
    day.tap("Everything done")
    day.sees("Everything done on this bench")
    day.shot("1530_log")
