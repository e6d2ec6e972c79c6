"""What is known so far in a real browser, on the sample: every drawing loads, and nothing goes sideways."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.conftest import watched_page

pytestmark = pytest.mark.browser
SIZES = [(820, 1180, "wide"), (390, 844, "phone")]
SMALLEST_TOUCH = 44
PAGES = ["/sample/map/", "/sample/curves/", "/sample/curves/?across=guar+gum", "/sample/kept-word/"]


def is_within_the_screen(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def every_drawing(page) -> list[bool]:
    """Whether each drawing was loaded, those further down too."""
    page.evaluate("document.querySelectorAll('img').forEach(image => { image.loading = 'eager' })")
    page.evaluate("Promise.all([...document.images].map(image => image.decode().catch(() => null)))")
    return page.locator(".map img").evaluate_all("images => images.map(image => image.naturalWidth > 0)")


def opened(page, address: str) -> None:
    """The page with its content; what has to be worked out first sends itself."""
    page.goto(address)
    page.get_by_role("link", name="map of the recipe space").wait_for()


@pytest.mark.parametrize(("width", "height", "shape"), SIZES)
def test_nothing_scrolls_sideways_and_every_drawing_is_there(browser, served, width, height, shape):
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": width, "height": height})
        for address in PAGES:
            opened(page, address)
            drawn = every_drawing(page)
            assert len(drawn) >= 4 and all(drawn), address
            for fold in page.locator("details").all():
                fold.locator("summary").click()
            assert is_within_the_screen(page), address
        opened(page, "/sample/map/")
        assert f"/map/{shape}.svg" in page.locator(".map img").first.evaluate("image => image.currentSrc")


@pytest.mark.parametrize(("width", "height", "shape"), SIZES)
def test_what_is_touched_is_large_enough(browser, served, width, height, shape):
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": width, "height": height})
        for address in PAGES:
            opened(page, address)
            for one in page.locator("main select, main button, main summary, main .marks a").all():
                box = one.bounding_box()
                assert box["height"] >= SMALLEST_TOUCH, (address, one.inner_text())


def test_another_cut_is_drawn_with_the_keyboard_alone(browser, served):
    with watched_page(browser, base_url=served.url) as page:
        opened(page, "/sample/map/")
        page.get_by_label("Up").focus()
        page.keyboard.press("s")  # the first choice that begins so: sodium alginate
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_url("**up=sodium+alginate**")
        expect(page.locator(".map img").first).to_have_attribute("alt", re.compile("and sodium alginate"))
