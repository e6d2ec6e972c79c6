"""The drying page in a real browser at both sizes: asked by typing, weighed, and nothing wider than the screen."""

from __future__ import annotations

import pytest

from tests.conftest import Served, watched_page
from tests.pages.test_look import SHOTS, SIZES, TOO_SMALL

pytestmark = pytest.mark.browser
DRAWN = "[...document.querySelectorAll('picture img')].every(one => one.complete && one.naturalWidth > 0)"


@pytest.mark.parametrize("size", sorted(SIZES))
def test_a_piece_is_asked_and_weighed_by_hand(browser, served: Served, size: str):
    width, height = SIZES[size]
    SHOTS.mkdir(parents=True, exist_ok=True)
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": width, "height": height})
        page.goto("/sample/drying/")
        page.get_by_label("Thickness of the wall").fill("4")
        page.get_by_label("Temperature of the air").fill("20,5")
        page.get_by_label("Humidity of the air").fill("48")
        page.get_by_label("mostly shell or other mineral").check()
        page.get_by_role("button", name="Work it out").tap()
        page.get_by_role("rowheader", name="Keep it covered").wait_for()
        page.get_by_label("Weighing 1: hours since it was laid").fill("1")
        page.get_by_label("Weighing 1: mass").fill("312,4")
        page.get_by_label("Weighing 2: hours since it was laid").fill("20")
        page.get_by_label("Weighing 2: mass").fill("274,8")
        page.get_by_role("button", name="Work it out").tap()
        page.get_by_text("corrected by 2 weighings").wait_for()
        for summary in page.locator("summary").all():
            if not summary.locator("..").get_attribute("open"):
                summary.tap()
        page.wait_for_function(DRAWN)
        page.screenshot(path=SHOTS / f"{size}_drying.png", full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(TOO_SMALL, 44) == []
