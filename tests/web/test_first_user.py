"""What a builder meets who has never seen the pages: slips told once and at their place, nothing left in the way."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest
from tests.web.pages import Filled, filled, look, read, sent, sound, stamped
from tests.web.shop import Shop

from ringtrue.records import EntryKind, Header
from ringtrue.shop.at_engine import add_pull
from ringtrue.shop.beginning import Beginning, begin
from ringtrue.shop.pull_said import PullSaid
from ringtrue.web import answered_forms
from ringtrue.web.page_words import without_options
from ringtrue.web.pages.sheets import PASTED
from ringtrue.web.routes import Who

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

V_SIX = '[engine]\nname = "V six"\nlayout = "V"\ncylinders = ["1", "2", "3", "4", "5", "6"]\n'


@pytest.fixture
def found(tmp_path: Path) -> Iterator[Filled]:
    """Yield a shop in which an engine was tested."""
    with Shop(tmp_path) as shop:
        yield filled(shop)


# If this failed, whoever begins a test would be sent back once for every slip, and not be told where it is.
def test_what_keeps_a_test_from_beginning_is_told_at_once(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = "/engines/0417/plan"
    form = {"key": look(device, here).value("key"), "do": "begin", "run_since_build": "500", "gauge": "nobody's"}
    answer = sent(device, here, {**form, "altitude": "300", "order": "1, 2", "oil": "80"})
    page = read(answer)
    sound(page, here)
    assert answer.status == 422
    for field in ("run_since_build", "gauge", "altitude", "order", "oil"):
        assert page.faults(field), field
    assert "Not ticked" in page.text
    # A height is told in m or ft, which 300 mm is not.
    assert page.faults("altitude")[0].endswith("Type 300 m or 300 ft.")
    assert len(found.shop.book.tests("0417")) == 2


# If this failed, a figure whose field states its unit would be refused for want of it.
def test_a_bare_number_is_in_the_unit_that_its_field_states(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    here = "/engines/0417/plan"
    form = {"key": look(device, here).value("key"), "do": "anyway", "battery": "12.4", "cranking_speed": "190"}
    assert device.send(here, form).status == 303
    day = found.shop.book.tests("0417")[-1].header
    assert day is not None
    assert (str(day.conditions.battery), str(day.conditions.cranking_speed)) == ("12.4 V", "190 rpm")


# If this failed, the way back to a refused form would ask to send it again, and show it to somebody else.
def test_a_refused_form_has_an_address_of_its_own(found: Filled) -> None:
    device, other = found.shop.device(Who.ENTERS), found.shop.device(Who.ENTERS)
    here = "/engines/0417/history"
    form = {"key": look(device, here).value("key"), "text": "oil change", "at": "later"}
    headers = device._as_form()
    body = "&".join(f"{name}={text.replace(' ', '+')}" for name, text in form.items()).encode()
    answer = device.ask("POST", here, body, headers.items())
    assert answer.status == 303
    at = answer.header("location")
    assert re.fullmatch(re.escape(here) + r"\?answered=[\w-]{20,}", at)
    for _ in range(2):
        page = look(device, at, status=422)
        assert page.faults("at")
        assert page.value("text") == "oil change"
    assert look(other, at).value("text") == ""
    # A program that asks for no page is answered at once.
    assert device.ask("POST", here, body, {**headers, "accept": "*/*"}.items()).status == 422


# If this failed, reloading a notebook that was looked at would ask to send it again, and going back would lose it.
def test_what_was_looked_at_has_an_address_too(found: Filled, monkeypatch: pytest.MonkeyPatch) -> None:
    device, here = found.shop.device(Who.ENTERS), "/notebook"
    table = "engine;date;cylinder;final psi\n0417;2019-05-01;1;150\n"
    fields = {"key": look(device, here).value("key"), "workbook": "", "name": "old", "table": table, "do": "look"}
    answer = device.ask("POST", here, urlencode(fields).encode(), device._as_form().items())
    at = answer.header("location")
    assert (answer.status, at.startswith(f"{here}?answered=")) == (303, True)
    for _ in range(2):
        assert look(device, at).value("table") == table.strip()
    # So many bytes are kept: an older answer is forgotten, and its address shows the form empty.
    monkeypatch.setattr(answered_forms, "MOST_BYTES", 1)
    later = device.ask("POST", here, urlencode(fields).encode(), device._as_form().items()).header("location")
    assert [look(device, each).value("table") for each in (at, later)] == ["", table.strip()]


# If this failed, who plans a test of an engine that came out of a notebook would be sent away without a way on.
def test_the_plan_of_an_engine_without_a_build_sheet_leads_to_it(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    found.shop.book.start(Header("0500", "no sheet yet"), sheet_text=None, key="none", who="owner", device="shop PC")
    answer = device.get("/engines/0500/plan", accept="text/html")
    assert (answer.status, answer.header("location")) == (303, "/engines/0500")
    page = look(device, "/engines/0500")
    assert "/engines/0500/sheet" in [each.attributes.get("href") for each in page.all("a")]


# If this failed, an empty test would stand among those to go on with for ever, or a reading that comes late be lost.
def test_an_empty_test_is_put_aside_and_taken_up_again(found: Filled) -> None:
    shop, device = found.shop, found.shop.device(Who.ENTERS)
    test = begin(shop.book, shop.place, Beginning("0417"), stamped())
    assert f"/tests/{test}" in device.get("/", accept="text/html").text
    here = f"/tests/{test}"
    form = {"key": look(device, here).value("key"), "why": ""}
    assert read(device.send(here, form)).faults("why")
    for _ in range(2):
        assert device.send(here, {**form, "why": "begun on the wrong engine"}).status == 303
    assert test not in device.get("/", accept="text/html").text
    assert test not in {each.test_id for each in shop.book.open_tests()}
    assert "begun on the wrong engine" in look(device, here).text
    recorded = shop.book.test(test)
    assert [each.kind for each in recorded.entries] == [EntryKind.OPENED, EntryKind.PUT_ASIDE]
    assert shop.book.verify() == ()
    # A phone that was away still has a reading of it.
    add_pull(shop.book, test, PullSaid("1", "95", "150", "psi"), stamped())
    assert shop.book.test(test).put_aside == ""
    assert test in {each.test_id for each in shop.book.open_tests()}


# If this failed, a V engine would be drawn as one row, with gasket neighbours that are none.
@pytest.mark.parametrize("as_text", [True, False])
def test_a_v_engine_says_its_banks_before_it_is_filed(found: Filled, *, as_text: bool) -> None:
    device, here = found.shop.device(Who.ENTERS), "/sheets/new"
    key = look(device, here).value("key")
    said = {"name": "V six", "layout": "V", "cylinders": "6", "do": "file"}
    names = {each.attributes.get("name", "") for each in look(device, here).all("input", "select", "textarea")}
    assert set(said) - {"do"} <= names
    form = {"do": "text", PASTED: V_SIX} if as_text else said
    answer = device.send(here, {"key": key, **form})
    assert answer.status == 422
    assert "for example 1 2 3 / 4 5 6" in answer.text
    assert "V six" not in {each.name for each in found.shop.book.engines()}


# If this failed, the record page would leave out what a correction replaced, and who opened or ended the test.
def test_the_record_shows_every_entry(found: Filled) -> None:
    shop, device = found.shop, found.shop.device()
    book = shop.book
    seq = book.test(found.june).standing[0]
    row = book.test(found.june).test.taken[0]
    first = str(row.final)  # type: ignore[union-attr]
    book.correct(
        found.june, seq, replace(row, note="again"), why="note forgotten", key="k" * 20, who="Alder", device="PC"
    )
    page = look(device, f"/tests/{found.june}/corrections")
    rows = [each for each in page.all("th") if each.attributes.get("data-name") == "entry"]
    assert [each.text for each in rows] == [str(entry.seq) for entry in book.test(found.june).entries]
    assert f"final {first}" in page.text
    assert f"see entry {book.test(found.june).corrections[0].seq}" in page.text


# If this failed, the builder would choose the low cylinder once more that the check has named.
def test_the_leak_down_page_chooses_the_cylinder_that_is_looked_into(found: Filled) -> None:
    device = found.shop.device(Who.ENTERS)
    page = look(device, f"/tests/{found.open}/leakdown")
    ticked = [each.attributes["value"] for each in page.all("input") if "checked" in each.attributes]
    assert ticked == ["3"]  # at 120 psi among 150 (the fixture)
    page = look(device, f"/tests/{found.open}/leakdown?cylinder=2")
    assert [each.attributes["value"] for each in page.all("input") if "checked" in each.attributes] == ["2"]
    # 720 deg over six cylinders: every 120 deg (common practice).
    assert sum(each.text.strip() == "120 deg (1/3 turn)" for each in page.all("td")) == 5


# If this failed, a page would tell its reader to type an option of the command line.
@pytest.mark.parametrize(
    ("told", "left"),
    [
        ("type 1.5 or 15, or say --decimal comma or --decimal point", "type 1.5 or 15"),
        ("check the figure and its unit; say --confirm-unit if it is meant", "check the figure and its unit"),
        ("check the unit (--unit, or the header)", "check the unit"),
        ("look with ringtrue book list, or leave --go-on out", ""),
        (
            "Read a barometer on the spot, not reduced to sea level, and give it as --barometer or in the test file.",
            "Read a barometer on the spot, not reduced to sea level, and say it when the test begins.",
        ),
        ("The level cannot be foretold. Say --oil to carry it too.", "The level cannot be foretold."),
        ("type for example 150 psi", "type for example 150 psi"),
    ],
)
def test_no_option_of_the_command_line_stands_on_a_page(told: str, left: str) -> None:
    assert without_options(told) == left


# If this failed, one of the pages would name an option all the same. Commands to type at the shop PC stand in <code>.
def test_no_page_names_an_option(found: Filled) -> None:
    device = found.shop.device()
    test = found.open
    for path in ("", "/explain", "/leakdown", "/corrections", "/sheet", "/photos", "/film"):
        text = re.sub(
            r"(?s)<code>.*?</code>|<noscript>.*?</noscript>",
            "",
            device.get(f"/tests/{test}{path}", accept="text/html").text,
        )
        assert not re.search(r"[\s“(]--[a-z]", text), path
    for path in ("/plan", "/expect", "/history", ""):
        text = device.get(f"/engines/0417{path}", accept="text/html").text
        assert not re.search(r"[\s“(]--[a-z]", text), path
