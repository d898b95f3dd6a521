"""CSV, XLSX and JSON: the same rows are the same readings, however the file is written."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.written import WRITERS, Rows, as_csv, as_json, as_xlsx, lines, read, refused

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.errors import ReadingsRefused
from ringtrue.intake import Readings, read_readings
from ringtrue.units import DecimalMark

FORMATS = sorted(WRITERS)
# Every column there is, and one that there is not.
WHOLE: Rows = [
    (
        *("cylinder", "kind", "drift", "repeat", "first [psi]", "final [psi]", "first_spoiled", "strokes", "oil [cc]"),
        *("supply [psi]", "held [psi]", "restrictor", "heard", "rpm", "battery", "lift_loss", "plug", "note"),
        *("read_by", "at", "colour"),
    ),
    (
        "1",
        "dry",
        None,
        1,
        95,
        150.5,
        None,
        6,
        None,
        *(None,) * 4,
        190,
        12.4,
        "0.1 mm",
        "dry",
        "a, “b”",
        "RT",
        "9:30",
        "red",
    ),
    ("1", None, None, 2, 96, 151, "yes", 6, None, *(None,) * 12),
    ("L 2", "wet", None, None, None, 0, "no", None, 5, *(None,) * 12),
    ("1", "dry", "yes", None, 94, 149, None, None, None, *(None,) * 12),
    ("1", "leakdown", *(None,) * 7, 80, 75, "0.040 in", "crankcase; cylinder 3", *(None,) * 8),
]


def every_format(rows: Rows, **how: Any) -> list[Readings]:  # noqa: ANN401 - as HowWritten
    """Read the same rows from each format."""
    return [read(WRITERS[name](rows), name, **how) for name in FORMATS]


# If this failed, a builder would get another verdict for having saved his file in another format.
def test_the_same_rows_are_the_same_readings() -> None:
    first, *others = every_format(WHOLE)
    assert all(other == first for other in others)
    one, two, wet, drift, leakdown = first.taken
    assert isinstance(one, Pull)
    assert (one.cylinder, one.kind, one.repeat, one.strokes) == ("1", Kind.DRY, 1, 6)
    assert (str(one.first), str(one.final)) == ("95 psi", "150.5 psi")
    assert (str(one.rpm), str(one.battery), str(one.lift_loss)) == ("190 rpm", "12.4 V", "0.1 mm")
    assert (one.plug, one.note, one.read_by, one.at) == ("dry", "a, “b”", "RT", "9:30")
    assert one.extra == (("colour", "red"),)
    assert first.warnings == ("column “colour” is not known here: it is kept as written and used for nothing",)
    assert isinstance(two, Pull)
    assert (two.first_spoiled, two.drift, two.repeat) == (True, False, 2)
    assert isinstance(wet, Pull)
    assert (wet.cylinder, wet.kind, str(wet.oil), wet.first, wet.first_spoiled) == (
        "L 2",
        Kind.WET,
        "5 cc",
        None,
        False,
    )
    assert str(wet.final) == "0 psi"
    assert isinstance(drift, Pull)
    assert drift.drift
    assert isinstance(leakdown, LeakdownReading)
    assert (str(leakdown.supply), str(leakdown.held), str(leakdown.restrictor)) == ("80 psi", "75 psi", "0.040 in")
    assert leakdown.heard == ("crankcase", "cylinder 3")
    assert leakdown.kind is Kind.LEAKDOWN


# A spreadsheet does not know whether 150 was typed as 150.0.
CELLS = st.none() | st.integers(0, 200) | st.integers(1, 200_000).filter(lambda x: x % 1000).map(lambda x: x / 1000)


# If this failed, some figure or name would come through one format and not through another.
@given(
    st.lists(st.tuples(CELLS, CELLS, st.sampled_from(["dry", "wet", None])), min_size=1, max_size=8),
    st.sampled_from(["psi", "kPa", "bar"]),
)
def test_any_rows_are_the_same_readings(rows: list[tuple[float | None, float | None, str | None]], unit: str) -> None:
    table: Rows = [("cylinder", f"first [{unit}]", f"final [{unit}]", "kind")]
    for number, (one, other, kind) in enumerate(rows):
        pair = (one, other) if one is None or other is None else sorted((one, other))
        table = [*table, (number, *pair, kind)]
    first, *others = every_format(table, confirm_unit=True)
    assert all(other == first for other in others)
    for row, taken in zip(table[1:], first.taken, strict=True):
        assert isinstance(taken, Pull)
        assert [row[1], row[2]] == [
            None if each is None else float(each.written) for each in (taken.first, taken.final)
        ]


# If this failed, a spreadsheet's number 1 and the text 1 would be two cylinders, and each would miss the other's pulls.
@pytest.mark.parametrize("name", ["xlsx", "json"])
@pytest.mark.parametrize(
    ("cell", "cylinder"), [(1, "1"), (1.0, "1"), (10, "10"), ("1", "1"), ("01", "01"), (1.5, "1.5")]
)
def test_a_number_and_a_text_are_the_same_cylinder(name: str, cell: object, cylinder: str) -> None:
    found = read(WRITERS[name]([("cylinder", "final [psi]"), (cell, 150)]), name)
    assert [taken.cylinder for taken in found.taken] == [cylinder]


# If this failed, yes, no or a date would become the name of a cylinder or a reading.
@pytest.mark.parametrize("name", ["xlsx", "json"])
@pytest.mark.parametrize("truth", [True, False])
def test_yes_or_no_is_no_number_and_no_name(name: str, truth: bool) -> None:
    rows: Rows = [("cylinder", "final [psi]", "strokes", "drift"), (truth, truth, truth, None)]
    where, word = "object 1" if name == "json" else "row 2", str(truth).lower()
    assert refused(WRITERS[name](rows), name) == [
        f'{where}, column cylinder: read "{word}": Yes or no is not a name. Type it again, or leave it blank.',
        f'{where}, column final [psi]: read "{word}": Yes or no is not a number. Type it again, or leave it blank.',
        (
            f'{where}, column strokes: read "{word}": This is a whole number from 1 to 200. '
            "Type for example 2, or leave it blank."
        ),
    ]
    flags: Rows = [("cylinder", "final [psi]", "first_spoiled"), ("1", 150, truth)]
    (taken,) = read(WRITERS[name](flags), name).taken
    assert isinstance(taken, Pull)
    assert taken.first_spoiled is truth


# If this failed, a reading that the spreadsheet made a date of would be another number, or a time of day would be lost.
def test_dates_and_times_in_a_spreadsheet() -> None:
    rows: Rows = [("cylinder", "final [psi]", "at"), ("1", 150, dt.datetime(2026, 5, 14, 9, 30))]  # noqa: DTZ001 - has none
    rows = [*rows, ("2", 151, dt.time(9, 40)), ("3", 152, dt.date(2026, 5, 14)), ("4", 150, dt.timedelta(hours=30))]
    times = [taken.at for taken in read(as_xlsx(rows), "xlsx").taken]
    assert times == ["2026-05-14T09:30:00", "09:40:00", "2026-05-14T00:00:00", "1 day, 6:00:00"]
    broken: Rows = [("cylinder", "final [psi]"), (dt.date(2026, 2, 1), dt.date(2026, 5, 12))]
    assert refused(as_xlsx(broken), "xlsx") == [
        f'row 2, column {column}: read "{day}T00:00:00": The spreadsheet has made a date or a time of it, and that is '
        f"not a {wanted}. Format the cell as text and type it again."
        for column, day, wanted in (("cylinder", "2026-02-01", "name"), ("final [psi]", "2026-05-12", "number"))
    ]


# If this failed, blanks, case, or the order of columns would decide what is read.
@pytest.mark.parametrize(
    "header",
    [
        "cylinder,first [psi],final [psi]",
        "Cylinder, FIRST [PSI] ,Final[psi]",
        '"cylinder","first\n[psi]","final\u00a0 [psi]"',
        " CYLINDER,first  [ psig ],final [lb/in²]",
    ],
)
def test_headers_as_people_write_them(header: str) -> None:
    assert read(lines(header, "1,95,150")).taken == read(lines("final [psi],cylinder,first [psi]", "150,1,95")).taken


# If this failed, a file from another country, program or system could not be read, or would be read wrong in silence.
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", ""),
        ("utf-8-sig", ""),
        ("utf-16", ""),
        ("utf-8-sig", "utf-8"),
        ("cp1252", "cp1252"),
        ("utf-16", "cp1252"),
    ],
)
def test_delimiters_line_ends_and_encodings(end: str, delimiter: str, encoding: str, said: str) -> None:
    rows = [
        ["cylinder", "first [psi]", "final [psi]", "note"],
        ["1", "95", "150", "für Ölprüfung"],
        [],
        ["2", "94", "151", ""],
    ]
    text = end.join(delimiter.join(row) for row in rows) + end
    found = read(text.encode(encoding), encoding=said)
    assert [(taken.cylinder, taken.note) for taken in found.taken] == [("1", "für Ölprüfung"), ("2", "")]
    assert [str(taken.final) for taken in found.taken if isinstance(taken, Pull)] == ["150 psi", "151 psi"]


# If this failed, decimal commas would be read as thousands, or a file with them could not be read.
@pytest.mark.parametrize(
    ("rows", "mark", "finals"),
    [
        (["cylinder;first [bar];final [bar]", "1;6,5;10,4", "2;6,4;10,35"], "ask", [10.4, 10.35]),
        (["cylinder;final [bar]", "1;10,4", "2;10.4"], "ask", [10.4, 10.4]),
        (["cylinder,final [bar]", '1,"10,4"'], "ask", [10.4]),
        (["cylinder\tfinal [kPa]", "1\t1.034,5"], "ask", [1034.5]),
        (["cylinder;final [kPa]", "1;1\u00a0034,5"], "ask", [1034.5]),
        (["cylinder;final [kPa]", "1;1.034", "2;1.050"], "comma", [1034.0, 1050.0]),
        (["cylinder;final [bar]", "1;10,350"], "comma", [10.35]),
        (["cylinder;final [kPa]", "1;1,034"], "point", [1034.0]),
        (["cylinder;final", "1;10,4 bar"], "ask", [10.4]),
    ],
)
def test_decimal_commas(rows: list[str], mark: str, finals: list[float]) -> None:
    found = read(lines(*rows), decimal=DecimalMark(mark))
    si = [taken.final.pressure for taken in found.taken if isinstance(taken, Pull) and taken.final]
    factor = 1e3 if "kPa" in rows[0] else 1e5
    assert si == pytest.approx([final * factor for final in finals], rel=1e-12)


# If this failed, one figure of a file would be taken a thousand times too large or too small without a word.
@pytest.mark.parametrize(
    ("rows", "mark", "told"),
    [
        (["cylinder;final [kPa]", "1;1,034"], "ask", "This can be 1034 or 1.034."),
        (
            ["cylinder;final [bar];rpm", "1;10,4;190", "2;1.034;190"],
            "ask",
            "A decimal comma is used elsewhere, so this can be 1.034 or 1034.",
        ),
        (["cylinder;final [bar]", "1;10,4"], "point", "Numbers were said to have a decimal point. Type 10.4"),
        (["cylinder;final [bar]", "1;10.4"], "comma", "Numbers were said to have a decimal comma. Type 10,4"),
    ],
)
def test_commas_that_are_asked_about(rows: list[str], mark: str, told: str) -> None:
    (message,) = refused(lines(*rows), decimal=DecimalMark(mark))
    assert f"column {rows[0].split(';')[1]}: read" in message
    assert told in message


# If this failed, a number that the format itself holds as one would be questioned for another row's decimal comma.
@pytest.mark.parametrize("name", ["xlsx", "json"])
def test_a_typed_number_has_no_doubtful_point(name: str) -> None:
    rows: Rows = [("cylinder", "final [bar]", "repeat"), ("1", "10,4", None), ("2", 9.125, 1.0), ("3", 10, None)]
    for mark in DecimalMark:
        if mark is not DecimalMark.POINT:
            (_, two, _) = read(WRITERS[name](rows), name, decimal=mark).taken
            assert isinstance(two, Pull)
            assert (str(two.final), two.repeat) == ("9.125 bar", 1)


# If this failed, a file in another encoding would be read as other letters, or refused without a way out.
def test_an_encoding_that_is_not_utf_8(tmp_path: Path) -> None:
    raw = "cylinder,final [psi],note\n1,150,für\n".encode("cp1252")
    assert refused(raw) == [
        "It is not text in UTF-8. Save it as “CSV UTF-8”, or say how it is written, for example --encoding cp1252."
    ]
    assert refused(raw, encoding="cp9999") == [
        (
            "--encoding cp9999: There is no such encoding of text. "
            "Say for example --encoding cp1252, or save the file as UTF-8."
        )
    ]
    assert refused(raw, encoding="ascii") == [
        ("It is not text in ascii. Save it as “CSV UTF-8”, or say how it is written, for example --encoding cp1252.")
    ]
    for other in ("hex", "idna", "a\0b", "undefined"):
        assert refused(raw, encoding=other)[0].isprintable()
    json_raw = '[{"cylinder": "1", "note": "für"}]'.encode("cp1252")
    assert refused(json_raw, "json") == ["It is not text in UTF-8. Save it as text in UTF-8."]
    path = tmp_path / "für.csv"
    path.write_bytes(raw)
    with pytest.raises(ReadingsRefused, match=r"^für\.csv: It is not text in UTF-8"):
        read_readings(path)


# If this failed, a format would be told by luck.
@pytest.mark.parametrize(
    ("name", "raw"),
    [
        ("a.csv", as_csv(WHOLE)),
        ("a.TSV", as_csv(WHOLE, "\t")),
        ("a.txt", as_csv(WHOLE, ";")),
        ("a.json", as_json(WHOLE)),
        ("a.dat", as_json(WHOLE)),
        ("a.xlsx", as_xlsx(WHOLE)),
        ("a.xlsm", as_xlsx(WHOLE)),
        ("a.csv", as_xlsx(WHOLE)),
        ("no ending", as_xlsx(WHOLE)),
    ],
)
def test_a_file_is_known_by_its_ending_or_its_first_bytes(name: str, raw: bytes, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(raw)
    assert read_readings(tmp_path / name) == read(as_csv(WHOLE))


EMPTY = "a.csv: The file is empty. Write a header, for example: cylinder,first [psi],final [psi]."


# If this failed, a file that is none of the three would be guessed at. Words frozen.
@pytest.mark.parametrize(
    ("name", "raw", "told"),
    [
        ("a.pdf", b"%PDF-1.7", "a.pdf: Its format is not known. Save it as CSV, XLSX or JSON with that ending."),
        ("a.csv", b"", EMPTY),
        ("a.csv", b" \r\n\n", EMPTY),
        ("a.csv", b",,\n,", EMPTY),
        (
            "a.json",
            b"[]",
            (
                "a.json: The list is empty. "
                'Write for example [{"cylinder": "1", "first [psi]": 95, "final [psi]": 150}].'
            ),
        ),
        (
            "a.csv",
            b"cylinder,final [psi]\n",
            "a.csv: There is a header and nothing below it. Write a row for each pull.",
        ),
        (
            "a.json",
            b'[{"cylinder": null}]',
            (
                "a.json: header “cylinder”: A column “final” is missing. "
                "Write for example final [psi] in the header.\n"
                "a.json, object 1, column cylinder: The cylinder is missing. Write its name, or remove the row."
            ),
        ),
    ],
)
def test_files_that_are_no_readings(name: str, raw: bytes, told: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(raw)
    with pytest.raises(ReadingsRefused) as refusal:
        read_readings(tmp_path / name)
    assert str(refusal.value) == told
