"""Readings files as people have them, judged and entered: what is refused, what has to be said, what is kept."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet
from tests.journeys.conftest import Said, Types

FINALS = ((1, 95, 150), (2, 94, 149), (3, None, 151), (4, 96, 150.5))


def judged(types: Types, words: str) -> dict[str, Any]:
    said = types(f"judge {words} --json")
    assert said.code == 0, said.err
    found: dict[str, Any] = json.loads(said.out)
    return found


# ------------------------------------------------------------------------------------------------ refused


# If this failed, one bad row would be judged around, or its faults told one at a time. Row 2 has a bad number, row 3 a
# first above its final, row 4 a cylinder again, row 5 a bad number and a cylinder that nobody knows.
@pytest.mark.parametrize("words", ["--json", "", "--json --exit-code"])
def test_every_fault_at_once_and_nothing_judged(types: Types, tmp_path: Path, words: str) -> None:
    rows = "cylinder,first [psi],final [psi]\n1,95,1_50\n2,150,95\n2,95,150\n9,95,nan\n"
    (tmp_path / "r.csv").write_text(rows, "utf-8")
    said = types(f"judge r.csv --sheet launch-six.toml {words}")
    assert (said.code, said.out) == (2, "")
    assert [line.split(",")[1].strip() for line in said.err.splitlines()] == [
        "row 2",
        "row 3",
        "row 4",
        "row 5",
        "row 5",
    ]
    assert all(line.startswith("r.csv, row") and line.endswith(".") for line in said.err.splitlines())


# If this failed, a person would mend the readings only to be told then that the sheet is wrong too.
def test_faults_of_all_files_at_once(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n1,abc\n", "utf-8")
    (tmp_path / "s.toml").write_text('[engine]\nname = "x"\nlayout = "W"\ncylinders = ["1"]\n', "utf-8")
    (tmp_path / "t.toml").write_text('[test]\ndate = "yesterday"\n', "utf-8")
    said = types("judge r.csv --sheet s.toml --test t.toml --json")
    assert (said.code, said.out) == (2, "")
    assert all(name in said.err for name in ("r.csv", "s.toml", "t.toml"))


# If this failed, a refused file would be in the book all the same, in part or whole.
def test_a_refused_file_enters_nothing(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n1,150\n2,abc\n", "utf-8")
    assert types("enter r.csv --sheet launch-six.toml").code == 2
    assert json.loads(types("book list --json").out) == []


# If this failed, a file implausible for its unit would be believed, or one dead cylinder would count as a wrong unit.
@pytest.mark.parametrize(
    ("finals", "code"),
    [((1030, 1034), 2), ((10, 11), 2), ((150, 0), 0), ((150, 149, 0), 0), ((150, 149, 1600), 2), ((39.9, 39.9), 2)],
)
def test_what_is_implausible_has_to_be_confirmed(
    types: Types, tmp_path: Path, finals: tuple[float, ...], code: int
) -> None:
    rows = "".join(f"{number},{final}\n" for number, final in enumerate(finals, start=1))
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n" + rows, "utf-8")
    said = types("judge r.csv --json")
    assert said.code == code
    if code:
        assert said.out == ""
        assert "--confirm-unit" in said.err
    assert types("judge r.csv --confirm-unit").code == 0


# ------------------------------------------------------------------------------------------------ what has to be said


# If this failed, a file without a unit would be taken for psi. What is said wins over the gauge, that over the shop.
def test_the_unit_is_never_guessed(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder;final\n1;10,2\n2;10,3\n", "utf-8")
    asked = types("judge r.csv")
    assert (asked.code, asked.out) == (2, "")
    assert "--unit" in asked.err
    found = judged(types, "r.csv --unit bar")
    assert (found["unit"], found["mean"]) == ("bar", pytest.approx(10.25))
    assert types("settings set units.pressure bar").code == 0
    assert judged(types, "r.csv")["mean"] == pytest.approx(10.25)
    types('gauge add metric --range "25 kg/cm2"')
    assert judged(types, "r.csv --gauge metric")["unit"] == "kg/cm2"
    assert judged(types, "r.csv --gauge metric --unit bar")["unit"] == "bar"
    refused = types("judge r.csv --unit psi")
    assert refused.code == 2
    assert "--confirm-unit" in refused.err
    assert types("judge r.csv --unit psi --confirm-unit").code == 0


# If this failed, decimal commas would be guessed, or could not be said.
def test_decimal_commas_are_asked_about(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder;final [kPa]\n1;1,034\n2;1,027\n", "utf-8")
    asked = types("judge r.csv")
    assert asked.code == 2
    assert "--decimal comma" in asked.err
    assert judged(types, "r.csv --decimal point")["mean"] == pytest.approx(1030.5)
    assert judged(types, "r.csv --decimal comma --confirm-unit")["mean"] == pytest.approx(1.0305)
    (tmp_path / "r.csv").write_text("cylinder;final [bar]\n1;10,25\n2;10,35\n", "utf-8")
    assert judged(types, "r.csv")["mean"] == pytest.approx(10.3)


# If this failed, a file from an old spreadsheet would come in with broken names, or not at all.
def test_another_encoding_is_said(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_bytes("cylinder,final [psi]\nvorne-größer,150\nhinten,149\n".encode("cp1252"))
    assert types("judge r.csv").code == 2
    found = judged(types, "r.csv --encoding cp1252")
    assert [row["cylinder"] for row in found["cylinders"]] == ["vorne-größer", "hinten"]


# If this failed, a column that is not understood would vanish in silence, or stand among what other programs read.
def test_an_unknown_column_is_named(types: Types, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("cylinder,final [psi],mood\n1,150,good\n2,149,bad\n", "utf-8")
    said = types("judge r.csv --json")
    found = json.loads(said.out)
    assert any("mood" in warning for warning in found["warnings"])
    assert "mood" in types("judge r.csv").err
    entered = types("enter r.csv --sheet launch-six.toml")
    assert "mood" in entered.err
    assert "mood" in types(f"book export {entered.out.strip()}").out


# ------------------------------------------------------------------------------------------------ the same in every way


def written(tmp_path: Path) -> None:
    """Write the same readings as CSV, as a workbook and as JSON."""
    rows = [f"{name},{'' if first is None else first},{final}" for name, first, final in FINALS]
    (tmp_path / "r.csv").write_text("\n".join(["cylinder,first [psi],final [psi]", *rows]) + "\n", "utf-8")
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    for row in (("cylinder", "first [psi]", "final [psi]"), *FINALS):
        sheet.append(row)
    book.save(tmp_path / "r.xlsx")
    told = [{"cylinder": name, "first [psi]": first, "final [psi]": final} for name, first, final in FINALS]
    (tmp_path / "r.json").write_text(json.dumps(told), "utf-8")


# If this failed, the same readings would be judged otherwise for the way they were kept.
@pytest.mark.parametrize("name", ["r.xlsx", "r.json"])
def test_every_kind_of_file_says_the_same(types: Types, tmp_path: Path, name: str) -> None:
    written(tmp_path)
    assert judged(types, name) == judged(types, "r.csv")


# If this failed, engines with names for their cylinders, many of them, or few strokes would be left out.
def test_cylinders_of_every_name_and_number(types: Types, tmp_path: Path) -> None:
    names = [f"{bank} {number}" for bank in ("left bank", "right bank") for number in range(1, 13)]
    banks = [names[:12], names[12:]]
    (tmp_path / "s.toml").write_text(
        f'[engine]\nname = "Big"\nlayout = "V"\ncylinders = {json.dumps(names)}\nbanks = {json.dumps(banks)}\n', "utf-8"
    )
    rows = "".join(f"{name},{150 + number % 3}\n" for number, name in enumerate(reversed(names)))
    (tmp_path / "r.csv").write_text("cylinder,final [psi]\n" + rows, "utf-8")
    found = judged(types, "r.csv --sheet s.toml")
    assert found["count"] == 24
    assert [row["cylinder"] for row in found["cylinders"]] == names
    assert [row["cylinder"] for row in found["running"]] == names[::-1]
    assert types("judge r.csv --sheet s.toml").code == 0


# If this failed, a two-stroke single could not be judged at all.
def test_a_two_stroke_single(types: Types, tmp_path: Path) -> None:
    (tmp_path / "s.toml").write_text(
        '[engine]\nname = "Mower"\nlayout = "single"\ncylinders = ["pot"]\ncycle = 2\nignition = "spark"\n'
        '[limits]\nminimum = "90 psi"\n',
        "utf-8",
    )
    (tmp_path / "r.csv").write_text("cylinder,first [psi],final [psi]\npot,60,100\n", "utf-8")
    rules = {rule["rule"]: rule["outcome"] for rule in judged(types, "r.csv --sheet s.toml")["rules"]}
    assert (rules["sheet_minimum"], rules["first_stroke_half"], rules["below_mean"]) == ("met", "met", "not judged")


# If this failed, the order in which cylinders were pulled would change what they are judged to be.
def test_the_order_of_rows_changes_no_figure(types: Types, tmp_path: Path) -> None:
    lines = (tmp_path / "june.csv").read_text("utf-8").splitlines()
    (tmp_path / "r.csv").write_text("\n".join([lines[0], *reversed(lines[1:7]), lines[7]]) + "\n", "utf-8")
    there = judged(types, "june.csv --sheet launch-six.toml")
    back = judged(types, "r.csv --sheet launch-six.toml")
    for found in (there, back):
        del found["running"], found["series"]
    assert back["mean"] == pytest.approx(there.pop("mean"), rel=1e-12)
    assert {row["rule"]: row["outcome"] for row in back["rules"]} == {
        row["rule"]: row["outcome"] for row in there["rules"]
    }
    assert [row["place"] for row in back["cylinders"]] == [row["place"] for row in there["cylinders"]]


# ------------------------------------------------------------------------------------------------ gauge, day, book


GAUGE = '\n[gauge]\nname = "face"\nrange = "300 psi"\nresolution = "2 psi"\ngrade = "B"\n'


# If this failed, what is known of the gauge would not reach the judgement; a gauge that is named wins over the file's.
def test_a_gauge_named_or_in_the_test_file(types: Types, tmp_path: Path) -> None:
    assert judged(types, "june.csv --test june.toml")["gauge_known"] is False
    (tmp_path / "t.toml").write_text((tmp_path / "june.toml").read_text("utf-8") + GAUGE, "utf-8")
    from_file = judged(types, "june.csv --sheet launch-six.toml --test t.toml")
    assert from_file["gauge_known"] is True
    low, high = (from_file["cylinders"][0]["interval"][end] for end in ("low", "high"))
    assert low < 152 < high
    assert types('gauge add coarse --range "300 psi" --resolution "10 psi" --grade B').code == 0
    named = judged(types, "june.csv --sheet launch-six.toml --test t.toml --gauge coarse")
    assert named["cylinders"][0]["interval"]["low"] < low
    assert types("judge june.csv --gauge nobody").code == 2


def entered(types: Types, words: str = "") -> Said:
    said = types(f"enter june.csv --sheet launch-six.toml --test june.toml {words}")
    assert said.code == 0, said.err
    return said


# If this failed, a file would be entered twice when a person is not sure whether he did it, or judged otherwise there.
def test_a_file_in_the_book_is_judged_like_the_file(types: Types) -> None:
    first, second = entered(types), entered(types)
    test = first.out.strip()
    assert second.out.strip() == test
    assert "the same file was entered before" in second.err
    assert json.loads(entered(types, "--json").out)["already"] is True
    assert len(json.loads(types("book list --json").out)) == 1
    from_file = judged(types, "june.csv --sheet launch-six.toml --test june.toml")
    assert judged(types, test) == from_file
    assert judged(types, test.upper().replace("-", "")) == from_file
    assert types(f"judge {test} --exit-code").code == types("judge june.csv --exit-code").code == 0


# If this failed, a slip in an id would be answered as if a file were meant, without a way on.
@pytest.mark.parametrize("typed", ["abcd-123", "abcd-1234"])
def test_a_slip_in_an_id(types: Types, typed: str) -> None:
    entered(types)
    said = types(f"judge {typed}")
    assert said.code == 2
    assert typed in said.err
    assert "ringtrue book list" in said.err


# If this failed, changing the sheet would change what an earlier test was judged by.
def test_a_test_keeps_the_sheet_of_its_day(types: Types, tmp_path: Path) -> None:
    test = entered(types).out.strip()
    sheet = tmp_path / "launch-six.toml"
    sheet.write_text(sheet.read_text("utf-8").replace('minimum = "120 psi"', 'minimum = "160 psi"'), "utf-8")
    limits = {rule["rule"]: rule["limit"] for rule in judged(types, test)["rules"]}
    assert limits["sheet_minimum"] == pytest.approx(120)
    again = entered(types).out.strip()
    assert again != test
    limits = {rule["rule"]: rule["limit"] for rule in judged(types, again)["rules"]}
    assert limits["sheet_minimum"] == pytest.approx(160)
