"""The worksheet for pencil: a row for every pull, and every checklist with its boxes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.report.examples import GAUGE, SHEETS
from tests.report.reading import pictures

from ringtrue.errors import UnitRefused
from ringtrue.report import SheetContent, WorkPlan, worksheet
from ringtrue.report.model import Facts, Sentences, Table
from ringtrue.report.views import EngineView
from ringtrue.wording import cautions, deferral, preparation, pulling, putting_back, safety


def blocks(made: SheetContent) -> list[object]:
    """Return every block of a sheet."""
    return [each for section in made.sections for each in section.blocks]


# If this failed, a cylinder would have no row, or the day's drift would not be seen.
@pytest.mark.parametrize("name", list(SHEETS))
def test_a_row_a_pull_in_pull_order_and_the_first_again(name: str) -> None:
    sheet = SHEETS[name]
    made = worksheet(WorkPlan(sheet=sheet, unit="psi"))
    pulls = next(each for each in blocks(made) if isinstance(each, Table))
    assert [row[0].text for row in pulls.rows] == [*sheet.pull_order, f"{sheet.pull_order[0]}, again"]
    assert {cell.text for row in pulls.rows for cell in row[1:]} == {""}
    heads = {column.title for column in pulls.columns}
    assert {
        "first [psi]",
        "spoiled",
        "final [psi]",
        "strokes",
        "plug",
        "note",
        "mean so far",
        "mean deviation",
    } <= heads
    assert pulls.to_fill_in
    view = next(each.shows for each in pictures(made) if isinstance(each.shows, EngineView))
    assert sorted(each.name for each in view.stations) == sorted(sheet.cylinders)
    assert {each.final for each in view.stations} == {""}


# If this failed, a shop that pulls in another order would write its readings into the wrong rows.
def test_another_order() -> None:
    made = worksheet(WorkPlan(sheet=SHEETS["inline 4"], order=("1", "3", "4", "2")))
    pulls = next(each for each in blocks(made) if isinstance(each, Table))
    assert [row[0].text for row in pulls.rows] == ["1", "3", "4", "2", "1, again"]


# If this failed, somebody would go to the engine without having read what makes the test safe and comparable.
def test_checklists_cautions_and_deferral() -> None:
    sheet = replace(SHEETS["inline 4"], hazards=("direct injection",))
    made = worksheet(WorkPlan(sheet=sheet))
    sentences = [each for each in blocks(made) if isinstance(each, Sentences)]
    boxes = [item for each in sentences if each.style == "boxes" for item in each.items]
    assert boxes == [item.text for part in (preparation, safety, putting_back) for item in part(sheet)]
    said = [item for each in sentences for item in each.items]
    assert all(item.text in said for item in pulling(sheet))
    assert all(each.text in said for each in cautions(sheet))
    assert deferral() in said


# If this failed, what is already known would have to be written again, and what is not would have no line.
def test_what_is_known_stands_there_and_the_rest_has_a_line() -> None:
    known = {
        fact.label: fact.value for each in blocks(worksheet(_plan())) if isinstance(each, Facts) for fact in each.rows
    }
    assert (known["gauge"], known["range"], known["smallest step"]) == ("shop gauge", "0 to 300 psi", "2 psi")
    assert {known[label] for label in ("barometer or altitude", "inlet air", "cranking speed", "battery")} == {""}
    blank = worksheet(WorkPlan(sheet=SHEETS["inline 4"]))
    assert "unit of the readings" in {fact.label for fact in blank.facts}
    assert all(each.to_fill_in for each in blocks(blank) if isinstance(each, Facts))


def _plan() -> WorkPlan:
    return WorkPlan(sheet=SHEETS["inline 4"], unit="psi", gauge=GAUGE)


# If this failed, a worksheet could ask for readings in a unit that no file or page would take back.
def test_a_unit_has_to_be_one() -> None:
    with pytest.raises(UnitRefused):
        worksheet(replace(_plan(), unit="stone"))
