"""Bringing in the past on a page: a pasted table or a workbook. Every engine in them is invented."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from tests.journeys.test_notebook import NOTEBOOK
from tests.web.pages import Page, look, read, sound
from tests.web.shop import Shop

from ringtrue.web.routes import Who

HERE = "/notebook"
IN_PSI = ('\nunit = ""', '\nunit = "psi"')


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """Yield a shop with an empty book."""
    with Shop(tmp_path) as made:
        yield made


def sent(shop: Shop, do: str, **fields: str) -> tuple[int, Page]:
    """Send the form as a browser does; the status and the page."""
    device = shop.device(Who.ENTERS)
    form = {"key": look(device, HERE).value("key"), "workbook": "", "name": "old.csv", "do": do, **fields}
    answer = device.send(HERE, form)
    return answer.status, read(answer)


def workbook() -> bytes:
    """Return the notebook as a spreadsheet writes it."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for line in NOTEBOOK.splitlines():
        sheet.append([int(cell) if cell.isdigit() and cell[0] != "0" else cell for cell in line.split(",")])
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


# If this failed, looking would write, a fault would stand where nobody sees it, or what was typed be lost.
def test_looked_at_put_right_and_brought_in(shop: Shop) -> None:
    status, page = sent(shop, "look", table=NOTEBOOK)
    assert status == 422
    sound(page, HERE)
    assert "16 figures without a unit" in " ".join(page.faults("map"))
    assert page.value("table") == NOTEBOOK.strip()
    assert "3 tests with 16 readings" in page.text
    mapping = page.value("map").replace(*IN_PSI)
    status, page = sent(shop, "look", table=NOTEBOOK, map=mapping)
    assert (status, page.value("map")) == (200, mapping.strip())
    assert "Nothing is in the way" in page.text
    assert shop.book.tests() == ()
    status, page = sent(shop, "bring", table=NOTEBOOK, map=mapping)
    assert status == 200
    sound(page, HERE)
    assert "Brought in: 3 tests with 16 readings; engines new to the book: 2." in page.text
    assert len(shop.book.tests()) == 3
    test = shop.book.test(shop.book.tests()[0].test_id)
    assert test.header.brought_in is not None
    assert (test.header.brought_in.file, test.entries[0].who) == ("old.csv", "Alder")
    status, page = sent(shop, "look", table=NOTEBOOK)
    assert (status, "remembered from the last file" in page.text) == (200, True)
    assert "There is nothing to bring in" in page.text
    status, page = sent(shop, "bring", table=NOTEBOOK)
    assert (status, len(shop.book.tests())) == (200, 3)
    assert "Brought in: 0 tests" in page.text


# If this failed, a builder would have to write a mapping to say in which unit he wrote, or his choice would not count.
def test_what_is_open_is_chosen(shop: Shop) -> None:
    _, page = sent(shop, "look", table=NOTEBOOK)
    status, page = sent(shop, "look", table=NOTEBOOK, map=page.value("map"), unit="psi", dates="", run_unit="furlong")
    assert (status, '\nunit = "psi"' in page.value("map")) == (200, True)
    assert 'run_unit = ""' in page.value("map")
    assert "Pressures without a unit are in" not in page.text
    assert "Distance or running time without a unit is in" in page.text


# If this failed, the page would count cells in which nothing was read, or call one test tests.
def test_what_was_read_is_counted(shop: Shop) -> None:
    table = "engine,date,1 [psi],2 [psi]\nFerry six,2019-05-14,150,-"
    _, page = sent(shop, "look", table=table)
    assert "1 test with 1 reading." in page.text
    _, page = sent(shop, "bring", table=table, map=page.value("map"))
    assert "Brought in: 1 test with 1 reading; engines new to the book: 1." in page.text


# If this failed, a workbook would have to be saved as something else first.
def test_a_workbook(shop: Shop) -> None:
    raw = base64.b64encode(workbook()).decode()
    _, page = sent(shop, "look", workbook=raw, name="years.xlsx", table="")
    assert page.value("workbook") == raw
    mapping = page.value("map").replace(*IN_PSI)
    status, page = sent(shop, "bring", workbook=raw, name="years.xlsx", table="", map=mapping)
    assert (status, len(shop.book.tests())) == (200, 3), page.text
    brought = shop.book.test(shop.book.tests()[0].test_id).header.brought_in
    assert brought is not None
    assert brought.file == "years.xlsx"


# If this failed, a slip would be told away from where it stands, or bring in what nobody has looked at.
@pytest.mark.parametrize(
    ("fields", "field", "says"),
    [
        ({"table": ""}, "table", "the notebook is missing"),
        ({"table": "", "workbook": "no file!"}, "table", "this is no file that can be read"),
        ({"table": "", "workbook": "UEsDBA=="}, "table", "it is no spreadsheet that can be read"),
        ({"table": "a,b\n1,2"}, "table", "engine"),
        (
            {"table": "engine,date,1 [psi],2 [psi]\nE,2019-05-14,150,151"},
            "table",
            "nobody has seen yet how its columns are understood",
        ),
        ({"table": NOTEBOOK, "map": "[notebook]\nunit = 3"}, "map", "unit"),
        ({"table": NOTEBOOK, "map": "this is none"}, "map", "line 1"),
    ],
)
def test_refused_beside_its_field(fields: dict[str, str], field: str, says: str, shop: Shop) -> None:
    status, page = sent(shop, "bring", **fields)
    assert status == 422
    sound(page, HERE)
    beside = " ".join(page.faults(field))
    assert beside, page.text
    assert says.casefold() in beside.casefold(), beside
    assert shop.book.tests() == ()


# If this failed, a file with a slip in every row would be a page that nobody can read.
def test_a_long_list_of_faults_is_cut(shop: Shop) -> None:
    table = "engine,date,1 [psi],2 [psi]\n" + "".join(f"E{n},2019-02-30,150,151\n" for n in range(80))
    status, page = sent(shop, "look", table=table)
    assert status == 422
    assert len(page.faults("table")) == 31
    assert "more such faults" in page.faults("table")[-1]
