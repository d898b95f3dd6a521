"""Calibration files: what they may look like, and what is refused or asked about. All figures are invented."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from tests.calibrated import FILE, PSI, gauge, points

from ringtrue.compression import Approach, Gauge
from ringtrue.errors import ReadingsRefused
from ringtrue.intake import CalibrationFile, Typed, read_calibration
from ringtrue.units import DecimalMark, Dimension, find_unit

GAUGE = replace(gauge(), calibration=None)


def read(
    folder: Path, text: str, of: Gauge = GAUGE, typed: Typed | None = None, *, right: bool = False
) -> CalibrationFile:
    """Return what a CSV file says."""
    path = folder / "points.csv"
    path.write_text(text, encoding="utf-8")
    return read_calibration(path, of, typed or Typed(), columns_right=right)


# If this failed, a calibration would depend on the program that it was typed into.
def test_csv_xlsx_and_json_say_the_same(tmp_path: Path) -> None:
    plain = read(tmp_path, FILE).points
    assert plain == points()
    rows = [line.split(",") for line in FILE.splitlines()]
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([*rows[0], "date", "against", "temperature [C]", "reference uncertainty [psi]"])
    for index, row in enumerate(rows[1:]):
        more = [date(2026, 3, 1), "deadweight", 21, 0.4] if index == 0 else []
        sheet.append([float(row[0]), float(row[1]), row[2], *more])
    book.save(tmp_path / "points.xlsx")
    found = read_calibration(tmp_path / "points.xlsx", GAUGE, Typed())
    assert [point.shown.pressure for point in found.points] == [point.shown.pressure for point in plain]
    assert (found.date, found.against) == ("2026-03-01", "deadweight")
    assert str(found.temperature) == "21 C"
    assert found.reference_uncertainty is not None
    assert found.reference_uncertainty.value == pytest.approx(0.4 * PSI)
    objects = [dict(zip(rows[0], [float(row[0]), float(row[1]), row[2]], strict=True)) for row in rows[1:]]
    (tmp_path / "points.json").write_text(json.dumps(objects), encoding="utf-8")
    again = read_calibration(tmp_path / "points.json", GAUGE, Typed()).points
    assert [(p.shown.pressure, p.approach) for p in again] == [(p.shown.pressure, p.approach) for p in plain]


# If this failed, a shop with decimal commas or a reference in another unit would have to type its certificate anew.
def test_commas_and_units(tmp_path: Path) -> None:
    text = "reference [bar];shown [psi];direction\n0;0;rising\n5;73;up\n10,5;153;rising\n20;290;rising\n10,5;155;down\n"
    found = read(tmp_path, text, typed=Typed(decimal=DecimalMark.COMMA)).points
    assert found[2].reference.pressure == pytest.approx(1_050_000)
    assert found[-1].approach is Approach.FALLING
    bare = "reference,shown,direction\n0,0,rising\n100,101,rising\n200,201,rising\n"
    typed = Typed(unit=find_unit("psi", Dimension.PRESSURE))
    assert read(tmp_path, bare, typed=typed).points[1].shown.pressure == pytest.approx(101 * PSI)


# If this failed, points that only rise would need a column that says so of each.
def test_without_directions_rising_rows_are_rising(tmp_path: Path) -> None:
    found = read(tmp_path, "reference [psi],shown [psi]\n0,0\n100,101\n200,203\n")
    assert {point.approach for point in found.points} == {Approach.RISING}
    assert any("nothing was taken falling" in each for each in found.warnings)
    assert any("3 levels are few" in each for each in found.warnings)


HEAD = "reference [psi],shown [psi],direction\n"
REFUSED = {
    "two points": (HEAD + "0,0,rising\n100,101,rising\n", "2 levels taken rising: Through two points goes a line"),
    "falling only": (HEAD + "200,201,falling\n100,101,falling\n0,0,falling\n", "all points are falling"),
    "no unit": ("reference,shown,direction\n0,0,rising\n", "1 figure without a unit: a pressure needs its unit"),
    "beyond the range": (HEAD + "0,0,rising\n150,151,rising\n310,312,rising\n", "The gauge goes to 300 psi"),
    "twice": (HEAD + "0,0,rising\n100,101,rising\n100,102,rising\n200,201,rising\n", "row 3 is the same point"),
    "no shown": ("reference [psi],direction\n0,rising\n", "a column “shown” is missing"),
    "no reference": ("shown [psi]\n0\n", "a column “reference” is missing"),
    "blank": (HEAD + "0,,rising\n100,101,rising\n200,201,rising\n", "What the gauge showed is missing"),
    "direction": (HEAD + "0,0,sideways\n100,101,rising\n200,201,rising\n", "From which side the needle came is rising"),
    "unclear": ("reference [psi],shown [psi]\n0,0\n100,101\n50,51\n", "add a column “direction”"),
    "off": (HEAD + "0,0,rising\n100,151,rising\n200,201,rising\n", "off by more than 15 % of its range"),
    "stuck": (HEAD + "0,0,rising\n100,120,rising\n110,119,rising\n200,201,rising\n", "the needle does not rise"),
    "below zero": (HEAD + "0,-1,rising\n100,101,rising\n200,201,rising\n", "shows nothing below zero"),
    "two days": (
        "reference [psi],shown [psi],date\n0,0,2026-03-01\n100,101,2026-03-02\n200,201,\n",
        "Row 2 says “2026-03-01”, and the whole file has one",
    ),
    "no day": ("reference [psi],shown [psi],date\n0,0,March\n100,101,\n200,201,\n", "write year, month, day"),
    "empty": ("", "the file is empty"),
    "header alone": (HEAD, "nothing below it"),
    "no number": (HEAD + "0,zero,rising\n100,101,rising\n200,201,rising\n", "a number has no letters in it"),
}  # fmt: skip


# If this failed, a curve would be made of what is no calibration, and every test after it would be wrong.
@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused(name: str, tmp_path: Path) -> None:
    text, says = REFUSED[name]
    with pytest.raises(ReadingsRefused) as refused:
        read(tmp_path, text)
    said = str(refused.value)
    assert says.casefold() in said.casefold(), said
    assert said.startswith("points.csv")


# If this failed, somebody whose dial was set to its marks could not say so, or a swapped file would pass unseen.
def test_swapped_columns_are_asked_about(tmp_path: Path) -> None:
    right = HEAD + "0.3,0,rising\n61.3,60,rising\n121.7,120,rising\n181.2,180,rising\n"
    assert read(tmp_path, right).points[1].shown.written == "60"
    swapped = right.replace("reference [psi],shown [psi]", "shown [psi],reference [psi]")
    with pytest.raises(ReadingsRefused, match="look swapped"):
        read(tmp_path, swapped)
    assert read(tmp_path, swapped, right=True).points[1].shown.written == "61.3"
    with pytest.raises(ReadingsRefused, match=r"more digits than .*swapped\?"):
        read(tmp_path, swapped, replace(GAUGE, resolution=None))


# If this failed, every fault but the first would wait for the next try.
def test_all_faults_at_once(tmp_path: Path) -> None:
    with pytest.raises(ReadingsRefused) as refused:
        read(tmp_path, HEAD + "0,x,rising\n100,101,up there\n,201,rising\n")
    assert len(refused.value.faults) == 3
