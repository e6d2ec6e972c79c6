"""Before the print in a real browser at both sizes: a toolpath and a drawing sent by hand, told and printed."""

from __future__ import annotations

import pytest

from slake.path.mesh_in import read_mesh_file
from slake.path.mesh_out import write_stl
from tests.conftest import Served, watched_page
from tests.pages.test_look import SHOTS, SIZES, TOO_SMALL
from tests.path.paths import tube
from tests.path.solids import cylinder, ours

pytestmark = pytest.mark.browser
DRAWN = "[...document.querySelectorAll('picture img')].every(one => one.complete && one.naturalWidth > 0)"
SOON = 90_000
"""Worked on by a process of its own, on a machine that does other things too."""


def fits(page, size: str, name: str) -> None:
    page.screenshot(path=SHOTS / f"{size}_check_{name}.png", full_page=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    assert page.evaluate(TOO_SMALL, 44) == []


def sent(page, name: str, content: bytes) -> None:
    file = {"name": name, "mimeType": "application/octet-stream", "buffer": content}
    page.get_by_label("The file", exact=False).first.set_input_files(file)
    page.get_by_role("button", name="Check it").tap()


@pytest.mark.parametrize("size", sorted(SIZES))
def test_a_toolpath_and_a_drawing_are_checked_by_hand(browser, served: Served, size: str, tmp_path):
    width, height = SIZES[size]
    SHOTS.mkdir(parents=True, exist_ok=True)
    with watched_page(browser, base_url=served.url) as page:
        page.set_viewport_size({"width": width, "height": height})
        page.goto("/sample/")
        page.get_by_role("link", name="Before the print").tap()
        for summary in page.locator("summary").all():
            summary.tap()
        fits(page, size, "asked")
        page.get_by_label("mm of ram").check()
        sent(page, "pot.gcode", tube(height_m=0.04, points=60))
        page.get_by_role("heading", name="Does it stand").wait_for(timeout=SOON)
        page.locator("summary", has_text="The same as a table").tap()
        page.wait_for_function(DRAWN)
        fits(page, size, "toolpath")
        page.emulate_media(media="print")
        assert not page.get_by_role("link", name="Check another file").is_visible()
        assert page.get_by_text("A geared ram crushes fingers").is_visible()
        page.screenshot(path=SHOTS / f"{size}_check_printed.png", full_page=True)
        assert page.pdf(format="A4").count(b"/Type /Page\n") == 1
        page.emulate_media(media="screen")
        page.get_by_role("link", name="Check another file").tap()
        sent(page, "pot.stl", write_stl(ours(cylinder(20, 50))))
        page.get_by_role("heading", name="Scaled so that it dries to the drawn size").wait_for(timeout=SOON)
        fits(page, size, "drawing")
        with page.expect_download() as coming:
            page.get_by_role("link", name="Scaled drawing, 3MF").tap()
        coming.value.save_as(tmp_path / "scaled.3mf")
        assert read_mesh_file(tmp_path / "scaled.3mf").size_m[2] > 0.05
