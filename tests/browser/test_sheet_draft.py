"""A build sheet that is typed and not filed yet: a page that goes loses nothing of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.browser.conftest import PC

if TYPE_CHECKING:
    from tests.browser.conftest import Opens


# If this failed, whoever reloads the page, or walks away from it, would have to type the whole sheet again.
def test_what_is_typed_is_there_after_a_reload_and_gone_once_filed(opens: Opens) -> None:
    page = opens(PC).page("/sheets/new")
    name, notice = page.locator('[name="name"]'), page.locator("#draft")
    assert not notice.is_visible()
    name.fill("Invented twin")
    page.reload()
    notice.wait_for()
    assert name.input_value() == "Invented twin"
    page.locator("#draft_away").click()
    notice.wait_for(state="hidden")
    assert name.input_value() == ""
    name.fill("Invented twin")
    page.locator('[name="layout"]').select_option("inline")
    page.locator('[name="cylinders"]').fill("1, 2")
    page.locator('button[value="file"]').click()
    page.wait_for_url("**/engines/**")
    page.wait_for_function("() => !Object.keys(localStorage).some((each) => each.startsWith('ringtrue-sheet'))")
