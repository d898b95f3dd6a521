"""Small tables of figures beside the readings of a test: calibration points, and the pulls of a study."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from ringtrue.compression import Reading
from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.intake import csv_file, json_file, xlsx_file
from ringtrue.intake.cells import LONGEST_CELL, Cell, Row, Sort, Table, Wanted, cannot_be_shown
from ringtrue.intake.columns import BRACKETS
from ringtrue.intake.files import named, read_bytes
from ringtrue.quantities import Measured, PaGauge
from ringtrue.units import (
    DecimalMark,
    Dimension,
    Unit,
    find_unit,
    has_decimal_comma,
    parse_gauge_pressure,
    parse_measured,
    parse_number,
)
from ringtrue.units.numbers import told

LARGEST_FILE = 2_000_000
"""No such file is larger. [byte]"""

_FORMATS = (xlsx_file, json_file, csv_file)


@dataclass(frozen=True, slots=True)
class Typed:
    """
    How the person says that a file is written, where the file does not.

    Parameters
    ----------
    unit : Unit or None
        Unit of pressures where neither header nor cell names one.
    decimal : DecimalMark
        The decimal mark.
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.
    """

    unit: Unit | None = None
    decimal: DecimalMark = DecimalMark.ASK
    encoding: str = ""


def read_table(path: Path, wanted: Wanted, encoding: str = "") -> Table:
    """
    Read a file into rows of cells.

    Parameters
    ----------
    path : Path
        CSV, XLSX or JSON.
    wanted : Wanted
        What sort of table it is to hold.
    encoding : str
        As in `Typed`.

    Returns
    -------
    Table
        Header and rows, at least one.

    Raises
    ------
    ReadingsRefused
        It cannot be used.
    """
    raw = read_bytes(path, ReadingsRefused, largest=LARGEST_FILE)
    with named(path.name, ReadingsRefused):
        return table_of(path, raw, wanted, encoding)


def table_of(path: Path, raw: bytes, wanted: Wanted, encoding: str = "") -> Table:
    """
    Read the bytes of a file into rows of cells.

    Parameters
    ----------
    path : Path
        Its name; its ending tells its format.
    raw : bytes
        What it holds.
    wanted : Wanted
        What sort of table it is to hold.
    encoding : str
        As in `Typed`.

    Returns
    -------
    Table
        Header and rows, at least one.

    Raises
    ------
    ReadingsRefused
        It cannot be used.
    """
    if not raw.strip():
        raise ReadingsRefused.of("", "the file is empty", wanted.example)
    for file_format in _FORMATS:
        if file_format.recognises(path, raw):
            table: Table = file_format.read(raw, encoding=encoding, wanted=wanted)
            if not table.rows:
                raise ReadingsRefused.of("", "there is a header and nothing below it", "write a row for each reading")
            return table
    raise ReadingsRefused.of("", "its format is not known", "save it as CSV, XLSX or JSON with that ending")


@dataclass(slots=True)
class SmallTable:
    """
    A table whose columns are known, read cell by cell; faults are kept.

    Parameters
    ----------
    table : Table
        Header and rows.
    known : mapping of str to (Dimension or None)
        Columns, with what their figures measure; None for words and counts.
    typed : Typed
        How it is written.
    faults : list of Fault
        What is wrong with it.
    unknown : list of str
        Columns that are used for nothing, as written.
    """

    table: Table
    known: Mapping[str, Dimension | None]
    typed: Typed
    faults: list[Fault] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    _names: dict[str, str] = field(init=False, default_factory=dict)
    _units: dict[str, Unit] = field(init=False, default_factory=dict)
    _comma: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        """Sort the header into columns."""
        for written in self.table.header:
            self._column(written)
        figures = [self._names[name] for name, kind in self.known.items() if kind is not None and name in self._names]
        self._comma = any(
            has_decimal_comma(row.cells[name].text) for row in self.table.rows for name in figures if name in row.cells
        )
        for name, kind in self.known.items():
            if kind is Dimension.PRESSURE and name in self._names and name not in self._units and not self.typed.unit:
                self._needs_unit(name)

    def _column(self, written: str) -> None:
        match = BRACKETS.fullmatch(written)
        name = (match[1] if match else written).strip().casefold().replace(" ", "_")
        dimension = self.known.get(name)
        if name not in self.known or (match and dimension is None):
            near = difflib.get_close_matches(name, self.known, n=1, cutoff=0.75)
            again = f"; did you mean {near[0]}?" if near and near[0] not in self._names else ""
            self.unknown.append(f"column “{written}” is not known here and used for nothing{again}")
            return
        if name in self._names:
            given = f"columns “{self._names[name]}” and “{written}”"
            self.faults.append(Fault(given, "they are the same column", "keep one", "header"))
            return
        self._names[name] = written
        if match and dimension is not None:
            try:
                self._units[name] = find_unit(match[2], dimension, where=f"column {written}")
            except InputRefused as error:
                self.faults.extend(error.faults)

    def _needs_unit(self, name: str) -> None:
        written = self._names[name]
        bare = [
            row.cells[written].text
            for row in self.table.rows
            if written in row.cells and not any(each.isalpha() for each in row.cells[written].text)
        ]
        if bare and not any(fault.where == f"column {written}" for fault in self.faults):
            count = "1 figure" if len(bare) == 1 else f"{len(bare)} figures"
            instead = f"write for example {written} [psi] in the header, or say --unit psi"
            self.faults.append(
                Fault(f"{count} without a unit", "a pressure needs its unit", instead, f"column {written}")
            )
            self._units[name] = find_unit("psi", Dimension.PRESSURE)  # so that its other faults are found

    def has(self, name: str) -> bool:
        """
        Tell whether the table has a column.

        Parameters
        ----------
        name : str
            The column.

        Returns
        -------
        bool
            True when it is in the header.
        """
        return name in self._names

    def fault(self, row: Row, name: str, given: str, why: str, instead: str) -> None:
        """
        Keep a fault of one cell.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.
        given, why, instead : str
            As in `Fault`.
        """
        self.faults.append(Fault(given, why, instead, f"{row.where}, column {self._names.get(name, name)}"))

    def cell(self, row: Row, name: str) -> Cell | None:
        """
        Return a cell that can be shown.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.

        Returns
        -------
        Cell or None
            None when it is blank, or cannot be used.
        """
        cell = row.cells.get(self._names.get(name, ""))
        if cell is None:
            return None
        if cell.sort is Sort.FORMULA:
            why = "it is a formula, and its result is not in the file"
            self.fault(row, name, told(cell.text), why, "type the figure itself")
            return None
        if len(cell.text) > LONGEST_CELL or cannot_be_shown(cell.text):
            self.fault(
                row, name, told(cell.text[:20]), "it holds what no table shows, or far too much", "type it again"
            )
            return None
        return cell

    def word(self, row: Row, name: str) -> str:
        """
        Read a word; a number 1 and the text 1 are the same.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.

        Returns
        -------
        str
            With single blanks; empty when it is not there.
        """
        cell = self.cell(row, name)
        if cell is None:
            return ""
        text = " ".join(cell.text.split())
        return text.rstrip("0").removesuffix(".") if cell.sort is Sort.NUMBER and "." in text else text

    def count(self, row: Row, name: str, most: int) -> int | None:
        """
        Read a small whole number from 1.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.
        most : int
            The largest that can be.

        Returns
        -------
        int or None
            None when it is not there or cannot be used.
        """
        text = self.word(row, name)
        if not text:
            return None
        try:
            value = parse_number(text)
        except InputRefused:
            value = 0.0
        if value.is_integer() and 1 <= value <= most:
            return int(value)
        self.fault(row, name, told(text), f"this is a whole number from 1 to {most}", "type for example 2")
        return None

    def pressure(self, row: Row, name: str) -> Reading | None:
        """
        Read a pressure above the surrounding air.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.

        Returns
        -------
        Reading or None
            None when it is not there or cannot be used.
        """
        figure = self._figure(row, name)
        if figure is not None and figure.value < 0:
            self.fault(row, name, str(figure), "a gauge shows nothing below zero", "correct it, or remove the row")
            return None
        return None if figure is None else Reading(PaGauge(figure.value), figure.written, figure.unit)

    def measured(self, row: Row, name: str) -> Measured | None:
        """
        Read another figure with its unit.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.

        Returns
        -------
        Measured or None
            None when it is not there or cannot be used.
        """
        return self._figure(row, name)

    def _figure(self, row: Row, name: str) -> Measured | None:
        cell, dimension = self.cell(row, name), self.known[name]
        if cell is None or dimension is None:
            return None
        if cell.sort in {Sort.TRUTH, Sort.TIME} or (cell.sort is Sort.NUMBER and "e" in cell.text.lower()):
            self.fault(
                row, name, told(cell.text), "that is no figure a gauge shows", "format the cell as text, type it again"
            )
            return None
        mark = self.typed.decimal if cell.sort is Sort.TEXT else DecimalMark.POINT
        seen = self._comma and cell.sort is Sort.TEXT
        unit = self._units.get(name)
        try:
            if dimension is Dimension.PRESSURE:
                usual = None if any(each.isalpha() for each in cell.text) else self.typed.unit
                return parse_gauge_pressure(cell.text, unit=unit or usual, mark=mark, comma_seen=seen)
            return parse_measured(cell.text, dimension, unit=unit, mark=mark, comma_seen=seen)
        except InputRefused as error:
            for each in error.faults:
                self.fault(row, name, each.given, each.why, each.instead)
            return None

    def day(self, row: Row, name: str) -> str:
        """
        Read a date.

        Parameters
        ----------
        row : Row
            Its row.
        name : str
            Its column.

        Returns
        -------
        str
            ISO; empty when it is not there or cannot be used.
        """
        cell = self.cell(row, name)
        if cell is None:
            return ""
        try:
            return date.fromisoformat(cell.text[:10] if cell.sort is Sort.TIME else cell.text).isoformat()
        except ValueError:
            self.fault(row, name, told(cell.text), "this is a day", "write year, month, day, for example 2026-05-14")
            return ""

    def one(self, name: str, found: Sequence[tuple[Row, str]]) -> str:
        """
        Return what a column says of the whole table.

        Parameters
        ----------
        name : str
            The column.
        found : sequence of (Row, str)
            What each row says; empty where it says nothing.

        Returns
        -------
        str
            Empty where no row says anything; two that differ are a fault.
        """
        said = [(row, text) for row, text in found if text]
        for row, text in said[1:]:
            if text != said[0][1]:
                why = f"{said[0][0].where} says “{said[0][1]}”, and the whole file has one"
                self.fault(row, name, told(text), why, "keep one of them, or make two files")
                break
        return said[0][1] if said else ""

    def done(self) -> None:
        """
        Stop where anything was wrong.

        Raises
        ------
        ReadingsRefused
            Every fault, in the order of the file.
        """
        if self.faults:
            places = {row.where: place for place, row in enumerate(self.table.rows)}
            raise ReadingsRefused(*sorted(self.faults, key=lambda fault: places.get(fault.where.partition(",")[0], -1)))
