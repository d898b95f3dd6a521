"""A browser whose pages are watched, and the hands that use them."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import BrowserContext, ConsoleMessage, Page, Request

AWAY = ("net::ERR_INTERNET_DISCONNECTED", "net::ERR_CONNECTION_REFUSED", "net::ERR_EMPTY_RESPONSE")


@dataclass
class Watched:
    """
    One device, and all that goes wrong in its pages.

    Parameters
    ----------
    context : BrowserContext
        Its browser.
    address : str
        Of the server.
    away_is_fine : bool
        The server is taken away on purpose: the browser's own lines about that are no fault of the page.
    refused_is_fine : bool
        The server refuses something on purpose: so are its lines about statuses from 400.
    """

    context: BrowserContext
    address: str
    away_is_fine: bool = False
    refused_is_fine: bool = False
    touches: int = 0
    _faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Listen to every page."""
        self.context.on("console", self._said)
        self.context.on("weberror", lambda error: self._faults.append(f"script: {error.error}"))
        self.context.on("request", self._asked)

    def _said(self, message: ConsoleMessage) -> None:
        if message.type not in {"error", "warning"}:
            return
        text = message.text
        if self.away_is_fine and ("ERR_" in text or "Failed to load resource" in text):
            return
        if self.refused_is_fine and "the server responded with a status of" in text:
            return
        at = message.location.get("url", "")
        self._faults.append(f"console: {text} {at} ({message.page.url if message.page else ''})")

    def _asked(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme in {"data", "blob"}:
            return
        if f"{parts.scheme}://{parts.netloc}" != self.address:
            self._faults.append(f"asked another machine: {request.url}")

    def faults(self) -> list[str]:
        """Return what went wrong so far."""
        return list(self._faults)

    def page(self, path: str = "/") -> Page:
        """Open a page of the server."""
        page = self.context.new_page()
        page.set_default_timeout(10_000)
        page.goto(self.address + path)
        return page

    def touch(self, page: Page, what: str) -> None:
        """Touch something, and count it."""
        self.touches += 1
        page.locator(what).first.tap()


def typed(page: Page, figure: str) -> None:
    """Type a figure on the page's own pad; digits are not counted as touches."""
    for digit in figure:
        page.locator(f'[data-key="{digit}"]').tap()


def pull(page: Page, first: str, final: str) -> None:
    """Enter one cylinder: the first stroke, next, the final, save."""
    if first:
        typed(page, first)
        page.locator('[data-act="next"]').tap()
    else:
        page.locator('[data-act="not-seen"]').tap()
    typed(page, final)
    page.locator('[data-act="save"]').tap()


ON_THIS_PHONE = """
() => new Promise((resolve, reject) => {
  const asked = indexedDB.open("ringtrue");
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const counted = asked.result.transaction("unsent").objectStore("unsent").count();
    counted.onsuccess = () => { asked.result.close(); resolve(counted.result); };
  };
})
"""


def on_this_phone(page: Page) -> int:
    """Return how many readings the browser's own store holds; what was just typed is among them."""
    return int(page.evaluate(ON_THIS_PHONE))


def until(page: Page, true: Callable[[], bool], what: str, seconds: float = 10.0) -> None:
    """Wait until something is so; the page goes on meanwhile."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, what
        page.wait_for_timeout(20)


def saved(page: Page) -> None:
    """Wait until everything that was typed is in the book, and the page says so."""
    until(page, lambda: on_this_phone(page) == 0, "what was typed does not come into the book")
    page.locator('[data-unsent="0"]').wait_for()


def ready(page: Page) -> Page:
    """Wait until a live page shows its test."""
    page.locator('#page[data-ready="yes"]').wait_for()
    return page
