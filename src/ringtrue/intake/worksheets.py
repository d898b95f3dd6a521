"""A notebook that was typed into a spreadsheet: its worksheets as grids of cells, whatever they mean."""

from __future__ import annotations

import csv
import io
import itertools
import warnings
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.errors import ReadingsRefused
from ringtrue.intake import csv_file, xlsx_file
from ringtrue.intake.cells import LONGEST_CELL, MOST_COLUMNS, Cell, trimmed
from ringtrue.intake.files import decode, named, read_bytes

if TYPE_CHECKING:
    from openpyxl import Workbook

LARGEST_NOTEBOOK = 20_000_000
"""Decades of a busy shop are smaller. [byte]"""
MOST_LINES = 60_000
"""Rows of all worksheets together."""
MOST_SHEETS = 60
_TIMES = 10
"""So many times what a file of one test may unpack to."""


@dataclass(frozen=True, slots=True)
class Line:
    """
    A row of a worksheet.

    Parameters
    ----------
    number : int
        As the spreadsheet counts, from 1.
    cells : tuple of Cell or None
        From the first column on; None where nothing stands.
    """

    number: int
    cells: tuple[Cell | None, ...]

    def at(self, column: int) -> Cell | None:
        """
        Return a cell.

        Parameters
        ----------
        column : int
            Its column, from 0.

        Returns
        -------
        Cell or None
            None where nothing stands.
        """
        return self.cells[column] if column < len(self.cells) else None


@dataclass(frozen=True, slots=True)
class Worksheet:
    """
    One worksheet.

    Parameters
    ----------
    name : str
        As its tab says; empty for the only one of a CSV file.
    lines : tuple of Line
        The rows in which anything stands.
    """

    name: str
    lines: tuple[Line, ...]

    def where(self, number: int) -> str:
        """
        Name a row for a message.

        Parameters
        ----------
        number : int
            As the spreadsheet counts.

        Returns
        -------
        str
            With the worksheet where there are several.
        """
        return f"sheet {self.name}, row {number}" if self.name else f"row {number}"


def read_worksheets(path: Path, encoding: str = "") -> tuple[bytes, tuple[Worksheet, ...]]:
    """
    Read the worksheets of a file.

    Parameters
    ----------
    path : Path
        CSV or XLSX.
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.

    Returns
    -------
    (bytes, tuple of Worksheet)
        The file to the byte; and its worksheets, those in which nothing stands left out.

    Raises
    ------
    ReadingsRefused
        It is none, it is too large, or a cell of it cannot be kept.
    """
    raw = read_bytes(path, ReadingsRefused, largest=LARGEST_NOTEBOOK)
    return raw, worksheets_in(path.name, raw, encoding)


def worksheets_in(name: str, raw: bytes, encoding: str = "") -> tuple[Worksheet, ...]:
    """
    Read the worksheets of a file that has been read.

    Parameters
    ----------
    name : str
        Its name, which ends as CSV or XLSX do.
    raw : bytes
        What stands in it.
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.

    Returns
    -------
    tuple of Worksheet
        Those in which nothing stands left out.

    Raises
    ------
    ReadingsRefused
        It is none, or a cell of it cannot be kept.
    """
    with named(name, ReadingsRefused):
        if xlsx_file.recognises(Path(name), raw):
            found = _of_spreadsheet(raw)
        elif csv_file.recognises(Path(name), raw):
            found = (Worksheet("", tuple(_of_csv(raw, encoding))),)
        else:
            raise ReadingsRefused.of("", "its format is not known", "save it as XLSX or CSV with that ending")
        filled = tuple(each for each in found if each.lines)
        if not filled:
            raise ReadingsRefused.of("", "the file is empty", "name the file with the notebook")
        return filled


def _too_long() -> ReadingsRefused:
    why = f"a notebook has at most {MOST_LINES:,} rows and {MOST_SHEETS} worksheets"
    return ReadingsRefused.of("", why, "bring it in in parts")


def _of_csv(raw: bytes, encoding: str) -> Iterator[Line]:
    instead = "save it as “CSV UTF-8”, or say how it is written, for example --encoding cp1252"
    text = decode(raw, ReadingsRefused, encoding=encoding, instead=instead)
    first = next((line for line in text.splitlines() if line.strip()), "")
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=max(";\t,", key=first.count), strict=True)
    try:
        for number, cells in enumerate(lines, start=1):
            if number > MOST_LINES:
                raise _too_long()
            texts = [trimmed(cell) for cell in cells]
            if any(texts):
                yield _line(number, tuple(Cell(text) if text else None for text in texts), f"row {number}")
    except csv.Error as error:
        why, instead = f"the table is torn there ({error})", "look for a quotation mark that is not closed"
        raise ReadingsRefused.of("", why, instead, f"line {lines.line_num}") from None


def _line(number: int, cells: tuple[Cell | None, ...], where: str) -> Line:
    while cells and cells[-1] is None:
        cells = cells[:-1]
    if len(cells) > MOST_COLUMNS:
        raise ReadingsRefused.of("", f"a notebook has {MOST_COLUMNS} columns at most", "look for a stray cell", where)
    if any(cell is not None and len(cell.text) > LONGEST_CELL for cell in cells):
        raise ReadingsRefused.of("", f"a cell has {LONGEST_CELL} characters at most", "shorten it", where)
    return Line(number, cells)


def _of_spreadsheet(raw: bytes) -> tuple[Worksheet, ...]:
    try:
        with warnings.catch_warnings():
            # The library warns of decorations that it does not know; they hold no readings.
            warnings.simplefilter("ignore")
            return tuple(_worksheets(raw, with_formulas=xlsx_file.has_formulas(raw, _TIMES)))
    except ReadingsRefused:
        raise
    except Exception:  # noqa: BLE001 - a damaged archive makes the library raise almost anything
        why, instead = "it is no spreadsheet that can be read", "save it again as XLSX, or as CSV"
        raise ReadingsRefused.of("", why, instead) from None


def _worksheets(raw: bytes, *, with_formulas: bool) -> Iterator[Worksheet]:
    import openpyxl

    def book(*, results: bool) -> AbstractContextManager[Workbook]:
        return closing(openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=results))

    left = MOST_LINES
    with book(results=True) as results, book(results=False) if with_formulas else nullcontext() as formulas:
        if len(results.worksheets) > MOST_SHEETS:
            raise _too_long()
        for place, sheet in enumerate(results.worksheets):
            rows = sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
            written: Iterator[tuple[object, ...]] = itertools.repeat(())
            if formulas is not None:
                written = formulas.worksheets[place].iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
            lines: list[Line] = []
            for number, (values, worked) in enumerate(zip(rows, written, strict=False), start=1):
                if number > xlsx_file.MOST_NUMBERED or len(lines) > left:
                    raise _too_long()
                if values.count(None) == len(values) and worked.count(None) == len(worked):
                    continue
                cells = tuple(xlsx_file.cell_of(*both) for both in itertools.zip_longest(values, worked))
                if any(cells):
                    lines.append(_line(number, cells, f"sheet {sheet.title}, row {number}"))
            left -= len(lines)
            yield Worksheet(str(sheet.title), tuple(lines))
