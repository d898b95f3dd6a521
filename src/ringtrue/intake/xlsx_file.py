"""A table in a spreadsheet (XLSX): the first sheet that has the column by which such a table is known."""

from __future__ import annotations

import datetime as dt
import io
import itertools
import re
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, nullcontext, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.intake.cells import (
    MOST_COLUMNS,
    MOST_ROWS,
    READINGS,
    Cell,
    Row,
    Sort,
    Table,
    Wanted,
    check_header,
    column_name,
    is_called,
    too_many_rows,
    trimmed,
)
from ringtrue.units import number_from_cell

if TYPE_CHECKING:
    from openpyxl import Workbook

MOST_UNPACKED = 30_000_000
"""A spreadsheet is a compressed archive; a readings file, with its pictures, never unpacks to more. [byte]"""
MOST_UNPACKED_XML = 8_000_000
"""Its text alone. [byte]"""
MOST_PARTS = 500
MOST_TAGS = 30 * MOST_ROWS
"""Cells, rows or shared texts in one part: the longest test, with every column filled, has no more."""
MOST_NUMBERED = 1_048_576
"""No spreadsheet program numbers its rows higher; empty ones between two rows count."""
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


def read(raw: bytes, *, encoding: str = "", wanted: Wanted = READINGS) -> Table:
    """
    Read a spreadsheet.

    Parameters
    ----------
    raw : bytes
        What it holds.
    encoding : str
        Not used: a spreadsheet knows its own.
    wanted : Wanted
        What sort of table it is to hold.

    Returns
    -------
    Table
        Header and rows of the first sheet with the column that is wanted; columns beyond the hundredth are not looked
        at.

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
            table = _first_table(raw, wanted, with_formulas=has_formulas(raw))
    except ReadingsRefused:
        raise
    except Exception:  # noqa: BLE001 - a damaged archive makes the library raise almost anything
        raise ReadingsRefused.of(
            "", "it is no spreadsheet that can be read", "save it again as XLSX, or as CSV"
        ) from None
    if table is None:
        raise ReadingsRefused.of("", f"no sheet in it has a column “{wanted.column}”", wanted.example)
    return table


def has_formulas(raw: bytes, times: int = 1) -> bool:
    """
    Refuse what would unpack to too much, before it is read; tell whether any cell is worked out.

    Parameters
    ----------
    raw : bytes
        The archive.
    times : int
        So many times what one test needs is let through.

    Returns
    -------
    bool
        Whether there is a formula.
    """
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        parts = archive.infolist()
        text = [part for part in parts if part.filename.casefold().endswith((".xml", ".rels"))]
        if (
            len(parts) > MOST_PARTS
            or sum(part.file_size for part in parts) > MOST_UNPACKED * times
            or sum(part.file_size for part in text) > MOST_UNPACKED_XML * times
        ):
            raise _too_much()
        found = False
        for part in text:
            xml = archive.read(part)
            if any(xml.count(tag) > MOST_TAGS * times for tag in _TAGS) or b"<!DOCTYPE" in xml:
                raise _too_much()
            found = found or _FORMULA.search(xml) is not None
    return found


def _too_much() -> ReadingsRefused:
    return ReadingsRefused.of(
        "", "it unpacks to more than any readings file holds", "save the one sheet with the readings as CSV"
    )


def _first_table(raw: bytes, wanted: Wanted, *, with_formulas: bool) -> Table | None:
    import openpyxl

    def book(*, results: bool) -> AbstractContextManager[Workbook]:
        return closing(openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=results))

    # A formula comes with the result that the spreadsheet program left, or as it is written: never both at once.
    with book(results=True) as results, book(results=False) if with_formulas else nullcontext() as formulas:
        for place, sheet in enumerate(results.worksheets):
            rows = sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
            written: Iterator[tuple[object, ...]] = itertools.repeat(())
            if formulas is not None:
                written = formulas.worksheets[place].iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
            if (table := _table(zip(itertools.count(1), rows, written, strict=False), wanted)) is not None:
                return table
    return None


_NumberedRows = Iterator[tuple[int, tuple[object, ...], tuple[object, ...]]]


def _header(rows: _NumberedRows, wanted: Wanted) -> tuple[str, ...]:
    for number, values, _ in itertools.islice(rows, HEADER_WITHIN):
        texts = ["" if value is None else column_name(str(value)) for value in values]
        if any(is_called(text, wanted.column) for text in texts):
            return check_header(texts, f"row {number}", wanted)
    return ()


def _table(rows: _NumberedRows, wanted: Wanted) -> Table | None:
    header = _header(rows, wanted)
    made: list[Row] = []
    faults: list[Fault] = []
    for number, values, formulas in rows if header else ():
        if number > MOST_NUMBERED:
            raise too_many_rows()
        if values.count(None) == len(values) and formulas.count(None) == len(formulas):
            continue
        where = f"row {number}"
        cells = [cell_of(*both) for both in itertools.zip_longest(values, formulas)]
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


def cell_of(value: object, formula: object) -> Cell | None:
    """
    Return a cell of a spreadsheet.

    Parameters
    ----------
    value, formula : object
        What the library gives: the result, and the formula where there is one.

    Returns
    -------
    Cell or None
        None for an empty one.
    """
    sort, text = Sort.TEXT, trimmed(str(value))
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
