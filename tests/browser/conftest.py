"""The pages in a real browser: the system's own Chromium, never a downloaded one, against a server of the tests."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import sync_playwright
from tests.browser.watched import Watched
from tests.served import LAN_NAME, Served

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Playwright

PROGRAMS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PHONE: dict[str, Any] = {
    "viewport": {"width": 360, "height": 740},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
PC: dict[str, Any] = {"viewport": {"width": 1440, "height": 900}}
SEEN = 10_000
"""What does not come to the screen in so long does not come. [ms]"""

Opens = Callable[..., Watched]


def program() -> str:
    """Return the path of the browser; a test that asks for it is skipped, and counted, where there is none."""
    found = next((path for name in PROGRAMS if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium on this machine (Debian: apt-get install chromium)")
    return found


def arguments() -> list[str]:
    """Return how it is started: nothing of it looks for a network, and the workshop's PC is this machine."""
    flags = [
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        f"--host-resolver-rules=MAP {LAN_NAME} 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
    ]
    # Chromium's sandbox does not start for root.
    return [*flags, "--no-sandbox"] if hasattr(os, "getuid") and os.getuid() == 0 else flags


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    """Yield Playwright; of a module, since its loop would stand in the way of tests that run one of their own."""
    program()
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    """Yield the browser."""
    browser = playwright.chromium.launch(executable_path=program(), args=arguments())
    yield browser
    browser.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Served]:
    """Yield a server with an empty book of its own."""
    with Served(tmp_path) as running:
        yield running


@pytest.fixture
def opens(chromium: Browser, server: Served) -> Iterator[Opens]:
    """
    Return what opens a device that is let in: ``opens(PHONE, dark=True)``.

    At its end nothing may have gone wrong in a page that the test has not asked about: no error in the console, nothing
    that the content security policy has stopped, no request to another machine.
    """
    made: list[Watched] = []

    def device(
        kind: dict[str, Any] = PHONE,
        *,
        dark: bool = False,
        person: str = "a builder",
        name: str = "phone",
        role: Who = Who.OWNER,
        host: str = "127.0.0.1",
        of: Served = server,
    ) -> Watched:
        options = {**kind, "color_scheme": "dark" if dark else "light", "locale": "en-GB"}
        context = chromium.new_context(**options)
        let_in(context, of, of.phone(person, name, role).token, host)
        made.append(Watched(context, of.address(host)))
        return made[-1]

    yield device
    faults = [fault for each in made for fault in each.faults()]
    for each in made:
        each.context.close()
    assert faults == []


def let_in(context: BrowserContext, server: Served, token: str, host: str = "127.0.0.1", until: float = -1.0) -> None:
    """Give a browser the session of a device; `until` is when the cookie ends, by the clock, or with the browser."""
    secure = server.authority is not None
    context.add_cookies(
        [
            {
                "name": f"{'__Host-' if secure else ''}ringtrue-{server.port}",
                "value": token,
                "url": server.address(host) + "/",
                "httpOnly": True,
                "secure": secure,
                "sameSite": "Strict",
                "expires": until,
            }
        ]
    )
