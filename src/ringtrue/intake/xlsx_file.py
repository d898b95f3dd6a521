"""Readings in a spreadsheet (XLSX): the first sheet that has a column ``cylinder``."""

from __future__ import annotations

import datetime as dt
import io
import itertools
import re
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.intake.cells import (
    EXAMPLE_HEADER,
    MOST_COLUMNS,
    MOST_ROWS,
    Cell,
    Row,
    Sort,
    Table,
    check_header,
    too_many_rows,
)
from ringtrue.units import number_from_cell

MOST_UNPACKED = 30_000_000
"""A spreadsheet is a compressed archive; a readings file, with its pictures, never unpacks to more. [byte]"""
MOST_UNPACKED_XML = 8_000_000
"""Its text alone. [byte]"""
MOST_PARTS = 500
MOST_TAGS = 30 * MOST_ROWS
"""Cells, rows or shared texts in one part: the longest test, with every column filled, has no more."""
HEADER_WITHIN = 20
"""The header stands in one of the first rows: a title above it does no harm."""

_FORMULA = re.compile(rb"<(?:\w+:)?f[ />]")
_TAGS = (b"<c", b"<row", b"<si")


def recognises(path: Path, raw: bytes) -> bool:
    """
    Tell whether a file is of this format.

    Parameters
    ----------
    path : Path
        Its name.
    raw : bytes
        What it holds.

    Returns
    -------
    bool
        By its first bytes, which are those of an archive, or by its ending.
    """
    return raw.startswith(b"PK\x03\x04") or path.suffix.casefold() in {".xlsx", ".xlsm"}


def read(raw: bytes, *, encoding: str = "") -> Table:
    """
    Read a spreadsheet.

    Parameters
    ----------
    raw : bytes
        What it holds.
    encoding : str
        Not used: a spreadsheet knows its own.

    Returns
    -------
    Table
        Header and rows of the first sheet with a column ``cylinder``; columns beyond the hundredth are not looked at.

    Raises
    ------
    ReadingsRefused
        It is no spreadsheet, unpacks to too much, or holds no such table.
    """
    del encoding
    try:
        with warnings.catch_warnings():
            # The library warns of decorations that it does not know; they hold no readings.
            warnings.simplefilter("ignore")
            table = _first_table(raw, with_formulas=_has_formulas(raw))
    except ReadingsRefused:
        raise
    except Exception:  # noqa: BLE001 - a damaged archive makes the library raise almost anything
        raise ReadingsRefused.of(
            "", "it is no spreadsheet that can be read", "save it again as XLSX, or as CSV"
        ) from None
    if table is None:
        raise ReadingsRefused.of("", "no sheet in it has a column “cylinder”", EXAMPLE_HEADER)
    return table


def _has_formulas(raw: bytes) -> bool:
    """Refuse what would unpack to too much, before it is read; tell whether any cell is worked out."""
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        parts = archive.infolist()
        text = [part for part in parts if part.filename.casefold().endswith((".xml", ".rels"))]
        if (
            len(parts) > MOST_PARTS
            or sum(part.file_size for part in parts) > MOST_UNPACKED
            or sum(part.file_size for part in text) > MOST_UNPACKED_XML
        ):
            raise _too_much()
        found = False
        for part in text:
            xml = archive.read(part)
            if any(xml.count(tag) > MOST_TAGS for tag in _TAGS) or b"<!DOCTYPE" in xml:
                raise _too_much()
            found = found or _FORMULA.search(xml) is not None
    return found


def _too_much() -> ReadingsRefused:
    return ReadingsRefused.of(
        "", "it unpacks to more than any readings file holds", "save the one sheet with the readings as CSV"
    )


def _first_table(raw: bytes, *, with_formulas: bool) -> Table | None:
    import openpyxl

    # Formulas come with the result that the spreadsheet program left, or as they are written: never both at once.
    with (
        closing(openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)) as results,
        closing(openpyxl.load_workbook(io.BytesIO(raw), read_only=True)) as formulas,
    ):
        for sheet, written in zip(results.worksheets, formulas.worksheets, strict=True):
            rows = sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
            same = written.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1) if with_formulas else None
            if (table := _table(zip(itertools.count(1), rows, same or itertools.repeat(()), strict=False))) is not None:
                return table
    return None


def _table(rows: Iterator[tuple[int, tuple[object, ...], tuple[object, ...]]]) -> Table | None:
    header: tuple[str, ...] = ()
    made: list[Row] = []
    faults: list[Fault] = []
    for number, values, formulas in rows:
        where = f"row {number}"
        if not header:
            texts = ["" if value is None else str(value).strip() for value in values]
            if "cylinder" in [text.casefold() for text in texts]:
                header = check_header(texts, where)
            elif number >= HEADER_WITHIN:
                return None
            continue
        cells = [_cell(*both) for both in itertools.zip_longest(values, formulas)]
        if any(cells[len(header) :]):
            instead = "give its column a name in the header, or clear the cell"
            faults.append(Fault("", "a cell stands outside the table", instead, where))
        if any(cells):
            made.append(Row(where, {name: cell for name, cell in zip(header, cells, strict=False) if cell}))
        if len(made) > MOST_ROWS:
            raise too_many_rows()
    if faults:
        raise ReadingsRefused(*faults)
    return Table(header, tuple(made)) if header else None


def _cell(value: object, formula: object) -> Cell | None:
    sort, text = Sort.TEXT, str(value).strip()
    if isinstance(value, bool):
        sort, text = Sort.TRUTH, text.lower()
    elif isinstance(value, (int, float)):
        sort = Sort.NUMBER
        with suppress(InputRefused):  # of a number that no gauge shows, which is told in its row and column
            text = number_from_cell(value)[1]
    elif isinstance(value, (dt.datetime, dt.date, dt.time, dt.timedelta)):
        sort, text = Sort.TIME, str(value) if isinstance(value, dt.timedelta) else value.isoformat()
    elif value is None:
        sort, text = Sort.FORMULA, "" if formula is None else str(formula)
    return Cell(text, sort) if text else None
