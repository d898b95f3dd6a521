"""A notebook is read by its mapping: what its columns mean, what its rows say, and where its faults stand."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.utils.exceptions import IllegalCharacterError

from ringtrue.compression import Kind, Pull
from ringtrue.errors import InputRefused, ReadingsRefused
from ringtrue.intake.dates import Order
from ringtrue.intake.notebook import read_notebook
from ringtrue.intake.notebook_facts import Notebook
from ringtrue.intake.notebook_map import (
    ACCEPTED,
    OF_A_CYLINDER,
    ROLES,
    NotebookMap,
    Role,
    for_the_next,
    pattern_of,
    read_map,
    write_map,
)
from ringtrue.intake.notebook_proposal import header_of, propose, role_of
from ringtrue.intake.worksheets import Worksheet, read_worksheets
from ringtrue.units import DecimalMark

TODAY = dt.date(2026, 11, 30)


def sheets(tmp_path: Path, text: str, name: str = "notebook.csv") -> tuple[Worksheet, ...]:
    """Return the worksheets of a CSV file."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return read_worksheets(path)[1]


def read(worksheets: tuple[Worksheet, ...], **said: object) -> Notebook:
    """Read a notebook by what is proposed, with some of it said otherwise."""
    how = propose(worksheets).map
    made = {name: getattr(how, name) for name in NotebookMap.__dataclass_fields__} | {"unit": "psi"} | said
    return read_notebook(worksheets, NotebookMap(**made), today=TODAY)


def finals(found: Notebook) -> list[tuple[str, str, dict[str, str]]]:
    """Return engine, date and the finals of each test."""
    assert found.faults == ()
    return [
        (
            each.engine,
            each.date.isoformat(),
            {row.cylinder: str(row.final) for row in each.rows if isinstance(row, Pull)},
        )
        for each in found.tests
    ]


# If this failed, a heading that any builder would read rightly would have to be explained.
@pytest.mark.parametrize(
    ("heading", "means"),
    [
        ("Engine", "engine"), ("DATE", "date"), ("Cyl.", "cylinder"), ("cylinder no", "cylinder"), ("psi", "final"),
        ("Final [psi]", "final"), ("compression (bar)", "final"), ("1st stroke", "first"),
        ("cyl 1 [psi]", "final of 1"),
        ("Cylinder 12", "final of 12"), ("#3", "final of 3"), ("4 first", "first of 4"), ("wet 2", "wet of 2"),
        ("1L", "final of 1L"), ("Hours", "run"), ("mileage", "run"), ("initials", "by"), ("Remarks", "note"),
    ],
)  # fmt: skip
def test_headings_that_are_known(heading: str, means: str) -> None:
    assert str(role_of(heading)) == means


# If this failed, the first of the three ways to keep a notebook would be read as something else.
def test_a_row_a_reading(tmp_path: Path) -> None:
    found = sheets(
        tmp_path,
        "Engine,Date,Cyl,First,Final [psi],Miles,By,Remarks,Weather\n"
        "Launch six,25/12/2004,1,90,150,500,AB,,rain\n,,2,91,151,,,slow,\n\nSaloon,3/4/2005,1,,160,,CD,,\n",
    )
    proposal = propose(found)
    assert (proposal.map.form, proposal.map.dates, proposal.map.blank) == ("a reading", Order.DAY, "as above")
    assert any("25/12/2004 in row 2 can be nothing else" in each for each in proposal.told)
    made = read(found)
    assert finals(made) == [
        ("Launch six", "2004-12-25", {"1": "150 psi", "2": "151 psi"}),
        ("Saloon", "2005-04-03", {"1": "160 psi"}),
    ]
    first = made.tests[0]
    assert (str(first.run), first.by, first.where) == ("500 mile", "AB", "rows 2 to 3")
    assert [(str(row.first), row.note, row.extra) for row in first.rows if isinstance(row, Pull)] == [
        ("90 psi", "", (("Weather", "rain"),)),
        ("91 psi", "slow", ()),
    ]


# If this failed, a digit too many of years ago would go into the book for ever without a word, or each dead cylinder be
# asked about. Common practice: nobody's cylinder shows twice what its siblings do.
def test_a_final_that_is_hard_to_believe_is_told(tmp_path: Path) -> None:
    text = "Engine,Date,Cyl,Final [psi]\n" + "".join(
        f"{engine},2004-12-25,{number},{final}\n"
        for engine, finals in (("Launch six", (148, 1480, 147)), ("Saloon", (150, 30, 149)), ("Twin", (150, 151, 200)))
        for number, final in enumerate(finals, 1)
    )
    found = read(sheets(tmp_path, text))
    (told,) = found.warnings
    assert told.startswith("rows 2 to 4: cylinder 2 has 1480 psi where the others read about 147.5 psi")
    assert found.faults == ()
    assert len(finals(found)) == 3


