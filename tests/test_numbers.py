"""The strict number parser, against a table written by hand and against numbers made at random."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ringtrue.errors import NumberRefused
from ringtrue.units import DecimalMark, has_decimal_comma, number_from_cell, parse_number

# Each row: a text, then what it is when nothing was said about decimal marks, when a point was said, when a comma was
# said: a number, "refused", or "asked" (it could be two numbers). All of it derived by hand from the grammar, which is
# common practice: ISO 80000-1 parts thousands by a blank and allows both decimal marks; commas, points and apostrophes
# between thousands are the habits of several countries.
TABLE = json.loads((Path(__file__).parent / "data" / "numbers.json").read_text(encoding="utf-8"))
CASES = [
    (text, mark, expected) for text, *columns in TABLE for mark, expected in zip(DecimalMark, columns, strict=True)
]
ROWS = [pytest.param(*row, id=ascii(row[0])[1:-1][:24]) for row in TABLE]
TO_TYPE = re.compile(r"type (\S*[0-9]\S*?)(?:,? or say .*)?")


def outcome(text: str, mark: DecimalMark) -> float | str:
    """Return the number, or which of the two ways it was not taken."""
    try:
        return parse_number(text, mark=mark)
    except NumberRefused as refusal:
        return "asked" if "this can be" in refusal.faults[0].why else "refused"


# If this failed, the table would be too small to say anything, or a text would stand in it twice with two outcomes.
def test_the_table_is_large_and_no_text_is_in_it_twice() -> None:
    texts = [row[0] for row in TABLE]
    assert len(texts) >= 300
    assert len(texts) == len(set(texts))


# If this failed, a reading would be taken for another number than was written, or a good one would be turned away.
@pytest.mark.parametrize(("text", "ask", "point", "comma"), ROWS)
def test_the_table(text: str, ask: float | str, point: float | str, comma: float | str) -> None:
    assert [outcome(text, mark) for mark in DecimalMark] == [ask, point, comma]


# If this failed, text cells of a spreadsheet or a JSON file would be read by another rule than typed text.
def test_the_table_as_text_cells() -> None:
    for text, mark, expected in CASES:
        try:
            value, written = number_from_cell(text, mark=mark)
        except NumberRefused:
            assert isinstance(expected, str), (text, mark)
        else:
            assert value == expected, (text, mark)
            assert written in text


# If this failed, a builder would be told no without being told why, where, or what to type, or would be told to type
# what is refused as well; or a file could send orders to his terminal.
def test_every_refusal_helps() -> None:
    offers = 0
    for text, mark, expected in CASES:
        if not isinstance(expected, str):
            continue
        with pytest.raises(NumberRefused) as refused:
            parse_number(text, mark=mark, where="row 3, final")
        (fault,) = refused.value.faults
        assert fault.where == "row 3, final"
        assert fault.why, (text, mark)
        assert fault.instead, (text, mark)
        assert str(fault).isprintable(), (text, mark)
        if expected == "refused" and (offered := TO_TYPE.fullmatch(fault.instead)) is not None:
            offers += 1
            assert math.isfinite(parse_number(offered[1], mark=mark)), (text, mark)
    assert offers > 100


# If this failed, the messages would not say what to do; the words are ours (frozen), the figures derived by hand.
@pytest.mark.parametrize(
    ("text", "mark", "words"),
    [
        ("1_80", "ask", 'read "1_80": A number is digits with at most one decimal point. Type 180.'),
        ("1,234", "ask", "can be 1234 or 1.234. Type 1234 or 1.234, or say --decimal comma or --decimal point."),
        ("-1,234", "ask", "can be -1234 or -1.234."),
        ("12,5", "point", "Type 12.5, or say --decimal comma."),
        ("1.5", "comma", "Type 1,5, or say --decimal point."),
        ("\u0661\u0668\u0660", "ask", "digits 0 to 9. Type 180."),
        ("\uff11\uff18\uff10", "ask", "digits 0 to 9. Type 180."),
        ("\u00bd", "ask", "for a length 3 1/2"),
        ("1.5e2", "ask", "without an exponent. Type 150."),
        ("2.55e1", "comma", "without an exponent. Type 25,5."),
        ("nan", "ask", "leave the place blank if nobody saw it"),
        ("12.", "ask", "digits are missing after the decimal mark. Type 12."),
        ("1O5", "ask", "a number has no letters in it"),
        ("150 155", "ask", "several readings in one place"),
        ("", "ask", "nothing was written: A number is needed here."),
        ("9" * 50, "ask", "at most 40 characters"),
        ("\x1b[2J151", "ask", r'read "\x1b[2J151"'),
    ],
)
def test_what_is_said(text: str, mark: str, words: str) -> None:
    with pytest.raises(NumberRefused, match=re.compile(re.escape(words), re.IGNORECASE)):
        parse_number(text, mark=DecimalMark(mark))


# If this failed, "1.234" in a file that writes "12,5" elsewhere would be taken a thousand times too small in silence.
@pytest.mark.parametrize("text", ["1.234", "12.345", "-1.234", "1,234"])
def test_a_point_is_asked_about_where_decimal_commas_are_used(text: str) -> None:
    with pytest.raises(NumberRefused, match="A decimal comma is used elsewhere, so this can be"):
        parse_number(text, comma_seen=True)


# If this failed, a file with one decimal comma could not be read at all, or what the person said would be asked again.
@pytest.mark.parametrize(
    ("text", "mark", "value"),
    [
        ("1.5", "ask", 1.5),
        ("12,5", "ask", 12.5),
        ("0.050", "ask", 0.05),
        ("1.234,5", "ask", 1234.5),
        ("1.234", "point", 1.234),
        ("1.234", "comma", 1234.0),
        ("1,234", "comma", 1.234),
    ],
)
def test_what_stays_clear_where_decimal_commas_are_used(text: str, mark: str, value: float) -> None:
    assert parse_number(text, mark=DecimalMark(mark), comma_seen=True) == value


# If this failed, a file would be read with the wrong decimal mark because of a number that proves nothing.
@pytest.mark.parametrize(("text", "ask", "point", "comma"), [row for row in ROWS if row.values[1] != "refused"])
def test_evidence_of_a_decimal_comma(text: str, ask: float | str, point: float | str, comma: float | str) -> None:
    one_way_only = point == "refused" and ask == comma
    assert has_decimal_comma(text) is (one_way_only and "," in text)


# If this failed, the unit behind a number would hide its decimal comma.
@pytest.mark.parametrize(
    ("text", "proof"),
    [("12,5 bar", True), ("10,4 kg/cm2", True), ("1,234 bar", False), ("bar, 12", False), ("at 9,5", False)],
)
def test_evidence_of_a_decimal_comma_before_a_unit(text: str, proof: bool) -> None:
    assert has_decimal_comma(text) is proof


# If this failed, a typed cell would become another number, or be written back in another way than a person writes it.
@pytest.mark.parametrize(
    ("cell", "value", "written"),
    [
        (151, 151.0, "151"),
        (151.0, 151.0, "151"),
        (150.5, 150.5, "150.5"),
        (-0.4, -0.4, "-0.4"),
        (0, 0.0, "0"),
        (-0.0, 0.0, "0"),
        (0.1, 0.1, "0.1"),
        (1e-7, 1e-7, "0.0000001"),
        (1e22, 1e22, "10000000000000000000000"),
        ("12,50", 12.5, "12,50"),
        (" 151 ", 151.0, "151"),
    ],
)
def test_typed_cells(cell: float | str, value: float, written: str) -> None:
    assert number_from_cell(cell) == (value, written)
    assert math.copysign(1.0, number_from_cell(cell)[0]) == math.copysign(1.0, value)


# If this failed, a tick box, an empty division or a broken export would become a reading.
@pytest.mark.parametrize(
    "cell", [True, False, math.nan, math.inf, -math.inf, 10**400, -(10**400), 1e300, 5e-324, 1e-60, "nan", "true", ""]
)
def test_cells_that_are_no_number(cell: float | str) -> None:
    with pytest.raises(NumberRefused, match=r"row 3, final: (read|nothing)"):
        number_from_cell(cell, where="row 3, final")


# If this failed, a number typed into a spreadsheet would not be the number on the sheet that is handed over.
@given(st.floats(-1e12, 1e12).filter(lambda value: value == 0 or abs(value) > 1e-12))
def test_a_typed_cell_is_written_as_itself(value: float) -> None:
    taken, written = number_from_cell(value)
    assert taken == value
    assert parse_number(written, mark=DecimalMark.POINT) == value


# If this failed, the parser would read some plain number otherwise than Python's own reading of the same digits.
@given(st.from_regex(r"[+-]?[0-9]{1,15}(\.[0-9]{1,15})?", fullmatch=True))
def test_plain_numbers_are_what_they_look_like(text: str) -> None:
    assert parse_number(text, mark=DecimalMark.POINT) == float(text)
    assert parse_number(text) == float(text)


# If this failed, a number would change on its way through the habits of another country.
@given(
    whole=st.integers(0, 10**12),
    tenths=st.from_regex(r"[0-9]{0,6}", fullmatch=True),
    parts=st.sampled_from(["", ".", "\u00a0", "\u202f", "\u2009", "\u2007", "'", "\u2019"]),
)
@example(whole=1234, tenths="5", parts=".")
def test_every_way_of_writing_is_the_same_number(whole: int, tenths: str, parts: str) -> None:
    value = float(f"{whole}.{tenths or 0}")
    with_comma = f"{whole:,}".replace(",", parts) + (f",{tenths}" if tenths else "")
    assert parse_number(with_comma, mark=DecimalMark.COMMA) == value
    with_point = f"{whole:,}".replace(",", "," if parts == "." else parts) + (f".{tenths}" if tenths else "")
    assert parse_number(with_point, mark=DecimalMark.POINT) == value
    for text in (with_comma, with_point):
        # Asked, the parser may refuse to choose; where it does choose, it is that number or the lone point of a
        # person who writes thousandths.
        asked = outcome(text, DecimalMark.ASK)
        assert asked in {value, "asked"} or (re.fullmatch(r"[0-9]{1,3}\.[0-9]{3}", text) and asked == float(text))


# If this failed, a file full of noise would stop the program with an error of its own, or noise would be a reading.
@given(
    st.text(max_size=60) | st.text("0123456789.,' \u00a0-+e_/\u2212\u0661", max_size=45), st.sampled_from(DecimalMark)
)
def test_noise_is_a_number_or_is_refused(text: str, mark: DecimalMark) -> None:
    has_decimal_comma(text)
    found = outcome(text, mark)
    if not isinstance(found, str):
        assert math.isfinite(found)
        assert re.fullmatch("[0-9.,' \u00a0\u2007\u2009\u202f\u2019+\\-\u2212\t\r\n]+", text)


# If this failed, a hundred thousand characters in one cell would be looked at more closely than they deserve.
@pytest.mark.parametrize("piece", ["1", "1,", "1 ", ".", "-", "1.234,", "\u0661", "e1", "1'"])
def test_giants_are_refused(piece: str) -> None:
    giant = piece * (100_000 // len(piece))
    with pytest.raises(NumberRefused, match=r"at most 40 characters"):
        parse_number(giant)
    assert not has_decimal_comma(giant)


# If this failed, `ringtrue --help` would wait for libraries that it does not use.
def test_nothing_heavy_is_loaded() -> None:
    ask = (
        "import sys, ringtrue.units; "
        "print(*{'numpy', 'numba', 'mpmath', 'scipy', 'sqlalchemy', 'matplotlib', 'typst', 'openpyxl', 'pint', "
        "'difflib', 'unicodedata'} & set(sys.modules))"
    )
    said = subprocess.run([sys.executable, "-I", "-c", ask], capture_output=True, check=True, text=True).stdout
    assert said.strip() == ""
