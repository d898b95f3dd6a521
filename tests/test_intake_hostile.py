"""Files that break, mislead or swell: refused with what is the matter, and nothing half read. Words frozen."""

from __future__ import annotations

import io
import json
import random
import zipfile

import openpyxl
import pytest
from tests.written import Rows, as_csv, as_json, as_xlsx, lines, read, refused, with_parts

from ringtrue.compression import Pull

HEADER = "write a header, for example: cylinder,first [psi],final [psi]."
EXAMPLE = 'Write for example [{"cylinder": "1", "first [psi]": 95, "final [psi]": 150}].'
TORN = "Look for a quotation mark that is not closed."
SHEET = "xl/worksheets/sheet1.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SMALL: Rows = [("cylinder", "final [psi]"), ("1", 150)]


# ---------------------------------------------------------------------------------------------- text


# If this failed, a torn or misshapen table would be read shifted by a column, or without its end.
@pytest.mark.parametrize(
    ("raw", "messages"),
    [
        (
            b'cylinder,final [psi],note\n1,150,"torn\n2,151,',
            ["line 3: The table is torn there (unexpected end of data). " + TORN],
        ),
        (
            b'cylinder,final [psi]\n1,"150"x\n2,151',
            ["line 2: The table is torn there (',' expected after '\"'). " + TORN],
        ),
        (
            b"cylinder,final [psi]\n1," + b"1" * 200_000,
            [f"line 2: The table is torn there (field larger than field limit (131072)). {TORN}"],
        ),
        (
            b"cylinder,final [bar]\n1,10,4\n\n2,10,5\n",
            [
                f"row {row}: 3 cells under 2 columns: A cell stands outside the table. "
                "Part the columns with semicolons where figures have decimal commas, or put text with commas in quotes."
                for row in (2, 4)
            ],
        ),
        (b"cylinder,final [psi]\n1,150\x00\n", ["It holds bytes that no text has. Check that it is the right file."]),
        (
            "cylinder,final [psi]\n1,150\n".encode("utf-16-le"),
            ["It holds bytes that no text has. Check that it is the right file."],
        ),
        (
            "cylinder,final [psi]\n1,150\n".encode("utf-32"),
            ["It holds bytes that no text has. Check that it is the right file."],
        ),
        (
            "\ufeffcylinder,final [psi]\n1,150\n".encode("utf-16")[:-1],
            [
                (
                    "It is not text in UTF-16. "
                    "Save it as “CSV UTF-8”, or say how it is written, for example --encoding cp1252."
                )
            ],
        ),
        (b"no,such,table\n1,2,3", [f"row 1: header “no, such, table”: A column “cylinder” is missing. W{HEADER[1:]}"]),
        (b"\n\n" + b"x" * 5_000 + b"\n", [f"row 3: This is no table of readings. W{HEADER[1:]}"]),
        (b",".join(b"c%d" % n for n in range(101)), [f"row 1: This is no table of readings. W{HEADER[1:]}"]),
        (
            b"cylinder,\x1b[2J\n1,2",
            ['row 1: read "\\x1b[2J": It holds characters that no table shows. Type it again.'],
        ),
        (
            b"cylinder,final [psi],Final [psi]",
            ["row 1: column “final [psi]” twice: Each column has its own name. Rename one."],
        ),
        (
            b"cylinder,final [psi],,note",
            ["row 1: a column without a name: Each column has a name. Name it, or remove it."],
        ),
    ],
    ids=lambda value: value[0].partition(":")[2][:40] if isinstance(value, list) else "",
)
def test_broken_csv(raw: bytes, messages: list[str]) -> None:
    assert refused(raw) == messages


# If this failed, a note with a line break would shift the rows of every message below it.
def test_rows_are_counted_as_a_spreadsheet_counts_them() -> None:
    raw = b'cylinder,final [psi],note\n\n1,150,"two\nlines"\n2,x,\n'
    assert refused(raw) == [
        ('row 4, column final [psi]: read "x": A number has no letters in it. Type the digits alone, such as 151.')
    ]
    (taken,) = read(raw[:-6] + b"\n").taken
    assert taken.note == "two\nlines"


