"""Bringing in the past in a browser: a workbook is chosen, looked at, put right, and brought in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.browser.conftest import PC
from tests.journeys.test_notebook import NOTEBOOK
from tests.web.test_notebook_page import workbook

if TYPE_CHECKING:
    from pathlib import Path

    from tests.browser.conftest import Opens
    from tests.served import Served


# If this failed, the file that a builder chooses would not be what is looked at, or an earlier one would count.
def test_a_workbook_is_chosen_and_brought_in(server: Served, opens: Opens, tmp_path: Path) -> None:
    (tmp_path / "years.xlsx").write_bytes(workbook())
    (tmp_path / "other.csv").write_text(NOTEBOOK.replace("0417", "0418"), encoding="utf-8")
    device = opens(PC)
    device.refused_is_fine = True  # no unit is said at first
    page = device.page("/")
    page.get_by_role("link", name="Bring in the past").click()
    chooser = page.get_by_label("From a file, CSV or XLSX")
    chooser.set_input_files(tmp_path / "other.csv")
    page.get_by_text("other.csv stands in the field below.").wait_for()
    assert page.get_by_label("The table").input_value().startswith("Engine,Date")
    chooser.set_input_files(tmp_path / "years.xlsx")
    page.get_by_text("years.xlsx goes along as it is.").wait_for()
    assert page.get_by_label("The table").input_value() == ""
    page.get_by_role("button", name="Look at it").click()
    page.get_by_text("figures without a unit").first.wait_for()
    mapping = page.get_by_label("How it is understood")
    assert '"Engine" = "engine"' in mapping.input_value()
    page.get_by_label("Pressures without a unit are in").select_option("psi")
    page.get_by_role("button", name="Look again").click()
    page.get_by_text("Nothing is in the way.").wait_for()
    page.get_by_role("button", name="Bring it in").click()
    page.get_by_text("Brought in: 3 tests with 16 readings").wait_for()
    assert {each.key for each in server.book.engines()} >= {"0417", "Pump four"}
