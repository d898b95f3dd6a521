"""Readings in a spreadsheet (XLSX): the first sheet that has a column ``cylinder``."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.errors import InputRefused, ReadingsRefused
from ringtrue.intake.cells import MOST_COLUMNS, MOST_ROWS, Cell, Row, Table
from ringtrue.intake.csv_file import check_header
from ringtrue.units import number_from_cell

if TYPE_CHECKING:
    from collections.abc import Iterable

MOST_UNPACKED = 30_000_000
"""A spreadsheet is a compressed archive; a readings file never unpacks to more. [byte]"""
MOST_PARTS = 500
HEADER_WITHIN = 20
"""The header stands in one of the first rows: a title above it does no harm."""


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


def read(path: Path, raw: bytes, *, encoding: str) -> Table:
    """
    Read a spreadsheet.

    Parameters
    ----------
    path : Path
        Its name, for messages.
    raw : bytes
        What it holds.
    encoding : str
        Not used: a spreadsheet knows its own.

    Returns
    -------
    Table
        Header and rows of the first sheet with a column ``cylinder``.

    Raises
    ------
    ReadingsRefused
        It is no spreadsheet, unpacks to too much, or holds no such table.
    """
    del encoding
    refuse = ReadingsRefused.of(
        f"“{path.name}”", "it is no spreadsheet that can be read", "save it again as XLSX, or as CSV"
    )
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise ReadingsRefused.of(
                    f"“{path.name}”",
                    f"it unpacks to more than {MOST_UNPACKED / 1e6:g} MB or {MOST_PARTS} parts",
                    "save the one sheet with the readings as CSV",
                )
    except zipfile.BadZipFile:
        raise refuse from None
    try:
        sheets = list(_sheets(raw))
    except ReadingsRefused:
        raise
    except Exception:  # noqa: BLE001 - a damaged archive makes the library raise almost anything
        raise refuse from None
    for rows in sheets:
        for index, (_, cells) in enumerate(rows[:HEADER_WITHIN]):
            if any(str(value).strip().casefold() == "cylinder" for value in cells if value is not None):
                return _table(cells, rows[index + 1 :])
    raise ReadingsRefused.of(
        f"“{path.name}”",
        "no sheet in it has a column “cylinder”",
        "write a header row: cylinder, first [psi], final [psi]",
    )


def _sheets(raw: bytes) -> Iterable[list[tuple[int, tuple[object, ...]]]]:
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
    for sheet in book.worksheets:
        rows: list[tuple[int, tuple[object, ...]]] = []
        for number, cells in enumerate(sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1), start=1):
            if number > MOST_ROWS + HEADER_WITHIN:
                raise ReadingsRefused.of("", f"it has more than {MOST_ROWS} rows", "check that it is the right file")
            if any(value is not None and str(value).strip() for value in cells):
                rows.append((number, tuple(cells)))
        yield rows
    book.close()


def _table(header_cells: tuple[object, ...], rows: list[tuple[int, tuple[object, ...]]]) -> Table:
    header = ["" if value is None else str(value).strip() for value in header_cells]
    while header and not header[-1]:
        header.pop()
    check_header(tuple(header))
    made = []
    for number, cells in rows:
        where = f"row {number}"
        made.append(
            Row(
                where,
                {name: cell for name, value in zip(header, cells, strict=False) if (cell := _cell(value, where, name))},
            )
        )
    return Table(tuple(header), tuple(made))


def _cell(value: object, where: str, column: str) -> Cell | None:
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, (int, float)):
        try:
            return Cell(number_from_cell(value)[1], typed=True)
        except InputRefused as error:
            raise ReadingsRefused(*error.at(f"{where}, column {column}").faults) from None
    if isinstance(value, (dt.datetime, dt.date, dt.time)):
        return Cell(value.isoformat())
    return Cell(str(value).strip())
