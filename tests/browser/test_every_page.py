"""
Every page of the table of ways in: whether everybody can use it, and whether anything goes wrong in it.

axe-core (tests/browser/axe, with its licence) looks for what keeps people out who see badly, or use no mouse or thumb:
its rules are those of the Web Content Accessibility Guidelines 2.2 A and AA, and common practice.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from tests.browser.conftest import PC, PHONE
from tests.calibrated import STUDY, calibration
from tests.records.making import WHO, leakdown
from tests.served import EIGHT, SIX, Served, key

from ringtrue.compression import Gauge
from ringtrue.intake import Typed
from ringtrue.quantities import Measured
from ringtrue.shop.studying import study_bytes
from ringtrue.web.app import ROUTES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page
    from tests.browser.conftest import Opens
    from tests.browser.watched import Watched

AXE = (Path(__file__).parent / "axe" / "axe.min.js").read_text(encoding="utf-8")
FILES = (".pdf", ".toml", ".crt", ".webmanifest", ".js", ".csv", ".json")
NO_PAGES = ("/api/", "/static/", "/photographs/")
SLOW = 120_000
"""The page of what an engine should show works for a while, longer on a busy machine. [ms]"""


def paths(**names: str) -> list[str]:
    """Return the address of every page there is; a way in whose parts nobody knows fails the test."""
    found = []
    for route in ROUTES:
        if route.method == "GET" and not route.path.startswith(NO_PAGES) and not route.path.endswith(FILES):
            path = route.path
            for name, value in names.items():
                path = path.replace("{" + name + "}", value)
            assert "{" not in path, f"{route.path}: the test knows no {path[path.index('{') :]}"
            found.append(path)
    return [*found, f"/tests/{names['test']}/view?far", "/nowhere"]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, list[str]]]:
    """Yield a server with a book in which everything has happened once, and the addresses of its pages."""
    with Served(tmp_path_factory.mktemp("shop")) as server:
        book, phone = server.book, server.phone()
        psi = 6894.757293168361  # exactly 0.45359237 x 9.80665 / 0.0254**2 Pa
        full = Measured(300 * psi, "300", "psi")
        gauge = Gauge("shop gauge", full, Measured(2 * psi, "2", "psi"), "B", calibration=calibration())
        studied = study_bytes("study.csv", STUDY.encode(), Typed(), gauge, "2026-04-02")
        book.add_gauge(studied.with_it(gauge), key=key(), **WHO)
        old = server.test(SIX)
        for number, final in enumerate((151, 149, 152, 150, 148, 151), 1):
            assert phone.pull(old, str(number), final, first=95).status == 201
        book.finish(old, key=key(), **WHO)
        test = server.test(SIX)
        entries = {}
        for number, final in enumerate((151, 149, 152, 150, 118, 151), 1):
            entries[number] = phone.pull(test, str(number), final, first=95).json["entry"]
        phone.pull(test, "5", 121, kind="wet", oil="5 cc")
        phone.pull(test, "2", 143)
        said = {"key": key(), "why": "misread by one mark", "first": "95", "final": "151", "unit": "psi"}
        assert phone.post(f"/api/tests/{test}/readings/{entries[4]}/correct", said).status == 201
        book.add(test, leakdown("5", 58), key=key(), **WHO)
        book.add_event("0417", "oil change", at=Measured(1126540.8, "700", "mile"), date="2026-06-01", key=key(), **WHO)
        server.test(EIGHT)
        yield server, paths(engine="0417", test=test, gauge="shop%20gauge")


def violations(page: Page, options: dict[str, Any]) -> list[str]:
    """Return what axe has against a page."""
    # Given over the debugger, which no policy stands in the way of.
    page.evaluate(AXE)
    found = page.evaluate("(options) => axe.run(document, options)", options)
    return [
        f"{each['id']}: {node['html'][:200]}: {' '.join(node['failureSummary'].split())[:300]}"
        for each in found["violations"]
        for node in each["nodes"]
    ]


def looked_at(device: Watched, shop: list[str], *, in_the_dark: bool) -> dict[str, list[str]]:
    """Return what is wrong with each page: in the light, and in the dark if asked."""
    page = device.context.new_page()
    page.set_default_navigation_timeout(SLOW)
    wrong = {}
    for path in shop:
        page.emulate_media(color_scheme="light")
        page.goto(device.address + path)
        if page.locator("#page[data-test]").count():
            page.locator('#page[data-ready="yes"]').wait_for()
        faults = violations(page, {})
        wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if wide > 0:
            faults.append(f"wider than the screen by {wide} px")
        if in_the_dark:
            page.emulate_media(color_scheme="dark")
            faults += [f"in the dark: {fault}" for fault in violations(page, {})]
        if faults:
            wrong[path] = faults
    page.close()
    return wrong


# If this failed, somebody who sees badly, or who uses a keyboard or a reader of screens, could not use a page.
@pytest.mark.parametrize("kind", [pytest.param(PHONE, id="phone"), pytest.param(PC, id="PC", marks=pytest.mark.soak)])
def test_every_page(shop: tuple[Served, list[str]], opens: Opens, kind: dict[str, Any], soaking: bool) -> None:
    server, addresses = shop
    device = opens(kind, of=server)
    device.refused_is_fine = True  # one of the addresses is nowhere
    addresses = addresses if soaking else addresses[::2]
    wrong = looked_at(device, addresses, in_the_dark=soaking)  # the contrast of both palettes has a test of its own
    assert not wrong, "\n".join(f"{path}: {fault}" for path, faults in wrong.items() for fault in faults)


# If this failed, the tests above would find nothing.
def test_axe_has_teeth(shop: tuple[Served, list[str]], opens: Opens) -> None:
    device = opens(PHONE, of=shop[0])
    page = device.page("/")
    page.evaluate("() => document.querySelector('a').append(document.createElement('img'))")
    page.evaluate("() => { document.querySelector('main').style.color = '#ddd'; }")
    found = violations(page, {})
    assert any(each.startswith("image-alt") for each in found)
    assert any(each.startswith("color-contrast") for each in found)
