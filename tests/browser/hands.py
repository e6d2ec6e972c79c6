"""Two ways to use a page: by touch, and by keyboard alone. Neither knows where anything is but by its label."""

from __future__ import annotations

from typing import Protocol

from playwright.sync_api import Locator, Page

MOST_TABS = 250
SAME_CHOICE = """node => node.type === 'radio' && node !== document.activeElement
    && document.activeElement.name === node.name"""


class Hands(Protocol):
    page: Page

    def press(self, what: Locator) -> None: ...

    def write(self, what: Locator, text: str) -> None: ...


class Taps:
    """A finger: taps, and the keys of the pad on the screen."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def press(self, what: Locator) -> None:
        what.tap()

    def write(self, what: Locator, text: str) -> None:
        what.tap()
        what.fill(text)


class Keys:
    """No pointer at all: Tab until the focus is there, then Enter, Space or typing."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def press(self, what: Locator) -> None:
        self._reach(what)
        kind = what.evaluate("node => node.type || node.tagName")
        self.page.keyboard.press("Space" if kind in ("radio", "checkbox") else "Enter")

    def write(self, what: Locator, text: str) -> None:
        self._reach(what)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.insert_text(text)

    def _reach(self, what: Locator) -> None:
        what.wait_for()
        for _ in range(MOST_TABS):
            if what.evaluate("node => node === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
            if what.evaluate(SAME_CHOICE):
                self.page.keyboard.press("ArrowLeft")
        raise AssertionError(f"{what} cannot be reached with the Tab key")
