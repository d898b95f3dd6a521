"""The page of the shop's builds, in a real browser."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from tests.browser.conftest import PC, PHONE
from tests.browser.test_courses import INKED
from tests.browser.test_every_page import violations
from tests.built import fill

if TYPE_CHECKING:
    from tests.browser.conftest import Opens
    from tests.served import Served


# If this failed, a builder could not see on his phone which build was out, or somebody who sees badly would be kept
# out.
@pytest.mark.in_part(2)
@pytest.mark.parametrize("kind", [PHONE, PC], ids=["phone", "PC"])
def test_the_shops_builds(server: Served, opens: Opens, kind: dict[str, Any]) -> None:
    fill(server.book, 40, out=31)
    device = opens(kind)
    device.refused_is_fine = True  # a day is mistyped at the end
    page = device.page("/")
    page.get_by_role("link", name="Workmanship").click()
    page.locator("figure.course[data-drawn=yes]").nth(3).wait_for()
    assert page.get_by_text("Build 31 (Engine 31, 2026-08-10) is outside what the builds").count() == 1
    ink, low, _ = page.locator(".course-plot").nth(0).evaluate(INKED)
    assert ink > 100
    assert low > 20
    assert violations(page, {}) == []
    assert page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    page.get_by_label("Family").fill("inline, 4 cylinders")
    page.get_by_role("button", name="Show these").click()
    page.get_by_text("There are 8 builds: limits are drawn from 10 on").wait_for()
    assert page.get_by_role("row").filter(has_text="Engine 40").count() == 1
    page.get_by_label("Handed over since").fill("last spring")
    page.get_by_role("button", name="Show these").click()
    fault = page.get_by_role("alert")
    fault.wait_for()
    assert "This is no day with its month" in fault.inner_text()
    assert page.get_by_label("Handed over since").input_value() == "last spring"