# If this failed, the second way, a column a cylinder, would be read as something else, or a dash as a figure.
def test_a_row_a_test(tmp_path: Path) -> None:
    found = sheets(
        tmp_path,
        "Shop notebook\n\nengine;date;hours;1 [bar];2 [bar];3 [bar];1 first [bar];notes\n"
        "Pump;12 Mar 2010;10;10,2;10,1;-;6,1;cold\nPump;2011-03-01;20;10,2;;10,3;;\n",
    )
    made = read(found, unit="")
    assert propose(found).map.form == "a test"
    assert finals(made) == [
        ("Pump", "2010-03-12", {"1": "10,2 bar", "2": "10,1 bar", "3": "None"}),
        ("Pump", "2011-03-01", {"1": "10,2 bar", "3": "10,3 bar"}),
    ]
    assert [(str(each.run), each.note) for each in made.tests] == [("10 h", "cold"), ("20 h", "")]
    firsts = [str(row.first) for row in made.tests[0].rows if isinstance(row, Pull)]
    assert firsts == ["6,1 bar", "None", "None"]


# If this failed, the third way, a row a cylinder with a test in each dated column, would be read as something else.
def test_a_row_a_cylinder_on_several_worksheets(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for name, level in (("Launch six", 150), ("Saloon", 160)):
        page = book.create_sheet(name)
        page.append(["Cyl", dt.date(2010, 3, 12), "14 Apr 2012"])
        for cylinder in range(1, 4):
            page.append([cylinder, level + cylinder, level - cylinder if cylinder < 3 else None])
    book.create_sheet("diary").append(["nothing of use here"])
    path = tmp_path / "notebook.xlsx"
    book.save(path)
    _, found = read_worksheets(path)
    assert (propose(found).map.form, propose(found).map.engine) == ("a cylinder", "(worksheet)")
    made = read(found)
    assert finals(made) == [
        ("Launch six", "2010-03-12", {"1": "151 psi", "2": "152 psi", "3": "153 psi"}),
        ("Launch six", "2012-04-14", {"1": "149 psi", "2": "148 psi"}),
        ("Saloon", "2010-03-12", {"1": "161 psi", "2": "162 psi", "3": "163 psi"}),
        ("Saloon", "2012-04-14", {"1": "159 psi", "2": "158 psi"}),
    ]
    assert made.tests[2].where == "sheet Saloon, rows 2 to 4"


# If this failed, the oil of a wet test would be taken for a better ring, or a second look for a second engine.
def test_wet_columns_and_days_with_two_tests(tmp_path: Path) -> None:
    found = sheets(tmp_path, "engine,date,cyl,dry [psi],wet [psi]\nA,2004-03-12,1,100,140\nA,2004-03-12,2,150,\n")
    rows = read(found).tests[0].rows
    assert [(row.cylinder, row.kind) for row in rows] == [("1", Kind.DRY), ("1", Kind.WET), ("2", Kind.DRY)]
    again = sheets(tmp_path, "engine,date,cyl,final [psi]\nA,2004-03-12,1,100\nA,2004-03-12,1,120\n")
    assert [len(each.rows) for each in read(again).tests] == [1, 1]
    repeated = read(again, same_day="repeats").tests
    assert [(row.repeat, str(row.final)) for each in repeated for row in each.rows if isinstance(row, Pull)] == [
        (1, "100 psi"),
        (2, "120 psi"),
    ]


# If this failed, a person would mend one fault, and then be told the next; or would look for it in another cell.
def test_every_fault_at_once_with_its_place(tmp_path: Path) -> None:
    found = sheets(
        tmp_path,
        "engine,date,hours,1,2\nA,2004-03-12,10,150,=SUM(A1)\nA,31/2/2004,x,abc,150\n,2005-01-01,30,150,99999\n"
        "A,2006-02-03,40 parsecs,150,1_80\n",
    )
    told = [str(fault) for fault in read(found, blank="").faults]
    for place in (
        'row 2, column 2: read "=SUM(A1)"',
        'row 3, column date: read "31/2/2004"',
        'row 3, column hours: read "x"',
        'row 3, column 1: read "abc"',
        "row 4, column engine: The engine is missing",
        "row 4, column 2: 99999 psi",
        'row 5, column hours: read "',
        'row 5, column 2: read "1_80"',
    ):
        assert sum(each.startswith(place) for each in told) == 1, (place, told)
    assert len(told) == 8


# If this failed, figures would get a unit, and dates a day, that nobody said.
def test_what_the_file_leaves_open_is_asked(tmp_path: Path) -> None:
    found = sheets(tmp_path, "engine,date,1,2\nA,03/04/2004,150,151\nA,05/06/2005,150,151\n")
    assert propose(found).map.dates is None
    told = [str(fault) for fault in read(found, unit="").faults]
    assert len(told) == 2
    assert told[1].startswith("final: 4 figures without a unit")
    assert told[0].startswith(
        "dates: 2 dates, the first 03/04/2004 in row 2, column date: These can be two different days"
    )
    (one,) = read(found, unit="", dates=Order.MONTH).faults
    assert str(one).startswith("final: 4 figures without a unit")
    assert [each.date.isoformat() for each in read(found, dates=Order.MONTH).tests] == ["2004-03-04", "2005-05-06"]
    (median,) = read(found, unit="bar", dates=Order.DAY, accept=()).faults[-1:]
    assert 'say accept = ["unit"]' in str(median)


texts = st.text(
    st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp", "Cf", "Co", "Cn", "Zs"]), min_size=1, max_size=12
)
roles = st.one_of(
    st.sampled_from(ROLES).map(Role),
    st.builds(Role, st.sampled_from(OF_A_CYLINDER), st.sampled_from(["1", "12", "1L"])),
)
maps = st.builds(
    NotebookMap,
    columns=st.dictionaries(texts, roles, max_size=6),
    dates=st.sampled_from([None, *Order]),
    unit=st.sampled_from(["", "psi", "bar", "kg/cm2"]),
    run_unit=st.sampled_from(["", "mile", "km", "h"]),
    decimal=st.sampled_from(list(DecimalMark)),
    engine=st.one_of(st.just(""), texts),
    blank=st.sampled_from(["", "as above"]),
    same_day=st.sampled_from(["", "another test", "repeats"]),
    nearly_same=st.sampled_from(["", "bring in", "leave out"]),
    sheets=st.sampled_from(["latest", "none"]),
    accept=st.lists(st.sampled_from(list(ACCEPTED)), unique=True).map(tuple),
    worksheets=st.lists(texts, max_size=2).map(tuple),
    leave_rows=st.lists(texts, max_size=2).map(tuple),
    engines=st.dictionaries(texts, texts, max_size=3),
)


# If this failed, a mapping that was written down would be read as another.
@given(maps)
def test_a_mapping_comes_back_as_it_was_written(made: NotebookMap) -> None:
    assert read_map(write_map(made, ["a word about it"])) == made


# If this failed, a slip in a mapping would be read past, and the notebook read in another way than was said.
def test_faults_of_a_mapping() -> None:
    with pytest.raises(ReadingsRefused) as refused:
        read_map(
            '[notebook]\ndates = "sideways"\nunit = "fathom"\nrun_unit = "psi"\naccept = ["anything"]\ncolour = 1\n'
            '[columns]\n"a" = "finals"\n"b" = "date of 3"\n[other]\n'
        )
    told = str(refused.value)
    for said in ("sideways", "fathom", "psi", "anything", "colour", "“finals”", "“date of 3”", "other"):
        assert said in told, said
    assert len(refused.value.faults) == 8


# If this failed, a builder would be told that a line is wrong, and not how it should stand.
@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('accept = "run"', 'Write accept = ["run"]; the words that can stand there are "run", "cylinders", "unit".'),
        ('accept = "all"', 'Write accept = ["run"]; the words that can stand there are "run", "cylinders", "unit".'),
        ('accept = ["runs"]', 'The words that can stand there are "run", "cylinders", "unit".'),
        ('worksheets = "Ferry"', 'Write worksheets = ["Ferry"].'),
        ("leave_rows = 3", 'Write leave_rows = ["mean"].'),
        ("unit = PSI", 'Write unit = "PSI".'),
        ("unit = kg/cm2 # as on the dial", 'Write unit = "kg/cm2".'),
        ("dates = day first  # day first, month first; blank: none is in doubt", 'Write dates = "day first".'),
        ('[columns]\n"Hrs run" = run', 'Write "Hrs run" = "run".'),
        ("dates = 3", 'Write it in quotes, for example dates = "day first".'),
        ("engine = " + "long " * 20, 'Text stands in quotes, a field is written as name = "value".'),
    ],
)
def test_a_fault_of_a_mapping_shows_the_line(line: str, told: str) -> None:
    with pytest.raises(ReadingsRefused) as refused:
        read_map(f"[notebook]\n{line}\n")
    (fault,) = refused.value.faults
    assert str(fault).endswith(told), str(fault)


