"""Notebook and next batch in a real browser: nothing is wider than the screen, and the next batch is worked out with
and without a script.
"""

from __future__ import annotations

import pytest

from tests.conftest import watched_page

pytestmark = pytest.mark.browser
LINES = """shell 300, guar 2, alginate 4, water 190 - too runny
shell 300, guar 4, alginate 6, water 110 - stalled
shell 300, guar 3, alginate 4, water 150 - fell at layer 9; cone 21 mm at 60 min"""


def is_within_the_screen(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def take_in_three_lines(page) -> None:
    page.goto("/notebook/")
    page.get_by_label("Lines", exact=True).fill(LINES)
    assert page.get_by_text("Look", exact=True).is_hidden()  # only there so that Enter looks and never saves
    page.get_by_role("button", name="Look at these lines", exact=True).click()
    for word, role in (("shell", "filler"), ("guar", "thickener"), ("alginate", "binder")):
        page.get_by_label(f"“{word}”").select_option(label=f"a new lot: {role}")
    page.get_by_role("button", name="Take all 3 in").click()
    page.wait_for_url("**/map/?taken=in")


@pytest.mark.parametrize("with_script", [True, False])
def test_three_lines_become_a_map_and_a_next_batch(browser, served_alone, with_script):
    with watched_page(browser, base_url=served_alone.url, java_script_enabled=with_script) as page:
        take_in_three_lines(page)
        assert page.get_by_role("table", name="3 batches with an ending").locator("tbody tr").count() == 3
        page.get_by_role("link", name="Work out batch 4").click()
        if not with_script:
            page.get_by_role("button", name="Work it out").click()
        page.get_by_role("button", name="Mix this").wait_for()
        assert "Chance that all lines hold" in page.content()
        page.get_by_role("button", name="Mix this").click()
        page.wait_for_url("**/batches/4/bench/")


def test_the_pages_fit_a_phone(browser, served):
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": 390, "height": 844})
        for address in ("/sample/notebook/", "/sample/next/", "/next/", "/map/"):
            page.goto(address)
            assert is_within_the_screen(page), address


def test_lines_typed_and_not_yet_taken_in_are_still_there_in_a_new_tab(browser, served_alone):
    with watched_page(browser, base_url=served_alone.url) as page:
        page.goto("/notebook/")
        page.get_by_label("Lines", exact=True).fill(LINES)
        page.goto("/notebook/")
        assert page.get_by_label("Lines", exact=True).input_value() == LINES
        assert page.get_by_text("typed here before and not taken in yet").is_visible()
        take_in_three_lines(page)
        page.goto("/notebook/")
        assert page.get_by_label("Lines", exact=True).input_value() == ""


def test_the_enter_key_looks_and_never_keeps(browser, served_alone):
    with watched_page(browser, base_url=served_alone.url) as page:
        page.goto("/notebook/")
        page.get_by_label("Lines", exact=True).fill(LINES)
        page.get_by_text("Fill in a small grid instead").click()
        page.get_by_label("batch 1: water, g").press("Enter")
        page.get_by_role("button", name="Take all 3 in").wait_for()
        page.get_by_text("Fill in a small grid instead").click()
        page.get_by_label("batch 1: water, g").press("Enter")
        page.get_by_role("button", name="Take all 3 in").wait_for()
        assert page.url.endswith("/notebook/")
