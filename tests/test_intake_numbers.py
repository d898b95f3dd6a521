"""
The table of numbers, as cells of each format.

The table (tests/data/numbers.json) is derived by hand; see test_numbers.py. A reading is not below zero, and a text of
nothing but blanks is a reading that nobody saw.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from tests.written import WRITERS, Rows, read, refused

from ringtrue.compression import Pull
from ringtrue.intake.cells import trimmed
from ringtrue.units import DecimalMark, Dimension, find_unit, has_decimal_comma, to_si

TABLE = json.loads((Path(__file__).parent / "data" / "numbers.json").read_text(encoding="utf-8"))
PSI = find_unit("psi", Dimension.PRESSURE)
# What no cell of a format can hold: XML has no control characters, and a table shows none.
CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")

# What is no number is a reading where it is a number and the column's own unit.
WITH_UNIT = ("151psi", "151 psi")


def cases(mark: DecimalMark, *, comma: bool) -> list[tuple[str, float | str]]:
    """Return the texts that can stand in one file: with a decimal comma beyond doubt somewhere in it, or without."""
    column = 1 + list(DecimalMark).index(mark)
    return [
        (row[0], row[column])
        for row in TABLE
        if row[0].strip()
        and row[0] not in WITH_UNIT
        and not CONTROLS.search(row[0])
        and has_decimal_comma(row[0]) is comma
    ]


def table(texts: list[str]) -> Rows:
    """Return a row for each text, with a name of its own."""
    return [("cylinder", "final [psi]"), *((f"c{number}", text) for number, text in enumerate(texts))]


# If this failed, a file would take a number that the keyboard does not, or the other way round, or another number.
@pytest.mark.parametrize("name", sorted(WRITERS))
@pytest.mark.parametrize("mark", list(DecimalMark))
@pytest.mark.parametrize("comma", [False, True])
def test_the_table_in_a_file(name: str, mark: DecimalMark, comma: bool) -> None:
    how: dict[str, Any] = {"decimal": mark, "confirm_unit": True}
    good = [(text, value) for text, value in cases(mark, comma=comma) if not isinstance(value, str) and value >= 0]
    bad = [text for text, value in cases(mark, comma=comma) if isinstance(value, str) or value < 0]
    if good:
        taken = read(WRITERS[name](table([text for text, _ in good])), name, **how).taken
        for (text, value), pull in zip(good, taken, strict=True):
            assert isinstance(pull, Pull)
            assert pull.final is not None
            assert pull.final.pressure == pytest.approx(to_si(float(value), PSI), rel=1e-15), text
            assert pull.final.written == trimmed(text), text
    if bad:
        found = refused(WRITERS[name](table(bad)), name, **how)
        word, first = ("object", 1) if name == "json" else ("row", 2)
        assert [message.partition(":")[0] for message in found] == [
            f"{word} {first + number}, column final [psi]" for number in range(len(bad))
        ]
        assert all(message.isprintable() for message in found)


# If this failed, a reading would be refused for having its unit behind it.
@pytest.mark.parametrize("text", WITH_UNIT)
@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_unit_behind_the_number(name: str, text: str) -> None:
    (pull,) = read(WRITERS[name](table([text])), name).taken
    assert isinstance(pull, Pull)
    assert str(pull.final) == "151 psi"


# If this failed, part of the table would have been left out without a word.
def test_the_whole_table_is_used() -> None:
    used = {text for comma in (False, True) for text, _ in cases(DecimalMark.ASK, comma=comma)}
    left = {row[0] for row in TABLE} - used
    assert len(TABLE) == 537
    assert all(not text.strip() or CONTROLS.search(text) or text in WITH_UNIT for text in left)
    assert len(left) < 20


# If this failed, a control character inside a number would be passed over.
@pytest.mark.parametrize("text", [row[0] for row in TABLE if CONTROLS.search(row[0])], ids=ascii)
def test_numbers_with_characters_that_no_table_shows(text: str) -> None:
    for name in ("csv", "json"):
        (message,) = refused(WRITERS[name](table([text])), name)
        assert message.isprintable()


# If this failed, a number that JSON holds as one would be another than the same figures as text.
def test_the_table_as_json_numbers() -> None:
    number = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
    written = [(row[0], row[2]) for row in TABLE if number.fullmatch(row[0]) and row[2] != "refused" and row[2] >= 0]
    assert len(written) > 20
    raw = ",".join(f'{{"cylinder": "c{place}", "final [psi]": {text}}}' for place, (text, _) in enumerate(written))
    for mark in DecimalMark:
        taken = read(f"[{raw}]".encode(), "json", decimal=mark, confirm_unit=True).taken
        for (text, value), pull in zip(written, taken, strict=True):
            assert isinstance(pull, Pull)
            assert pull.final is not None
            assert (pull.final.pressure, pull.final.written) == (to_si(value, PSI), text)