# If this failed, a mapping typed with capitals would be refused for them.
def test_capitals_do_not_matter_in_a_mapping() -> None:
    said = 'dates = "Day First"\ndecimal = "Comma"\nblank = "As above"\nengine = "(Worksheet)"\naccept = ["Run"]\n'
    made = read_map(f'[notebook]\n{said}[columns]\n"Who" = "By"\n"cyl A" = "Final of A"\n')
    assert (made.dates, made.decimal, made.blank) == (Order.DAY, DecimalMark.COMMA, "as above")
    assert (made.engine, made.accept) == ("(worksheet)", ("run",))
    assert list(map(str, made.columns.values())) == ["by", "final of A"]


# If this failed, what was allowed once, or one file's engine, would be taken for true of every later file.
@given(maps)
def test_what_holds_for_one_file_is_not_remembered(made: NotebookMap) -> None:
    kept = for_the_next(made)
    assert (kept.accept, kept.nearly_same, kept.worksheets) == ((), "", ())
    assert kept.engine == ("(worksheet)" if made.engine == "(worksheet)" else "")
    back = {name: getattr(made, name) for name in ("accept", "nearly_same", "worksheets", "engine")}
    assert replace(kept, **back) == made


# If this failed, next year's file would have to be explained again, or another kind be read by this one's mapping.
def test_a_pattern_is_that_of_the_headings(tmp_path: Path) -> None:
    def pattern(text: str) -> str:
        headers = [header_of(sheet) for sheet in sheets(tmp_path, text)]
        return pattern_of(each.key for header in headers if header for each in header.headings)

    assert pattern("cyl,2004-03-12\n1,150\n") == pattern("CYL,12 Mar 2019,2020-01-01\n1,150,151\n")
    assert pattern("cyl,2004-03-12\n1,150\n") != pattern("cyl,final,date\n1,150,\n")


