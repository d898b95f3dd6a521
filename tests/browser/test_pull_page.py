"""The pull page and the engine view, part by part: sizes, questions, two hands at once, what a browser refuses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from tests.browser.conftest import PHONE
from tests.browser.watched import pull, ready, saved, typed
from tests.served import EIGHT, SIX, Served

from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from tests.browser.conftest import Opens

LEAST_TOUCH = 48.0
"""No target is smaller. [px]"""
FAR: dict[str, Any] = {"viewport": {"width": 1920, "height": 1080}}
LEAST_FAR = 0.06
"""Height of a final on a distant screen, of the height of the screen: up to eight cylinders. [-]"""
INLINE_EIGHT = """\
[engine]
name = "Long eight"
reference = "8802"
layout = "inline"
cycle = 4
ignition = "spark"
cylinders = ["1", "2", "3", "4", "5", "6", "7", "8"]
banks = [["1", "2", "3", "4", "5", "6", "7", "8"]]
firing_order = ["1", "6", "2", "5", "8", "3", "7", "4"]
"""


def opened(server: Served, opens: Opens, sheet: str = SIX) -> tuple[Page, str]:
    """Return the pull page of a new test on a phone."""
    test = server.test(sheet)
    return ready(opens(PHONE).page(f"/tests/{test}/pull")), test


def finals(server: Served, test: str) -> list[str]:
    """Return what stands in the book, in the order taken."""
    return [f"{row.cylinder}: {row.final}" for row in server.book.test(test).test.taken]  # type: ignore[union-attr]


# If this failed, a thumb in a glove would hit the wrong key, or the page would have to be pushed about to reach one.
@pytest.mark.parametrize(("width", "height"), [(360, 640), (412, 915), (667, 340)])
def test_every_key_is_large_and_in_sight(server: Served, opens: Opens, width: int, height: int) -> None:
    test = server.test(SIX)
    phone = opens({**PHONE, "viewport": {"width": width, "height": height}})
    page = ready(phone.page(f"/tests/{test}/pull"))
    boxes = {each.inner_text(): each.bounding_box() for each in page.locator("button:visible").all()}
    assert len(boxes) >= 18
    for name, box in boxes.items():
        assert box is not None
        smallest = LEAST_TOUCH if "saved" not in name else 40.0
        assert min(box["width"], box["height"]) >= smallest - 0.5, name
        assert box["x"] >= 0, name
        assert box["x"] + box["width"] <= width + 0.5, name
        assert box["y"] + box["height"] <= height + 0.5, name
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width


# If this failed, two figures that were swapped would come into the book, or the keys jump from under the thumb.
def test_a_first_above_its_final_is_caught_on_the_phone(server: Served, opens: Opens) -> None:
    page, test = opened(server, opens)
    before = page.locator('[data-key="5"]').bounding_box()
    typed(page, "190")
    page.locator('[data-act="next"]').tap()
    typed(page, "150")
    page.locator('[data-act="save"]').tap()
    said = page.locator("#typed-fault").inner_text()
    assert said.endswith(server.phone().state(test)["sentences"]["first_above_final"])
    after = page.locator('[data-key="5"]').bounding_box()
    assert before is not None
    assert after is not None
    assert before == after
    # The first digit replaces what was wrong.
    typed(page, "95")
    page.locator('[data-act="next"]').tap()
    page.locator('[data-act="save"]').tap()
    saved(page)
    (row,) = server.book.test(test).test.taken
    assert (str(row.first), str(row.final)) == ("95 psi", "150 psi")  # type: ignore[union-attr]


# If this failed, a reading on another cylinder than it was typed for could not be put where it belongs.
def test_it_was_another_cylinder(server: Served, opens: Opens) -> None:
    page, test = opened(server, opens)
    one, two = server.book.test(test).header.plan_order[:2]
    pull(page, "95", "150")
    saved(page)
    page.locator('[data-act="put-right"]').tap()
    page.locator('[data-act="save"]').tap()
    page.locator('[data-act="other-cylinder"]').tap()
    page.locator(f'dialog [data-cylinder="{two}"]').tap()
    saved(page)
    assert finals(server, test) == [f"{two}: 150 psi"]
    page.locator(f'[data-at="{one}"]').wait_for()


# If this failed, a cylinder could not be left out, or what was left out could not be pulled after all.
def test_left_out_and_pulled_after_all(server: Served, opens: Opens) -> None:
    page, test = opened(server, opens)
    one = server.book.test(test).header.plan_order[0]
    page.locator('[data-act="more"]').tap()
    page.locator('[data-act="leave-out"]').tap()
    page.locator('[data-why="cannot be reached"]').tap()
    saved(page)
    (row,) = server.book.test(test).test.taken
    assert (row.cylinder, row.note) == (one, "cannot be reached")
    page.locator('[data-act="previous"]').tap()
    page.locator('[data-act="correct"]').tap()
    pull(page, "95", "150")
    page.locator("[data-why]").tap()
    saved(page)
    (row,) = server.book.test(test).test.taken
    assert (str(row.final), row.note) == ("150 psi", "")  # type: ignore[union-attr]


# If this failed, a wet pull would be written as a dry one, or the builder not be told what to mind.
def test_a_pull_with_oil(server: Served, opens: Opens) -> None:
    page, test = opened(server, opens)
    pull(page, "95", "150")
    saved(page)
    page.locator('[data-act="previous"]').tap()
    page.locator('.readings [data-act="oil"]').tap()
    assert page.locator("dialog li").count() >= 5
    page.locator("#oil-typed").fill("5")
    page.locator('[data-act="oil-in"]').tap()
    pull(page, "", "160")
    saved(page)
    wet = server.book.test(test).test.taken[-1]
    assert (wet.kind.value, str(wet.oil), str(wet.final)) == ("wet", "5 cc", "160 psi")  # type: ignore[union-attr]
    page.locator('.readings:has-text("With oil, cylinder")').wait_for()


def oil_typed(page: Page, oil: str) -> None:
    """Say in the panel of the first cylinder, which was pulled dry, how much oil goes in."""
    page.locator('[data-act="previous"]').tap()
    page.locator('.readings [data-act="oil"]').tap()
    page.locator("#oil-typed").fill(oil)
    page.locator('[data-act="oil-in"]').tap()


# If this failed, an engine would be cranked with so much oil on a piston that it locks, and be asked about only then.
def test_much_oil_is_asked_about_before_anybody_cranks(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.refused_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    pull(page, "95", "150")
    saved(page)
    oil_typed(page, "40")
    asked = page.locator('[data-oil="doubtful"]')
    asked.wait_for()
    assert "can lock the engine" in asked.inner_text()
    assert "main" not in (page.locator('[data-act="dose-meant"]').get_attribute("class") or "")
    page.locator('[data-act="other-dose"]').tap()
    page.locator("#oil-typed").fill("41")
    page.locator('[data-act="oil-in"]').tap()
    page.locator('[data-act="dose-meant"]').tap()
    pull(page, "", "160")
    saved(page)
    assert str(server.book.test(test).test.taken[-1].oil) == "41 cc"  # type: ignore[union-attr]


# If this failed, a dose that nobody could check would look checked, or one that is refused later stay as it is.
def test_a_dose_that_could_not_be_checked_says_so(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.away_is_fine = phone.refused_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    pull(page, "95", "150")
    saved(page)
    server.stop()
    oil_typed(page, "40")
    page.locator('[data-oil="unchecked"]').wait_for()
    page.locator('[data-act="dose-meant"]').tap()
    pull(page, "", "160")
    server.start()
    asked = page.locator('.asked [data-item="refused"]')
    asked.wait_for(timeout=20_000)
    assert "main" not in (asked.locator('[data-act="item-meant"]').get_attribute("class") or "")
    asked.locator('[data-act="mend"]').tap()
    page.locator("#typed-oil").tap()
    typed(page, "4")
    page.locator('[data-act="save"]').tap()
    saved(page)
    assert str(server.book.test(test).test.taken[-1].oil) == "4 cc"  # type: ignore[union-attr]


# If this failed, two readings of one cylinder could not be settled where they were taken.
@pytest.mark.parametrize("choice", ["keep", "both"])
def test_two_readings_are_settled_on_the_phone(server: Served, opens: Opens, choice: str) -> None:
    page, test = opened(server, opens)
    one = server.book.test(test).header.plan_order[0]
    typed(page, "95")
    other = server.phone("Cedar", "tablet")
    assert other.pull(test, one, 160).status == 201
    page.locator('[data-trouble="meanwhile"]:has-text("tablet")').wait_for()
    page.locator('[data-act="next"]').tap()
    typed(page, "150")
    page.locator('[data-act="save"]').tap()
    page.locator('[data-trouble="conflict"] button').tap()
    page.locator("[data-keep]").nth(1).wait_for()
    assert "160" in page.locator(".conflict").inner_text()
    page.locator(f'[data-act="{choice}"]').last.tap()
    saved(page)
    page.locator(".conflict").wait_for(state="detached")
    assert finals(server, test) == ([f"{one}: 150 psi"] if choice == "keep" else [f"{one}: 160 psi", f"{one}: 150 psi"])


# If this failed, a phone whose browser keeps nothing would promise that it does.
def test_a_browser_that_keeps_nothing_says_so(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.context.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('no', 'SecurityError'); }"
    )
    page = ready(phone.page(f"/tests/{test}/pull"))
    page.locator('[data-trouble="store"]').wait_for()
    pull(page, "95", "150")
    page.locator('[data-last="saved"]').wait_for()
    assert finals(server, test) == ["1: 150 psi"]
    phone.away_is_fine = True
    server.stop()
    pull(page, "95", "151")
    page.locator('[data-unsent="1"]').wait_for()
    assert "on this phone" not in page.locator("body").inner_text()
    server.start()
    page.locator('[data-unsent="0"]').wait_for(timeout=20_000)


# If this failed, a reading that the server does not take would vanish, or could never be got rid of.
def test_what_is_refused_stays_until_it_is_put_right_or_thrown_away(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.refused_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    pull(page, "95", "150")
    saved(page)
    page.locator('[data-act="put-right"]').tap()
    typed(page, "1600")
    page.locator('[data-act="save"]').tap()
    page.locator('[data-why="typed wrongly"]').tap()
    asked = page.locator('.asked [data-item="refused"]')
    asked.wait_for()
    assert "1600" in asked.inner_text()
    page.reload()
    asked.wait_for()
    page.locator('.asked button:has-text("Throw it away")').tap()
    page.locator('.asked button:has-text("Keep it")').wait_for()
    page.locator('.asked button:has-text("Throw it away")').tap()
    saved(page)
    assert finals(server, test) == ["1: 150 psi"]


# If this failed, whoever has the gauge in one cylinder would type its figures for another.
def test_throwing_away_stays_on_the_cylinder_in_hand(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    order = server.book.test(test).header.plan_order
    phone = opens(PHONE)
    phone.refused_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    pull(page, "95", "150")
    saved(page)
    pull(page, "9", "15")  # with a figure lost
    asked = page.locator('.asked [data-item="refused"]')
    asked.wait_for()
    here = page.locator(".who-name")
    assert here.get_attribute("data-at") == order[2]
    page.locator('.asked button:has-text("Throw it away")').tap()
    page.locator('.asked button:has-text("Throw it away")').tap()
    asked.wait_for(state="detached")
    assert here.get_attribute("data-at") == order[2]
    pull(page, "96", "151")
    saved(page)
    assert finals(server, test) == [f"{order[0]}: 150 psi", f"{order[2]}: 151 psi"]
    assert here.get_attribute("data-at") == order[1], "then the one that is still to be read"


# If this failed, nobody could read the screen across the shop, or see on it which cylinder comes next.
@pytest.mark.parametrize("sheet", [EIGHT, INLINE_EIGHT, SIX])
def test_finals_on_a_distant_screen_are_large(server: Served, opens: Opens, sheet: str) -> None:
    test = server.test(sheet)
    phone = server.phone()
    *most, last = server.book.test(test).header.plan_order
    for name in most:
        phone.pull(test, name, 150)
    page = ready(opens(FAR, name="far screen", role=Who.LOOKS_ON).page(f"/tests/{test}/view?far"))
    page.locator(f'.cell-next[data-cylinder="{last}"]:has-text("next")').wait_for()
    phone.pull(test, last, 150)
    page.locator(f'[data-cylinder="{last}"] .cell-final:has-text("150")').wait_for()
    assert page.locator(".cell-next").count() == 0
    sizes = page.evaluate(
        "() => [...document.querySelectorAll('.cell-final')].map((each) => parseFloat(getComputedStyle(each).fontSize))"
    )
    # It is the type that is measured; figures are some seven tenths as high (from memory).
    assert min(sizes) / FAR["viewport"]["height"] >= LEAST_FAR
    cut = "() => [...document.querySelectorAll('.cell-final')].filter((e) => e.scrollWidth > e.clientWidth + 1).length"
    assert page.evaluate(cut) == 0
    assert page.evaluate("() => document.documentElement.scrollHeight <= window.innerHeight")


# If this failed, a screen that has lost the server would go on looking live, or leave out what waits on the phone.
def test_the_view_says_when_it_is_out_of_touch(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    view = ready(phone.page(f"/tests/{test}/view"))
    view.locator('[data-touch="yes"]').wait_for()
    server.stop()
    view.locator('[data-touch="no"]:has-text("since")').wait_for()
    page.bring_to_front()
    pull(page, "95", "150")
    view.bring_to_front()
    view.locator('[data-cylinder="1"]:has-text("150"):has-text("on this phone")').wait_for()
    server.start()
    view.locator('[data-touch="yes"]').wait_for(timeout=20_000)
    view.locator('[data-cylinder="1"]:not([data-place="not read"])').wait_for()


# If this failed, somebody would go on cranking an engine in which something is broken: no screen says stop.
def test_a_dead_cylinder_says_stop_on_every_live_page(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    one, two, three = server.book.test(test).header.plan_order[:3]
    for name, final in ((one, 150), (two, 148), (three, 0)):
        assert server.phone().pull(test, name, final, confirmed=True).status == 201
    said = server.phone().state(test)
    assert said["stopped"] == [three]
    phone = opens(PHONE)
    for path in ("pull", "view", "view?far"):
        page = ready(phone.page(f"/tests/{test}/{path}"))
        stop = page.locator(f'[data-stop="{three}"]')
        assert "Do not crank" in stop.inner_text()
        if path == "pull":
            # The pad keeps its place under the banner, whose whole text unfolds.
            assert page.locator('[data-act="next"]').bounding_box()["y"] < 740  # type: ignore[index]
            stop.locator("summary").tap()
        told = stop.inner_text()
        assert all(sentence in told for sentence in said["stop"])
    assert ready(phone.page(f"/tests/{test}/pull")).locator(".map .dot-stop").count() == 1


# If this failed, somebody would crank on while the Wi-Fi is gone: only the book's own figures would say stop.
def test_a_dead_cylinder_says_stop_before_it_is_in_the_book(server: Served, opens: Opens) -> None:
    test, phone = server.test(SIX), opens(PHONE)
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    name = server.book.test(test).header.plan_order[0]
    server.stop()
    pull(page, "", "0")
    page.locator('[data-act="meant"]').or_(page.locator(f'[data-stop="{name}"]')).first.wait_for()
    if page.locator('[data-act="meant"]').count():
        page.locator('[data-act="meant"]').tap()
    page.locator(f'[data-stop="{name}"]').wait_for()
    server.start()
    saved(page)


# If this failed, a thumb that trembles would make three readings of one pull.
def test_three_touches_in_one_instant_make_one_reading(server: Served, opens: Opens) -> None:
    page, test = opened(server, opens)
    typed(page, "95")
    page.locator('[data-act="next"]').tap()
    typed(page, "150")
    page.evaluate("() => { for (const n of [1, 2, 3]) document.querySelector('[data-act=save]').click(); }")
    page.locator('[data-last="saved"]').wait_for()
    saved(page)
    assert finals(server, test) == ["1: 150 psi"]


# If this failed, "15o" off a keyboard would be taken for 15.
def test_letters_in_a_figure_are_said_and_not_dropped(server: Served, opens: Opens) -> None:
    page, test = opened(server, opens)
    field = page.locator("#typed-first")
    field.press_sequentially("9o")
    page.locator("#typed-fault").wait_for()
    assert "9o" in page.locator("#typed-fault").inner_text()
    page.keyboard.press("Enter")
    typed(page, "5")
    assert (field.input_value(), page.locator('[data-field="final"]').input_value()) == ("9o5", "")
    for _ in "o5":
        page.keyboard.press("Backspace")
    page.locator("#typed-fault").wait_for(state="detached")
    page.locator("h1").click()
    page.keyboard.type("5x")
    assert "95x" in page.locator("#typed-fault").inner_text()
    page.keyboard.press("Backspace")
    page.locator('[data-act="next"]').tap()
    typed(page, "150")
    page.locator('[data-act="save"]').tap()
    saved(page)
    (row,) = server.book.test(test).test.taken
    assert (str(row.first), str(row.final)) == ("95 psi", "150 psi")  # type: ignore[union-attr]


# If this failed, what is not in the mean yet would be cut off at the edge of a phone.
def test_what_is_not_in_the_mean_yet_is_in_sight(server: Served, opens: Opens) -> None:
    test = server.test(SIX)
    phone = opens(PHONE)
    phone.away_is_fine = True
    page = ready(phone.page(f"/tests/{test}/pull"))
    for final in ("150", "140"):
        pull(page, "95", final)
        saved(page)
    server.stop()
    pull(page, "95", "151")
    page.locator('.running-note:has-text("1 pull")').wait_for()
    assert page.evaluate("() => document.documentElement.scrollWidth") <= PHONE["viewport"]["width"]
    right = (
        "() => Math.max(...[...document.querySelectorAll('.running dd')].map((e) => e.getBoundingClientRect().right))"
    )
    assert page.evaluate(right) <= PHONE["viewport"]["width"]
    server.start()
    saved(page)