# If this failed, what is no JSON, or says two things at once, would be read as one of them.
@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            '[{"cylinder": "1",]',
            f"line 1: It is not JSON (Expecting property name enclosed in double quotes, column 19). {EXAMPLE}",
        ),
        ('[\n{"cylinder" "1"}]', f"line 2: It is not JSON (Expecting ':' delimiter, column 13). {EXAMPLE}"),
        ("[" * 100_000, f"It is not JSON of readings (brackets in brackets). {EXAMPLE}"),
        ('{"cylinder": "1"}', f"This is no list of objects. {EXAMPLE}"),
        ("[1, 2]", f"This is no list of objects. {EXAMPLE}"),
        ('"cylinder"', f"This is no list of objects. {EXAMPLE}"),
        (
            '[{"cylinder": "1", "final [psi]": 150, "final [psi]": 151}]',
            'read "final [psi]" twice in one object: Only one of them can be meant. Remove one.',
        ),
        (
            '[{"cylinder": "1", " cylinder": "2"}]',
            'read "cylinder" twice in one object: Only one of them can be meant. Remove one.',
        ),
        (
            '[{"cylinder": "1", "final [psi]": NaN}]',
            "“NaN”: That is no reading. Leave it blank (null) where nothing was seen.",
        ),
        (
            '[{"cylinder": "1", "final [psi]": -Infinity}]',
            "“-Infinity”: That is no reading. Leave it blank (null) where nothing was seen.",
        ),
        (
            '[{"cylinder": "1", "final [psi]": {"psi": 150}}]',
            "object 1, column final [psi]: This is an object. Write text, a number, true, false or null.",
        ),
        (
            '[{"cylinder": "1", "final [psi]": [150, 155]}]',
            "object 1, column final [psi]: This is a list. Write text, a number, true, false or null.",
        ),
        (
            '[{"cylinder": "1", "heard": ["intake", 3]}]',
            "object 1, column heard: This is a list. Write text, a number, true, false or null.",
        ),
        (
            '[{"cylinder": "1", "final [psi]": 1e400}]',
            (
                'object 1, column final [psi]: read "1e400": '
                "Nothing here is that large or that small. Type what was read."
            ),
        ),
        (
            '[{"cylinder": "1", "final [psi]": "1e2"}]',
            'object 1, column final [psi]: read "1e2": A number is written without an exponent. Type 100.',
        ),
        (
            '[{"cylinder": "1", "final [psi]": 150, "note": "\\u0000"}]',
            'object 1, column note: read "\\x00": It holds characters that no table shows. Type it again.',
        ),
        (
            '[{"cylinder": "1", "final [psi]": 150, "note": "\\ud800"}]',
            'object 1, column note: read "\\ud800": It holds characters that no table shows. Type it again.',
        ),
        (
            '[{"\\ud800": 1, "cylinder": "1"}]',
            'read "\\ud800": It holds characters that no table shows. Type it again.',
        ),
    ],
    ids=lambda value: value[:40],
)
def test_broken_json(text: str, message: str) -> None:
    assert refused(text.encode(), "json") == [message]


# If this failed, a number that another program wrote as 1.5e2 would be turned away, or be another number.
def test_numbers_that_programs_write() -> None:
    text = '[{"cylinder": 1.0, "final [psi]": 1.5e2}, {"cylinder": 2, "final [psi]": 1.505E+02, "strokes": 6.0}]'
    one, two = read(text.encode(), "json").taken
    assert isinstance(one, Pull)
    assert isinstance(two, Pull)
    assert [str(one.final), str(two.final), one.cylinder, two.strokes] == ["150 psi", "150.5 psi", "1", 6]


# If this failed, letters that steer a terminal, or that no book can keep, would get in through a file.
@pytest.mark.parametrize("column", ["cylinder", "kind", "final [psi]", "note", "at", "heard", "colour"])
def test_letters_that_nobody_can_read(column: str) -> None:
    columns = ["cylinder", "final [psi]", "kind", "note", "at", "heard", "colour"]
    row = {"cylinder": "1", "final [psi]": "150"} | {column: "\x1b[2J\x07"}
    (message,) = refused(as_csv([columns, [row.get(name, "") for name in columns]]))
    assert message == (
        f'row 2, column {column}: read "\\x1b[2J\\x07": It holds characters that no table shows. Type it again.'
    )


# If this failed, an endless note would be kept, or one fault would be told many times over.
@pytest.mark.parametrize("column", ["cylinder", "kind", "unit", "oil", "note", "heard", "colour"])
def test_a_cell_as_long_as_a_book(column: str) -> None:
    columns = ["cylinder", "final", "kind", "unit", "note", "oil", "heard", "colour"]
    row = {"cylinder": "1", "final": "150", "kind": "wet", "unit": "psi"} | {column: "x" * 2_001}
    (message,) = refused(as_csv([columns, [row.get(name, "") for name in columns]]))
    assert message == f"row 2, column {column}: 2001 characters: A cell has 2000 at most. Shorten it."


# ---------------------------------------------------------------------------------------------- spreadsheets


def one_sheet(rows: bytes) -> bytes:
    """Return a spreadsheet with these rows, in the file's own words."""
    return with_parts(
        as_xlsx(SMALL), {SHEET: f'<worksheet xmlns="{MAIN}"><sheetData>'.encode() + rows + b"</sheetData></worksheet>"}
    )


def cell(place: str, text: str) -> bytes:
    """Return a text cell in the file's own words."""
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'.encode()


