"""The calm pages, looked at: every one of them, with plain texts and with hostile ones, by whoever may."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.web.pages import HOSTILE, Filled, filled, hostile_sheet, look, read, stamped
from tests.web.shop import Shop, key

from ringtrue.intake import parse_sheet
from ringtrue.records import Owner
from ringtrue.shop.at_engine import add_pull
from ringtrue.shop.beginning import Beginning, begin
from ringtrue.shop.pull_said import PullSaid
from ringtrue.web.pages.table import ROUTES
from ringtrue.web.pages.where import engine_path
from ringtrue.web.routes import Who


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Filled]:
    with Shop(tmp_path_factory.mktemp("shop")) as made:
        yield filled(made)


def _pages(found: Filled) -> list[str]:
    engine, june, still_open = "/engines/0417", f"/tests/{found.june}", f"/tests/{found.open}"
    return [
        "/",
        "/sheets/new",
        "/gauges",
        "/settings",
        engine,
        *(f"{engine}/{each}" for each in ("sheet", "plan", "history", "trend", "trend/why", "expect")),
        f"{engine}/history/carried?test={found.june}&test={found.open}",
        *(
            f"{each}{page}"
            for each in (june, still_open)
            for page in ("", "/why", "/explain", "/leakdown", "/corrections")
        ),
        f"{june}/sheet",
        f"{june}/sheet?paper=letter",
    ]


# A page that has an id twice, a field without a label, or a script of its own, is one that somebody cannot use.
def test_every_page_is_one_that_anybody_can_use(shop: Filled) -> None:
    owner = shop.shop.device(Who.OWNER)
    for path in _pages(shop):
        look(owner, path)


# Who looks on would be shown forms that the server then refuses, or be kept out of what he may see.
def test_who_looks_on_sees_no_form_that_writes(shop: Filled) -> None:
    looks_on = shop.shop.device(Who.LOOKS_ON)
    shut = {each.path for each in ROUTES if each.who > Who.LOOKS_ON and each.method == "GET"}
    assert shut >= {"/sheets/new", "/engines/{engine}/sheet", "/engines/{engine}/plan", "/settings"}
    for path in _pages(shop):
        if path in {"/sheets/new", "/settings"} or path.endswith(("/0417/sheet", "/plan", "/film", "/pull")):
            assert looks_on.get(path, accept="text/html").status == 403, path
        else:
            page = look(looks_on, path)
            assert all(each.attributes.get("method") != "post" for each in page.all("form")), path


# A route that writes and asks for nobody's role would let anyone on the network change records.
def test_every_page_that_writes_takes_a_role_that_enters() -> None:
    assert all(each.who >= Who.ENTERS for each in ROUTES if each.method == "POST")
    assert all(each.who >= Who.LOOKS_ON for each in ROUTES)


# An empty book would leave a new user with nothing to do.
def test_an_empty_book_says_what_to_do_first(tmp_path: Path) -> None:
    with Shop(tmp_path) as empty:
        page = look(empty.device(Who.ENTERS), "/")
        assert "The record book is empty" in page.text
        assert any(each.attributes.get("href") == "/sheets/new" for each in page.all("a"))
        assert "on one that enters readings" in look(empty.device(Who.LOOKS_ON), "/").text


# What is told first would be a table of numbers instead of an answer.
def test_a_judgement_begins_with_the_answer_in_a_builders_words(shop: Filled) -> None:
    page = look(shop.shop.device(), f"/tests/{shop.june}")
    lead = next(each for each in page.all("p") if "lead" in each.attributes.get("class", ""))
    assert lead.text.startswith("All 6 cylinders are in line with one another")
    assert "CT-01" in page.text
    assert "common practice" in page.text


# Page and hand-over sheet would say two things of one test.
def test_page_and_sheet_say_the_same(shop: Filled) -> None:
    owner = shop.shop.device()
    page = look(owner, f"/tests/{shop.june}")
    answer = owner.get(f"/tests/{shop.june}/sheet.html", accept="text/html")
    sheet = read(answer)
    assert "style-src 'sha256-" in answer.header("content-security-policy")
    assert "frame-ancestors 'none'" in answer.header("content-security-policy")
    told = {" ".join(each.text.split()) for each in sheet.all("td", "dd") if each.text.strip()}
    shown = " ".join(page.text.split())
    elsewhere = {each for each in told if each not in shown}
    assert len(told) > 60
    assert elsewhere <= {"0417"}, elsewhere  # its reference stands on the engine's page


# An open test would be read as a finished one.
def test_an_open_test_says_so_and_leads_to_the_next_pull(shop: Filled) -> None:
    page = look(shop.shop.device(Who.ENTERS), f"/tests/{shop.open}")
    assert "This test is still open; cylinder 6 comes next." in " ".join(page.text.split())
    assert any(each.attributes.get("href") == f"/tests/{shop.open}/pull" for each in page.all("a"))


# A verdict would be given on a cylinder of which two people read two things.
def test_two_readings_of_a_cylinder_withhold_its_verdict(tmp_path: Path) -> None:
    with Shop(tmp_path) as made:
        found = filled(made)
        add_pull(made.book, found.open, PullSaid("2", "95", "143", "psi"), stamped("Bran", "tablet"))
        device = made.device()
        for page in ("", "/explain"):
            text = " ".join(look(device, f"/tests/{found.open}{page}").text.split())
            assert "Cylinder 2: not judged (two readings)." in text, page


# A name could run as a program in the browser of whoever looks at it, break the page, or hide what stands beside it.
def test_hostile_texts_are_shown_as_they_were_typed(tmp_path: Path) -> None:
    with Shop(tmp_path) as made:
        text = hostile_sheet()
        sheet = parse_sheet(text)
        made.book.file_sheet(sheet.key, sheet.name, text, key=key(), who=HOSTILE[:60], device="<i>")
        said = Beginning(sheet.key, by=HOSTILE[:80], note=HOSTILE)
        test = begin(made.book, made.place, said, stamped("<b>A", "<u>"))
        for name in sheet.cylinders:
            add_pull(made.book, test, PullSaid(name, "90", "140", "psi", note=HOSTILE), stamped(HOSTILE[:60], "<u>"))
        made.book.add_event(sheet.key, HOSTILE, key=key(), who="<b>", device="<i>")
        made.book.set_owner(sheet.key, Owner(HOSTILE, HOSTILE))
        owner = made.device(person=HOSTILE[:100], device="<i>phone")
        here, engine = f"/tests/{test}", engine_path(sheet.key)
        paths = [
            "/",
            engine,
            *(f"{engine}/{each}" for each in ("sheet", "plan", "history", "trend", "trend/why", "expect")),
            *(f"{here}{each}" for each in ("", "/why", "/explain", "/leakdown", "/corrections", "/sheet")),
        ]
        for path in paths:
            page = look(owner, path)
            assert "<script>alert(1)</script>" in page.text, path
            assert all("alert" not in each.text for each in page.all("script")), path
            assert not list(page.all("img", "b", "u")), path
            assert "{{ 7*7 }}" in page.text or "49" not in page.text, path
        assert owner.get(f"{here}/sheet.pdf").body.startswith(b"%PDF-")


# A link to something that is not there would end in a page of another language.
@pytest.mark.parametrize(
    "path", ["/tests/zzzz-zzzz", "/tests/zzzz-zzzz/explain", "/engines/nobody", "/engines/nobody/plan", "/engines/~2E"]
)
def test_what_is_not_there_is_said_on_a_page(shop: Filled, path: str) -> None:
    page = look(shop.shop.device(), path, 404)
    assert any("the book" in each.text.casefold() for each in page.all("p")), page.text


# The engine "12/4" would have no page, since a stroke parts folders in an address.
@pytest.mark.parametrize("name", ["12/4", "..", "a~2Fb", "a b?c#d%2F", "\u05d0\u05d1", "C:\\x"])
def test_any_name_of_an_engine_has_an_address(tmp_path: Path, name: str) -> None:
    with Shop(tmp_path) as made:
        made.book.add_event(name, "built", key=key(), who="Alder", device="PC", new_engine=True)
        path = engine_path(name)
        assert path.count("/") == 2
        page = look(made.device(), path)
        assert next(page.all("h1")).text == name


# The file would be kept under a name that a disk refuses, or nobody finds again.
def test_the_pdf_has_a_name_to_find_it_by(shop: Filled) -> None:
    answer = shop.shop.device(Who.LOOKS_ON).get(f"/tests/{shop.june}/sheet.pdf?paper=Letter")
    assert answer.body.startswith(b"%PDF-")
    assert answer.header("content-disposition") == f'inline; filename="launch-six-2025-06-20-{shop.june}.pdf"'


# Paper that no printer has would be asked for.
def test_a_paper_that_nobody_has_is_refused(shop: Filled) -> None:
    look(shop.shop.device(), f"/tests/{shop.june}/sheet.html?paper=A17", 422)


# The worksheet would be that of another engine, or in another order.
def test_the_worksheet_can_be_printed(shop: Filled) -> None:
    answer = shop.shop.device(Who.LOOKS_ON).get("/engines/0417/worksheet.pdf?order=6 5 4 3 2 1".replace(" ", "+"))
    assert answer.body.startswith(b"%PDF-")
    assert "worksheet-launch-six.pdf" in answer.header("content-disposition")
