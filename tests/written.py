"""Readings files for tests, written in each of the three formats from the same rows."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest

from ringtrue.engine import BuildSheet
from ringtrue.errors import ReadingsRefused
from ringtrue.intake import HowWritten, Readings
from ringtrue.intake import csv_file as csv_format
from ringtrue.intake import json_file as json_format
from ringtrue.intake import xlsx_file as xlsx_format
from ringtrue.intake.readings import from_table

Rows = Sequence[Sequence[Any]]


def as_csv(rows: Rows, delimiter: str = ",") -> bytes:
    """Write rows as CSV, the header first; None is blank."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(["" if cell is None else cell for cell in row] for row in rows)
    return text.getvalue().encode("utf-8")


def as_json(rows: Rows) -> bytes:
    """Write rows as a list of objects."""
    header, *rest = rows
    return json.dumps([dict(zip(map(str, header), row, strict=True)) for row in rest]).encode()


def as_xlsx(rows: Rows) -> bytes:
    """Write rows as the first sheet of a spreadsheet; a text stays a text."""
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for number, row in enumerate(rows, start=1):
        for place, value in enumerate(row, start=1):
            cell = sheet.cell(number, place, value)
            if isinstance(value, str):
                cell.data_type = "s"
    raw = io.BytesIO()
    book.save(raw)
    return raw.getvalue()


WRITERS: dict[str, Callable[[Rows], bytes]] = {"csv": as_csv, "json": as_json, "xlsx": as_xlsx}
READERS = {"csv": csv_format.read, "json": json_format.read, "xlsx": xlsx_format.read}


def read(raw: bytes, name: str = "csv", sheet: BuildSheet | None = None, *, encoding: str = "", **how: Any) -> Readings:  # noqa: ANN401 - as HowWritten
    """Read a file of one format that is in memory."""
    return from_table(READERS[name](raw, encoding=encoding), HowWritten(encoding=encoding, **how), sheet)


def lines(*texts: str) -> bytes:
    """Write a CSV file line by line."""
    return "\n".join(texts).encode()


def refused(raw: bytes, name: str = "csv", sheet: BuildSheet | None = None, **how: Any) -> list[str]:  # noqa: ANN401
    """Return every fault of a file, as it is told."""
    with pytest.raises(ReadingsRefused) as refusal:
        read(raw, name, sheet, **how)
    return [str(fault) for fault in refusal.value.faults]


def with_parts(raw: bytes, parts: Mapping[str, bytes]) -> bytes:
    """Put other parts in place of those of a spreadsheet, or beside them."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            if part.filename not in parts:
                new.writestr(part.filename, old.read(part))
        for name, text in parts.items():
            new.writestr(name, text)
    return made.getvalue()
