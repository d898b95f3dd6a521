"""Readings in CSV: commas, semicolons or tabs; UTF-8, UTF-16 with its mark, or an encoding that was named."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from ringtrue.errors import Fault, ReadingsRefused
from ringtrue.intake.cells import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Cell, Row, Table
from ringtrue.intake.fields import decode

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


def read(path: Path, raw: bytes, *, encoding: str) -> Table:
    """
    Read a CSV file.

    Parameters
    ----------
    path : Path
        Its name, for messages.
    raw : bytes
        What it holds.
    encoding : str
        Text encoding; empty for UTF-8 or what a byte order mark says.

    Returns
    -------
    Table
        Its header and rows.

    Raises
    ------
    ReadingsRefused
        It is no text in that encoding, has no header with a column ``cylinder``, or is torn.
    """
    try:
        text = decode(raw, path, ReadingsRefused, encoding or "utf-8-sig")
    except ReadingsRefused as error:
        if encoding:
            raise
        given, why = error.faults[0].given, error.faults[0].why
        instead = "save it as “CSV UTF-8”, or say how it is written, for example --encoding cp1252"
        raise ReadingsRefused.of(given, why, instead) from None
    return _table(text)


def _table(text: str) -> Table:
    first = next((line for line in text.splitlines() if line.strip()), "")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=max(";\t,", key=first.count), strict=True)
    header: tuple[str, ...] = ()
    rows: list[Row] = []
    faults: list[Fault] = []
    try:
        for cells in reader:
            texts = [cell.strip() for cell in cells]
            if not any(texts):
                continue
            if not header:
                header = _header(texts)
                continue
            rows.append(_row(f"row {reader.line_num}", header, texts, faults))
            if len(rows) > MOST_ROWS:
                raise ReadingsRefused.of("", f"it has more than {MOST_ROWS} rows", "check that it is the right file")
    except csv.Error as error:
        why = f"the table is torn in row {reader.line_num} ({error})"
        raise ReadingsRefused.of("", why, "look for a quotation mark that is not closed") from None
    if faults:
        raise ReadingsRefused(*faults)
    if not header:
        raise ReadingsRefused.of(
            "", "the file is empty", "write a header, for example: cylinder,first [psi],final [psi]"
        )
    return Table(header, tuple(rows))


def _header(texts: list[str]) -> tuple[str, ...]:
    while texts and not texts[-1]:
        texts.pop()
    check_header(tuple(texts))
    return tuple(texts)


def _row(where: str, header: tuple[str, ...], texts: list[str], faults: list[Fault]) -> Row:
    if any(texts[len(header) :]):
        faults.append(
            Fault(
                f"{len(texts)} cells under {len(header)} columns",
                "a cell stands outside the table",
                "part the columns with semicolons where figures have decimal commas, or put text with commas in quotes",
                where,
            )
        )
    return Row(where, {name: Cell(text) for name, text in zip(header, texts, strict=False) if text})


def check_header(header: tuple[str, ...]) -> None:
    """
    Refuse a header that no readings file has.

    Parameters
    ----------
    header : tuple of str
        Its columns.

    Raises
    ------
    ReadingsRefused
        Too many columns, one too long, one twice, one without a name, or none called ``cylinder``.
    """
    plain = [name.casefold() for name in header]
    example = "write a header, for example: cylinder,first [psi],final [psi]"
    if len(header) > MOST_COLUMNS or any(len(name) > LONGEST_CELL for name in header):
        raise ReadingsRefused.of("", "this is no table of readings", example)
    if "cylinder" not in plain:
        shown = ", ".join(header)[:80]
        raise ReadingsRefused.of(f"header “{shown}”", "a column “cylinder” is missing", example, "row 1")
    twice = sorted({name for name in plain if name and plain.count(name) > 1})
    if twice:
        raise ReadingsRefused.of(
            f"column “{twice[0]}” twice", "each column has its own name", "rename or remove one", "row 1"
        )
    if "" in plain:
        raise ReadingsRefused.of("a column without a name", "each column has a name", "name it or remove it", "row 1")