TOP = b'<row r="1">' + cell("A1", "cylinder") + cell("B1", "final [psi]") + b"</row>"


# If this failed, a formula without its result would be a reading that nobody took, or silently none.
def test_formulas() -> None:
    rows = TOP + b'<row r="2">' + cell("A2", "1") + b'<c r="B2"><f>75*2</f><v>150</v></c></row>'
    (taken,) = read(one_sheet(rows), "xlsx").taken
    assert isinstance(taken, Pull)
    assert str(taken.final) == "150 psi"
    rows += b'<row r="3">' + cell("A3", "2") + b'<c r="B3"><f>75*2</f></c></row>'
    assert refused(one_sheet(rows), "xlsx") == [
        (
            'row 3, column final [psi]: read "=75*2": It is a formula, and its result is not in the file. '
            "Open the file in a spreadsheet program and save it, or type the figure itself."
        )
    ]
    rows = TOP + b'<row r="2">' + cell("A2", "1") + b'<c r="B2" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>'
    assert refused(one_sheet(rows), "xlsx")[0].startswith('row 2, column final [psi]: read "#DIV/0!": ')


# If this failed, a spreadsheet with a title, other sheets, gaps or remarks would be read wrong, or cells would be lost.
def test_where_the_table_stands() -> None:
    book = openpyxl.Workbook()
    book.active.append(["a log"])  # type: ignore[union-attr] # a new book has a sheet
    for _ in range(6_000):
        book.active.append(["of another kind"])  # type: ignore[union-attr]
    sheet = book.create_sheet("test")
    for row in (["Launch six"], [], ["cylinder", "final [psi]", None, None], ["1", 150], [None, None], ["2", 151]):
        sheet.append(row)
    book.create_sheet("later").append(["cylinder", "final [psi]"])
    raw = io.BytesIO()
    book.save(raw)
    assert [taken.cylinder for taken in read(raw.getvalue(), "xlsx").taken] == ["1", "2"]
    sheet["D6"] = "a remark"
    sheet["B4"] = "x"
    book.save(raw := io.BytesIO())
    assert refused(raw.getvalue(), "xlsx") == [
        "row 6: A cell stands outside the table. Give its column a name in the header, or clear the cell."
    ]


# If this failed, a spreadsheet without readings would be taken for an empty test.
@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([("name", "value")], f"No sheet in it has a column “cylinder”. W{HEADER[1:]}"),
        (
            [("cylinder", "final [psi]", None, "note"), ("1", 150)],
            "row 1: a column without a name: Each column has a name. Name it, or remove it.",
        ),
        (
            [*[("title",)] * 20, ("cylinder", "final [psi]"), ("1", 150)],
            f"No sheet in it has a column “cylinder”. W{HEADER[1:]}",
        ),
        (
            [*[("title",)] * 4, ("cylinder", "FINAL [psi]", "final [psi]")],
            "row 5: column “FINAL [psi]” twice: Each column has its own name. Rename one.",
        ),
    ],
)
def test_spreadsheets_without_a_table(rows: Rows, message: str) -> None:
    assert refused(as_xlsx(rows), "xlsx") == [message]


# If this failed, a number that no gauge shows would stop the program, or be told without its place.
def test_numbers_that_no_gauge_shows() -> None:
    rows: Rows = [("cylinder", "final [psi]"), ("1", 1e300), ("2", 1e-60), ("3", -150)]
    found = refused(as_xlsx(rows), "xlsx")
    assert [message.partition(": ")[0] for message in found] == [f"row {row}, column final [psi]" for row in (2, 3, 4)]
    assert 'read "1e+300": Nothing here is that large or that small. Type what was read.' in found[0]
    assert "A compression gauge shows nothing below zero" in found[2]


TOO_LONG = "It has more than 5000 rows. Check that it is the right file."
NO_SPREADSHEET = "It is no spreadsheet that can be read. Save it again as XLSX, or as CSV."
TOO_MUCH = "It unpacks to more than any readings file holds. Save the one sheet with the readings as CSV."


# If this failed, a damaged or a foreign archive would end in an error of some library.
def test_broken_spreadsheets() -> None:
    whole = as_xlsx(SMALL)
    empty = io.BytesIO()
    zipfile.ZipFile(empty, "w").close()
    for raw in (
        b"",
        b"PK\x03\x04",
        whole[:-50],
        whole[:200],
        empty.getvalue(),
        with_parts(whole, {SHEET: b"<worksheet>"}),
        with_parts(whole, {"xl/workbook.xml": b"no XML"}),
        one_sheet(b'<row r="x"><c r="A1"/></row>'),
    ):
        assert refused(raw, "xlsx") == [NO_SPREADSHEET]
    chance = random.Random(1)
    for _ in range(200):
        damaged = bytearray(whole)
        damaged[chance.randrange(len(damaged))] ^= 1 << chance.randrange(8)
        try:
            read(bytes(damaged), "xlsx")
        except Exception as error:  # noqa: BLE001 - the test is that it is none but ours
            assert type(error).__name__ == "ReadingsRefused", error  # noqa: PT017