# If this failed, a small file would fill the machine's memory. (a bomb of our own making)
def test_a_spreadsheet_bomb_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    book = openpyxl.Workbook()
    book.create_sheet("notes").append(["engine", "date", "1"])
    book.save(path)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet9.xml", b"<c>" * 40_000_000)
    assert path.stat().st_size < 1_000_000
    with pytest.raises(ReadingsRefused, match="npacks to more than any readings file holds"):
        read_worksheets(path)


cell = st.one_of(
    st.none(),
    st.text(max_size=8),
    st.integers(-(10**6), 10**6),
    st.floats(),
    st.dates(),
    st.booleans(),
    st.sampled_from(
        ["150", "-", "10,2", "psi", "2004-03-12", "1/2/03", "=1+1", "cyl 1", "=cmd|' /C calc'!A0", "\u202e150"]
    ),
)


# If this failed, some cell in some notebook would end the program with its own words instead of the builder's.
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(st.lists(cell, max_size=5), max_size=8),
    st.sampled_from(["engine,date,cyl,final [psi],hours", "engine,date,1,2,3"]),
)
def test_any_cells_make_tests_or_faults(rows: list[list[object]], header: str) -> None:
    book = openpyxl.Workbook()
    page = book.create_sheet("notes")
    page.append(header.split(","))
    for row in rows:
        with contextlib.suppress(ValueError, IllegalCharacterError):
            page.append(row)
    made = io.BytesIO()
    book.save(made)
    path = Path("notebook.xlsx")
    found = _of_bytes(path, made.getvalue())
    if found is None:
        return
    told = read(found, unit="psi", dates=Order.DAY)
    for fault in told.faults:
        assert str(fault).isprintable()
    for test in told.tests:
        assert test.rows
        assert test.engine


def _of_bytes(path: Path, raw: bytes) -> tuple[Worksheet, ...] | None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        written = Path(folder) / path.name
        written.write_bytes(raw)
        try:
            return read_worksheets(written)[1]
        except InputRefused:
            return None
