"""Wi-Fi or server away, the page loaded anew, the browser killed: what was typed comes into the book, and once."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Error
from tests.browser.conftest import PHONE, arguments, let_in, program
from tests.browser.watched import Watched, on_this_phone, pull, ready, saved, typed, until
from tests.records.making import behind
from tests.served import SIX, Served

from ringtrue.records import _sqlite

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import BrowserContext, Page, Playwright
    from tests.browser.conftest import Opens

KILLS, SOAK_KILLS = 2, 100
SEED = 20_260_514
HALF_A_YEAR = 180 * 24 * 3600.0


def finals(server: Served, test: str) -> list[str]:
    """Return what stands in the book."""
    return [f"{row.cylinder}: {row.final}" for row in server.book.test(test).test.taken]  # type: ignore[union-attr]


def waits(page: Page, count: int) -> None:
    """Wait until the page says how many readings it holds, and see that it holds them."""
    until(page, lambda: on_this_phone(page) == count, f"{count} readings should be on this phone")
    page.locator(f'[data-unsent="{count}"]').wait_for()


def kept_for_later(page: Page) -> None:
    """Wait until the browser has put the page itself aside; it does so at its first visit."""
    look = "async () => (await caches.has('ringtrue-pages')) && Boolean(await caches.match(location.pathname))"
    until(page, lambda: bool(page.evaluate(look)), "the page is not kept for when the server is away")


# If this failed, a builder under a car, out of reach of the Wi-Fi, could not go on; or would be told "saved" of
# readings that are on his phone alone.
def test_the_wi_fi_goes_away(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    one, two, three = server.book.test(test).header.plan_order[:3]
    pull(page, "95", "150")
    saved(page)
    phone.context.set_offline(True)
    pull(page, "95", "151")
    waits(page, 1)
    page.locator('[data-last="on this phone"]').wait_for()
    pull(page, "95", "152")
    waits(page, 2)
    page.locator('[data-trouble="away"]').wait_for()
    assert finals(server, test) == [f"{one}: 150 psi"]
    phone.context.set_offline(False)
    saved(page)
    page.locator('[data-last="saved"]').wait_for()
    page.locator('[data-trouble="away"]').wait_for(state="detached")
    assert finals(server, test) == [f"{one}: 150 psi", f"{two}: 151 psi", f"{three}: 152 psi"]


# If this failed, readings would be lost when the shop PC is started anew in the middle of a test; a correction of one
# that is not in the book yet would go astray.
def test_the_server_goes_away(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    one, two = server.book.test(test).header.plan_order[:2]
    kept_for_later(page)
    server.stop()
    pull(page, "95", "115")
    waits(page, 1)
    # Put right before it ever came into the book.
    page.locator('[data-act="put-right"]').tap()
    typed(page, "151")
    page.locator('[data-act="save"]').tap()
    page.locator('[data-why="typed wrongly"]').tap()
    waits(page, 2)
    pull(page, "95", "149")
    waits(page, 3)
    # Loaded anew in the middle: what waits, waits; what is being typed is still there.
    typed(page, "9")
    page.reload()
    ready(page)
    waits(page, 3)
    assert page.locator('[data-field="first"]').input_value() == "9"
    server.start()
    saved(page)
    assert finals(server, test) == [f"{one}: 151 psi", f"{two}: 149 psi"]
    recorded = server.book.test(test)
    assert [each.why for each in recorded.corrections] == ["typed wrongly"]
    assert len(recorded.entries) == 4


# If this failed, two windows of one phone would send everything twice, or one would hide what the other holds.
def test_two_windows_of_one_phone(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.away_is_fine = True
    one, two = (ready(phone.page(f"/tests/{test}/pull")) for _ in range(2))
    phone.context.set_offline(True)
    pull(one, "95", "150")
    waits(one, 1)
    two.bring_to_front()
    waits(two, 1)
    phone.context.set_offline(False)
    saved(one)
    saved(two)
    assert len(finals(server, test)) == 1
    assert len(server.book.test(test).entries) == 2


# If this failed, a full disk on the shop PC would be told as "saved", or the reading be thrown away.
def test_a_full_disk_on_the_shop_pc(server: Served, opens: Opens, monkeypatch: pytest.MonkeyPatch) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.refused_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    with behind(server.book) as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    # As little room as there is: what is in the book fits, and no entry more.
    monkeypatch.setitem(_sqlite.WANTED, "max_page_count", pages)
    taken = 1
    while server.phone().pull(test, "6", 150, repeat=True).status == 201:
        taken += 1
    pull(page, "95", "150")
    waits(page, 1)
    page.locator('[data-trouble="full"]').wait_for()
    assert len(finals(server, test)) == taken - 1
    monkeypatch.delitem(_sqlite.WANTED, "max_page_count")
    saved(page)
    assert len(finals(server, test)) == taken


@contextlib.contextmanager
def own_browser(playwright: Playwright, server: Served, profile: Path, token: str) -> Iterator[BrowserContext]:
    """Start a browser that keeps what it keeps in a folder, as a phone's does; it may be killed."""
    context = playwright.chromium.launch_persistent_context(
        profile, executable_path=program(), args=arguments(), **PHONE
    )
    try:
        let_in(context, server, token, until=time.time() + HALF_A_YEAR)
        yield context
    finally:
        with contextlib.suppress(Error):
            context.close()


def processes(profile: Path) -> list[int]:
    """Return the processes of the browser that was started for this folder, the first of them first."""
    found = []
    for each in Path("/proc").iterdir():
        if each.name.isdecimal():
            with contextlib.suppress(OSError):
                line = (each / "cmdline").read_bytes()
                if f"--user-data-dir={profile}".encode() in line and b"chrom" in line and b"--type=" not in line:
                    found.append(int(each.name))
    return sorted(found)


# If this failed, a phone whose battery goes flat, or whose system shuts the browser, would lose what it said it keeps.
@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="no POSIX: no process can be found in /proc")
def test_the_browser_is_killed(playwright: Playwright, server: Served, tmp_path: Path, soaking: bool) -> None:
    draw = random.Random(SEED)
    token, profile = server.phone().token, tmp_path / "phone"
    lost = []
    for number in range(SOAK_KILLS if soaking else KILLS):
        test, final = server.test(SIX), str(140 + number % 20)
        with own_browser(playwright, server, profile, token) as context:
            page = ready(Watched(context, server.address()).page(f"/tests/{test}/pull"))
            server.stop()
            pull(page, "", final)
            page.locator('[data-last="on this phone"]').wait_for()
            page.wait_for_timeout(draw.choice([0, 0, 5, 50]))
            pids = processes(profile)
            assert pids, "the browser was not found"
            for pid in pids:
                os.kill(pid, signal.SIGKILL)
        server.start()
        with own_browser(playwright, server, profile, token) as context:
            page = ready(Watched(context, server.address()).page(f"/tests/{test}/pull"))
            saved(page)
        if [entry.split(": ")[1] for entry in finals(server, test)] != [f"{final} psi"]:
            lost.append((number, final, finals(server, test)))
    assert lost == []