ENTITIES = (
    b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9))
    + b"]>"
)


# If this failed, a small archive could fill the memory or keep the machine busy. These are stand-ins of larger ones.
@pytest.mark.parametrize(
    "raw",
    [
        with_parts(as_xlsx(SMALL), {"xl/media/image1.png": bytes(30_000_001)}),
        one_sheet(b" " * 8_000_000),
        one_sheet(TOP + b"<row><c/></row>" * 150_001),
        one_sheet(TOP + b"<row>" + b"<c/>" * 150_001 + b"</row>"),
        with_parts(
            as_xlsx(SMALL),
            {"xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">'.encode() + b"<si><t>a</t></si>" * 150_001 + b"</sst>"},
        ),
        with_parts(as_xlsx(SMALL), {f"part{n}": b"" for n in range(500)}),
        with_parts(as_xlsx(SMALL), {SHEET: ENTITIES + b"<worksheet>&i;</worksheet>"}),
    ],
    ids=["picture", "blanks", "rows", "cells", "texts", "parts", "entities"],
)
def test_archives_that_swell(raw: bytes) -> None:
    assert len(raw) < 500_000
    assert refused(raw, "xlsx") == [TOO_MUCH]


# If this failed, an archive could lie about how much it unpacks to.
def test_an_archive_that_lies_about_its_size() -> None:
    raw = bytearray(one_sheet(b" " * 9_000_000))
    size = (9_000_000 + len(f'<worksheet xmlns="{MAIN}"><sheetData></sheetData></worksheet>')).to_bytes(4, "little")
    assert raw.count(size) == 2
    assert refused(bytes(raw.replace(size, (1_000).to_bytes(4, "little"))), "xlsx") == [NO_SPREADSHEET]


# If this failed, a cell far below the table would be lost, or millions of empty rows would be walked through for ever.
def test_a_row_far_away() -> None:
    far = b'<row r="1048576">' + cell("A1048576", "2") + b'<c r="B1048576"><v>151</v></c></row>'
    near = b'<row r="2">' + cell("A2", "1") + b'<c r="B2"><v>150</v></c></row>'
    assert [taken.cylinder for taken in read(one_sheet(TOP + near + far), "xlsx").taken] == ["1", "2"]
    assert refused(one_sheet(TOP + near + far.replace(b"1048576", b"999999999")), "xlsx") == [TOO_LONG]


# ---------------------------------------------------------------------------------------------- length


# If this failed, a file of another kind would be worked through to its end.
@pytest.mark.parametrize("name", ["csv", "json", "xlsx"])
def test_too_many_rows(name: str) -> None:
    rows: Rows = [("cylinder", "final [psi]"), *[("1", 150)] * 5_001]
    raw = {"csv": as_csv, "json": as_json, "xlsx": as_xlsx}[name](rows)
    assert refused(raw, name) == [TOO_LONG]


# If this failed, noise of any kind would be a reading, a traceback, or an endless wait: a parser that takes its time by
# the square of a file's length would not come to an end here.
@pytest.mark.parametrize("name", ["csv", "json", "xlsx"])
def test_noise(name: str) -> None:
    chance = random.Random(2)
    noises = [chance.randbytes(3_000_000), b"," * 3_000_000, b'"' * 3_000_001, b"\n" * 3_000_000, b"[" * 3_000_000]
    noises += [b"cylinder" * 1_000_000, b"{" * 1_000_000, json.dumps({f"c{n}": n for n in range(100_000)}).encode()]
    noises += [
        b"[" + json.dumps({f"c{n}": n for n in range(100_000)}).encode() + b"]",
        b"PK\x03\x04" + bytes(3_000_000),
    ]
    for noise in noises:
        (message,) = refused(noise, name)
        assert len(message) < 300
        assert message.isprintable()


# If this failed, blanks and zeros would be mixed up: a blank is nothing that was seen, a zero is a needle that stayed.
@pytest.mark.parametrize("blank", ["", " ", "\u00a0"])
def test_blank_is_missing_and_never_zero(blank: str) -> None:
    one, two = read(
        lines("cylinder,first [psi],final [psi],oil [cc],rpm", f"1,{blank},{blank},{blank},{blank}", "2,0,0,,0"),
        confirm_unit=True,
    ).taken
    assert isinstance(one, Pull)
    assert isinstance(two, Pull)
    assert (one.first, one.final, one.oil, one.rpm) == (None, None, None, None)
    assert (str(two.first), str(two.final), str(two.rpm)) == ("0 psi", "0 psi", "0 rpm")
