"""
Whatever people type is shown as they typed it, on every page: never markup, code, or an address that is asked for.

Every payload would leave a mark if it came to life: an element or an attribute with the word `alive`, a variable, a
dialog, a line in the console (the content security policy stops scripts within the page and says so), a request to
elsewhere.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING
from urllib.parse import quote

from tests.browser.conftest import PC, PHONE
from tests.browser.test_every_page import paths
from tests.records.making import Who
from tests.report.test_hostile_texts import PAYLOADS
from tests.served import Served, key

from ringtrue.compression import Gauge
from ringtrue.intake import parse_sheet
from ringtrue.records import Header, Owner

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from tests.browser.conftest import Opens

OURS = [
    "<img src=x data-alive onerror=alive=1>",
    '"><b data-alive>',
    "'><b data-alive>",
    '" data-alive x="',
    "' data-alive x='",
    "</textarea><b data-alive>",
    "</option></select><b data-alive>",
    "</script><script>alive=1</script>",
    "<svg data-alive onload=alive=1>",
    "</title><b data-alive>",
    "</template><b data-alive>",
    "<iframe srcdoc='<b data-alive>'>",
    "javascript:alive=1",
    "<math><mtext data-alive>",
    "<form data-alive action=//x.example><button>",
    "<style data-alive>*{display:none}</style>",
    "<link data-alive rel=stylesheet href=//x.example>",
    "<meta data-alive http-equiv=refresh content='0;url=//x.example'>",
    "{{ ''.__class__ }}{% include 'x' %}",
    "${alive=1}",
    "__html",
    "constructor",
    "\u202e<b data-alive>",
    "&lt;b data-alive&gt;",
]
EVERY = (*OURS, *PAYLOADS, *(f'">{each}' for each in PAYLOADS))
FIELDS = 12
LONGEST = 180


def texts(round_: int) -> list[str]:
    """Return one hostile text for each field; over the rounds every text comes into every field."""
    every = [each for each in EVERY if each.isprintable()]
    return [every[(round_ + 7 * field) % len(every)][:LONGEST] for field in range(FIELDS)]


def engine_of(server: Served, said: list[str]) -> tuple[str, str]:
    """Put one text into each field that a person can fill; the engine's address and the test."""
    name, reference, by, note, gauge, pull_note, why, person, device, event, address, cylinder = said
    cylinder = cylinder[:20].replace(";", "").strip()
    book = server.book
    sheet = "\n".join(
        [
            "[engine]",
            f"name = {quoted(name)}",
            f"reference = {quoted('r' + key()[:6] + ' ' + reference)}",
            'layout = "inline"',
            f'cylinders = ["1", "2", {quoted(cylinder)}]',
            "",
        ]
    )
    known = parse_sheet(sheet)
    header = Header(
        known.reference, name, by=by, gauge=Gauge(gauge), plan_order=known.cylinders, note=note, date="2026-05-14"
    )
    stamp: Who = {"who": person, "device": device}
    test = book.start(header, sheet_text=sheet, key=key(), **stamp)
    book.add_gauge(Gauge(gauge), key=key(), **stamp)
    book.add_event(known.reference, event, date="2026-06-01", key=key(), **stamp)
    book.set_owner(known.reference, Owner(name=address, contact=address, note=address))
    phone = server.phone(person, device)
    entry = phone.pull(test, "1", 150, note=pull_note).json["entry"]
    assert phone.pull(test, cylinder, 151).status == 201
    assert phone.pull(test, "2", "", note=pull_note).status == 201
    corrected = {"key": key(), "why": why, "final": "149", "unit": "psi"}
    assert phone.post(f"/api/tests/{test}/readings/{entry}/correct", corrected).status == 201
    return known.reference, test


def quoted(text: str) -> str:
    """Write a text as TOML does."""
    return json.dumps(text, ensure_ascii=False)


def alive(page: Page) -> list[str]:
    """Return what has come to life."""
    return [
        *page.evaluate("() => [...document.querySelectorAll('[data-alive]')].map((each) => each.outerHTML)"),
        *page.evaluate("() => typeof alive === 'undefined' ? [] : ['a script ran']"),
        *page.evaluate(
            "() => [...document.querySelectorAll('a[href]')].map((each) => each.href)"
            ".filter((href) => !href.startsWith(location.origin) && !href.startsWith('mailto:'))"
        ),
    ]


# If this failed, anybody who may type a note could run a program in the owner's browser.
def test_hostile_texts_on_every_page(server: Served, opens: Opens, soaking: bool) -> None:
    rounds = len(EVERY) if soaking else 1
    found: dict[str, list[str]] = {}
    for number in range(rounds):
        said = texts(5 * number)
        engine, test = engine_of(server, said)
        device = opens(PC if number % 2 else PHONE, person=said[7], name=said[8])
        device.refused_is_fine = True
        page = device.context.new_page()
        page.on("dialog", lambda dialog: found.setdefault("dialog", []).append(dialog.message))
        for path in paths(engine=quote(engine, safe=""), test=test, gauge=quote(said[4], safe="")):
            page.goto(device.address + path)
            if page.locator("#page[data-test]").count():
                page.locator('#page[data-ready="yes"]').wait_for()
            for each in alive(page):
                found.setdefault(path, []).append(each)
        page.close()
        device.context.close()
    assert found == {}


# If this failed, the test above would find nothing.
def test_what_comes_to_life_is_found(opens: Opens) -> None:
    page = opens(PHONE).page("/")
    page.evaluate("(text) => { document.querySelector('main').innerHTML = text; }", OURS[1])
    assert alive(page)
