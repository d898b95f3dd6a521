"""Readings in CSV: commas, semicolons or tabs; UTF-8, UTF-16 with its mark, or an encoding that was named."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from ringtrue.errors import Fault, ReadingsRefused
from ringtrue.intake.cells import (
    MOST_ROWS,
    READINGS,
    Cell,
    Row,
    Table,
    Wanted,
    check_header,
    column_name,
    too_many_rows,
    trimmed,
)
from ringtrue.intake.files import decode

ENDINGS = (".csv", ".tsv", ".txt")


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
        By its ending.
    """
    del raw
    return path.suffix.casefold() in ENDINGS


def read(raw: bytes, *, encoding: str = "", wanted: Wanted = READINGS) -> Table:
    """
    Read a CSV file.

    Parameters
    ----------
    raw : bytes
        What it holds.
    encoding : str
        Text encoding; empty for UTF-8 or what a byte order mark says.
    wanted : Wanted
        What sort of table it is to hold.

    Returns
    -------
    Table
        Its header and rows, which are counted as a spreadsheet counts them.

    Raises
    ------
    ReadingsRefused
        It is no text in that encoding, has no header with the column that is wanted, is too long, or is torn.
    """
    instead = "save it as “CSV UTF-8”, or say how it is written, for example --encoding cp1252"
    text = decode(raw, ReadingsRefused, encoding=encoding, instead=instead)
    first = next((line for line in text.splitlines() if line.strip()), "")
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=max(";\t,", key=first.count), strict=True)
    header: tuple[str, ...] = ()
    rows: list[Row] = []
    faults: list[Fault] = []
    try:
        for number, cells in enumerate(lines, start=1):
            texts = [trimmed(cell) for cell in cells]
            if not any(texts):
                continue
            where = f"row {number}"
            if not header:
                header = check_header([column_name(text) for text in texts], where, wanted)
                continue
            if any(texts[len(header) :]):
                faults.append(_outside(len(texts), len(header), where))
            rows.append(Row(where, {name: Cell(text) for name, text in zip(header, texts, strict=False) if text}))
            if len(rows) > MOST_ROWS:
                raise too_many_rows()
    except csv.Error as error:
        why = f"the table is torn there ({error})"
        raise ReadingsRefused.of(
            "", why, "look for a quotation mark that is not closed", f"line {lines.line_num}"
        ) from None
    if faults:
        raise ReadingsRefused(*faults)
    if not header:
        raise ReadingsRefused.of("", "the file is empty", wanted.example)
    return Table(header, tuple(rows))


def _outside(cells: int, columns: int, where: str) -> Fault:
    return Fault(
        f"{cells} cells under {columns} columns",
        "a cell stands outside the table",
        "part the columns with semicolons where figures have decimal commas, or put text with commas in quotes",
        where,
    )
