"""The doors and the code page as a tablet shows them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.conftest import MADE_UP_HOST, Served, elsewhere, serving, watched_page

TOUCH_PX = 64


def test_a_device_pairs_by_touch_and_stays_paired(browser, tmp_path: Path):
    """Loopback stands in for the address of the network: the one address every machine has."""
    with serving(tmp_path / "home", "--lan", "127.0.0.1") as bench, watched_page(browser, base_url=bench.url) as page:
        page.slake_allowed.append("422")
        code = re.search(r"pairing code: (\S+)", bench.said())
        assert code
        page.goto("/sample/")
        assert page.url.endswith("/pair/")
        for target in (page.get_by_label("Pairing code"), page.get_by_role("button", name="Pair")):
            assert target.bounding_box()["height"] >= TOUCH_PX
        page.get_by_label("Pairing code").fill("WRONG234")
        page.get_by_role("button", name="Pair").tap()
        assert page.get_by_role("alert").inner_text().startswith("That is not the code")
        page.get_by_label("Pairing code").fill(code[1].lower())
        page.keyboard.press("Enter")
        page.wait_for_url(bench.url + "/")
        page.goto("/sample/")
        assert page.url.endswith("/sample/")


def test_a_form_left_open_without_its_cookie_loses_nothing(browser_page, served: Served):
    """The cookie is gone (a cleaned browser, a new key): the form is offered again with all that was typed."""
    page = browser_page
    page.slake_allowed.append("403")
    page.goto("/people/")
    page.get_by_label("name", exact=False).first.fill("Ada of the test")
    page.context.clear_cookies()
    page.locator("main form button[type=submit], main form button:not([type])").first.click()
    page.get_by_role("heading", name="Send it once more").wait_for()
    page.get_by_role("button", name="Send it again").click()
    page.get_by_text("Ada of the test").first.wait_for()


def test_the_first_page_works_under_a_made_up_name(browser, served: Served):
    with watched_page(browser, base_url=served.made_up_url) as page:
        page.goto("/")
        assert MADE_UP_HOST in page.url
        page.get_by_role("link", name="sample workshop").first.tap()
        page.wait_for_url(re.compile("/sample/"))


@pytest.mark.parametrize("url", ["https://elsewhere.example/x.js", "http://192.0.2.1/", "ws://elsewhere.example/"])
def test_the_watch_over_requests_sees_other_machines(url: str):
    assert elsewhere([url, "http://127.0.0.1:8000/", "data:image/png;base64,AA"]) == [url]
