"""Rows below a notebook's cylinders, names of its engines, and what an engine had run. Every engine is invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.test_intake_notebook import finals, read, sheets

from ringtrue.intake.notebook_map import Role
from ringtrue.intake.notebook_proposal import propose
from ringtrue.intake.worksheets import Worksheet
from ringtrue.units import DecimalMark


# If this failed, the hours below a table would come in as a cylinder, and the engine would have run nothing.
@pytest.mark.parametrize(
    ("named", "said", "run"),
    [
        ("hours", {}, "310 h"), ("Miles:", {}, "310 mile"), ("run [km]", {}, "310 km"), ("h", {}, "310 h"),
        ("hours since build", {}, "310 h"), ("run", {"run_unit": "mile"}, "310 mile"),
        ("Odometer", {"run_unit": "km"}, "310 km"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("above", [True, False])
def test_a_row_of_what_the_engine_had_run(
    tmp_path: Path, named: str, said: dict[str, str], run: str, *, above: bool
) -> None:
    rows = ["1,150,151,150", "2,149,150,151"]
    rows.insert(0 if above else 2, f"{named},20,310,-")
    found = sheets(tmp_path, "cylinder,2010-03-12,2011-04-14,2012-05-01\n" + "\n".join(rows) + "\n")
    made = read(found, engine="Ferry six", **said)
    assert [each[2] for each in finals(made)] == [
        {"1": "150 psi", "2": "149 psi"},
        {"1": "151 psi", "2": "150 psi"},
        {"1": "150 psi", "2": "151 psi"},
    ]
    assert str(made.tests[1].run) == run
    assert (made.tests[0].where, made.tests[2].run, made.tests[2].where) == (
        "rows 2 to 4",
        None,
        "rows 3 to 4" if above else "rows 2 to 3",
    )


# If this failed, two figures for one test would be one by chance, or one would be lost without a word.
def test_rows_of_what_it_had_run_that_do_not_fit(tmp_path: Path) -> None:
    text = "cyl,2010-03-12,2011-04-14\n1,150,\nhours,20,310\nhours,21,x\n"
    made = read(sheets(tmp_path, text), engine="Ferry six")
    told = [str(fault) for fault in made.faults]
    assert len(told) == 2
    assert told[0].startswith('row 4, column 2011-04-14: read "x')
    assert told[1].startswith("row 4, column 2010-03-12: 21 h after 20 h")
    assert made.warnings == ("row 3, column 2011-04-14: 310 h is left out, for no cylinder was read at that test",)
    made = read(sheets(tmp_path, "cyl,2010-03-12\n1,150\nrun,20\n"), engine="Ferry six")
    assert 'say run_unit = "mile", "km" or "h" in the mapping' in str(made.faults[0]).replace("Or say", "or say")


# If this failed, a mean would be a cylinder, or an engine with cylinders of odd names could not come in.
@pytest.mark.parametrize("head", ["cylinder,2010-03-12", "engine,date,cylinder,final"])
def test_rows_that_name_no_cylinder(tmp_path: Path, head: str) -> None:
    before = "" if head.startswith("cyl") else "Ferry six,2010-03-12,"
    engine = "Ferry six" if not before else ""
    odd = ["mean", "Average:", "avrage of all", "total", "Spread", "std. deviation", "%", "max", "notes", "Cyl"]
    odd += ["total hours"] + (["hours"] if before else [])
    good = ["1", "A", "L3", "front", "rear left", "H", "first", "cyl 12"]

    def rows(names: list[str]) -> tuple[Worksheet, ...]:
        return sheets(tmp_path, head + "\n" + "".join(f"{before}{name},150\n" for name in names))

    made = read(rows([*good, *odd, "mean"]), engine=engine)
    told = [str(fault) for fault in made.faults]
    assert len(told) == len(odd)
    assert told[0].startswith(f'row {len(good) + 2}, column cylinder: read "mean", and 1 more such row: ')
    assert 'leave_rows = ["mean", "Average:"' in told[0]
    assert ("column of its own, with the heading hours" in told[-1]) == bool(before)
    made = read(rows([*good, *odd, "MEAN"]), engine=engine, leave_rows=tuple(odd))
    (test,) = made.tests
    assert made.faults == ()
    assert [row.cylinder for row in test.rows] == [*good[:-1], "12"]


# If this failed, a column said to be a test, whose heading is no date, would be read past.
def test_a_test_whose_heading_is_no_date(tmp_path: Path) -> None:
    found = sheets(tmp_path, "cyl,2010-03-12,spring\n1,150,151\n")
    columns = {**propose(found).map.columns, "spring": Role("test")}
    (fault,) = read(found, engine="Ferry six", columns=columns).faults
    assert str(fault).startswith("row 1, column spring: A column that is a test has a date for its heading")


# If this failed, a name of [engines] would count in one form of notebook and not in another.
def test_engines_wherever_the_name_comes_from(tmp_path: Path) -> None:
    meant = {"Ferry 6": "Ferry six"}
    found = sheets(tmp_path, "cyl,2010-03-12\n1,150\n")
    (tab,) = (Worksheet("ferry  6", each.lines) for each in found)
    assert [each.engine for each in read((tab,), engines=meant).tests] == ["Ferry six"]
    assert [each.engine for each in read(found, engine="Ferry 6", engines=meant).tests] == ["Ferry six"]
    found = sheets(tmp_path, "engine,date,1\nferry 6,2010-03-12,150\n")
    assert [each.engine for each in read(found, engines=meant).tests] == ["Ferry six"]


# If this failed, 39,500 miles would be 39 and a half, or be asked for what was said already.
def test_a_comma_in_what_an_engine_had_run(tmp_path: Path) -> None:
    found = sheets(tmp_path, 'engine,date,miles,1\nFerry six,2010-03-12,"39,500",150\n')
    (fault,) = read(found).faults
    asked = "The comma can be a thousand's or a decimal one. Say decimal"
    assert str(fault).startswith(f'row 2, column miles: read "39,500": {asked} = "point" or decimal = "comma"')
    for mark, metres in ((DecimalMark.POINT, 39_500 * 1609.344), (DecimalMark.COMMA, 39.5 * 1609.344)):
        (test,) = read(found, decimal=mark).tests
        assert test.run is not None
        assert test.run.value == pytest.approx(metres)
    found = sheets(tmp_path, 'engine,date,run,1\nFerry six,2010-03-12,"39,500",150\n')
    told = [str(fault) for fault in read(found).faults]
    assert [("needs its unit" in each, "a decimal one" in each) for each in told] == [(True, False), (False, True)]
    (fault,) = read(found, run_unit="mile").faults
    assert "run_unit" not in str(fault)
    found = sheets(tmp_path, 'engine,date,km,1 [bar]\nFerry six,2010-03-12,1.500,"10,2"\n')
    (fault,) = read(found).faults
    assert "The point can be a thousand's or a decimal one" in str(fault)


# If this failed, a cell of a notebook would be answered with an option that no command of the notebook has.
def test_what_to_say_is_a_line_of_the_mapping(tmp_path: Path) -> None:
    found = sheets(tmp_path, 'engine,date,1,2\nFerry six,2010-03-12,"1,234",99999\n')
    told = " ".join(str(fault) for fault in read(found).faults)
    assert "--" not in told
    assert 'say decimal = "comma" or decimal = "point" in the mapping' in told
    assert 'say accept = ["unit"] in the mapping' in told
