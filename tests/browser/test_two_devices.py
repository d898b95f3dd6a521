"""Several devices at one engine: each sees what the others enter."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

from tests.browser.conftest import PC, PHONE
from tests.browser.watched import on_this_phone, pull, ready, saved
from tests.served import SIX, Served

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from tests.browser.conftest import Opens

SOON = 10_000
"""
What one enters is on the other's screen within this time, on a machine that is busy with other tests. The second that
is promised is a figure of benchmarks/pages.py. [ms]
"""


# If this failed, two people at one engine would not know of each other, and pull the same cylinder twice.
def test_each_sees_the_other_s_figure(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    one, two = opens(PHONE, name="left phone"), opens(PHONE, name="right phone", role=Who.ENTERS)
    far = opens(PC, name="screen", role=Who.LOOKS_ON)
    left, right = (ready(each.page(f"/tests/{test}/pull")) for each in (one, two))
    screen = ready(far.page(f"/tests/{test}/view?far"))
    first, second = server.book.test(test).header.plan_order[:2]
    pull(left, "95", "150")
    right.locator(f'main h1:has-text("{second}")').wait_for(timeout=SOON)
    screen.locator(f'[data-cylinder="{first}"]:has-text("150")').wait_for(timeout=SOON)
    pull(right, "96", "151")
    saved(left)
    screen.locator(f'[data-cylinder="{second}"]:has-text("151")').wait_for(timeout=SOON)


# If this failed, of two readings of one cylinder one would be lost, or judged by before anybody has chosen.
def test_the_same_cylinder_twice(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    one, two = opens(PHONE, name="left phone"), opens(PHONE, name="right phone")
    left, right = (ready(each.page(f"/tests/{test}/pull")) for each in (one, two))
    screen = ready(opens(PC, name="screen").page(f"/tests/{test}/view"))
    first = server.book.test(test).header.plan_order[0]
    # Both have begun before either has saved.
    for page, final in ((left, "150"), (right, "143")):
        page.locator('[data-act="not-seen"]').tap()
        for digit in final:
            page.locator(f'[data-key="{digit}"]').tap()
    left.locator('[data-act="save"]').tap()
    saved(left)
    right.locator('[data-trouble="meanwhile"]').wait_for()
    right.locator('[data-act="save"]').tap()
    saved(right)
    conflict = screen.locator(f'[data-conflict="{first}"]')
    conflict.wait_for(timeout=SOON)
    assert "150 psi" in conflict.inner_text()
    assert "143 psi" in conflict.inner_text()
    assert "not judged" in conflict.inner_text()
    # The judgement says so too, and the one on the left phone chooses.
    judged = opens(PC).page(f"/tests/{test}")
    assert "two readings" in judged.locator("main").inner_text()
    left.locator('[data-trouble="conflict"] button').tap()
    left.locator('[data-act="keep"]').first.tap()
    saved(left)
    conflict.wait_for(state="detached", timeout=SOON)
    recorded = server.book.test(test)
    assert [str(row.final) for row in recorded.test.taken] == ["150 psi"]  # type: ignore[union-attr]
    assert len(recorded.entries) == 4


# If this failed, what is typed at the shop PC's terminal would not come to the screens.
def test_a_pull_at_the_terminal_comes_to_the_screen(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    screen = ready(opens(PC).page(f"/tests/{test}/view"))
    environment = {
        **os.environ,
        "RINGTRUE_BOOK": str(server.book_path),
        "RINGTRUE_SETTINGS": str(server.settings),
        "PYTHONUNBUFFERED": "1",
    }
    command = [sys.executable, "-m", "ringtrue", "pull", "--go-on", test, "--unit", "psi"]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment, text=True
    ) as terminal:
        assert terminal.stdin is not None
        terminal.stdin.write("95 147\n")
        terminal.stdin.flush()
        first = server.book.test(test).header.plan_order[0]
        screen.locator(f'[data-cylinder="{first}"]:has-text("147")').wait_for()
        terminal.kill()


# If this failed, a device that the owner has shut out would go on showing the shop's figures.
def test_a_device_that_is_shut_out_shows_nothing_new(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    one, two = opens(PHONE, name="left phone"), opens(PHONE, name="lost phone")
    two.refused_is_fine = True
    left, lost = (ready(each.page(f"/tests/{test}/pull")) for each in (one, two))
    name = next(each.name for each in server.sessions.all() if each.device == "lost phone")
    server.sessions.revoke(name)
    lost.locator('[data-trouble="shut"]').wait_for(timeout=5 * SOON)
    pull(left, "95", "150")
    saved(left)
    assert "150" not in lost.locator("main").inner_text()
    # What is typed on it all the same is not thrown away.
    pull(lost, "95", "151")
    lost.locator('[data-unsent="1"]').wait_for()
    assert on_this_phone(lost) == 1
