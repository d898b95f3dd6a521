"""The columns of a readings file: which there are, which unit each is in, and how a cell is read."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from ringtrue.compression import Reading
from ringtrue.errors import Fault, InputRefused
from ringtrue.intake.cells import LONGEST_CELL, Cell, Row
from ringtrue.quantities import Measured, PaAbs, PaGauge
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

PRESSURES = ("first", "final", "supply", "held")
MEASURES = {
    "oil": Dimension.VOLUME,
    "restrictor": Dimension.LENGTH,
    "lift_loss": Dimension.LENGTH,
    "rpm": Dimension.ROTATION,
    "battery": Dimension.VOLTAGE,
}
# Columns whose name says the unit.
NAMED_UNITS = {"rpm": "rpm", "battery": "V"}
PLAIN = (
    "cylinder",
    "kind",
    "drift",
    "repeat",
    "first_spoiled",
    "strokes",
    "heard",
    "plug",
    "note",
    "read_by",
    "at",
    "unit",
)
KNOWN = (*PRESSURES, *MEASURES, *PLAIN)

YES = ("yes", "y", "true", "1", "x")
NO = ("no", "n", "false", "0")

_BRACKETS = re.compile(r"^([^\[\]]{1,60})\[([^\[\]]{1,30})\]$")


@dataclass(slots=True)
class Columns:
    """
    The columns of one file.

    Parameters
    ----------
    names : dict of str to str
        Header as written, by column name.
    units : dict of str to Unit
        Unit in the header's brackets, by column name.
    unknown : tuple of str
        Columns that ringtrue does not know, as written.
    faults : list of Fault
        What is wrong with the header.
    """

    names: dict[str, str]
    units: dict[str, Unit]
    unknown: tuple[str, ...]
    faults: list[Fault] = field(default_factory=list)

    @classmethod
    def of(cls, header: tuple[str, ...]) -> Columns:
        """
        Sort a header into columns.

        Parameters
        ----------
        header : tuple of str
            As written.

        Returns
        -------
        Columns
            With its faults in it.
        """
        columns = cls({}, {}, ())
        unknown: list[str] = []
        for written in header:
            match = _BRACKETS.match(written)
            name = (match[1] if match else written).strip().casefold().replace(" ", "_")
            dimension = Dimension.PRESSURE if name in PRESSURES else MEASURES.get(name)
            if name not in KNOWN or (match and dimension is None):
                unknown.append(written)
                continue
            if name in columns.names:
                columns.faults.append(
                    Fault(
                        f"columns “{columns.names[name]}” and “{written}”",
                        "they are the same column",
                        "keep one",
                        "header",
                    )
                )
            columns.names[name] = written
            if match and dimension is not None:
                try:
                    columns.units[name] = find_unit(match[2], dimension, where=f"column {written}")
                except InputRefused as error:
                    columns.faults.extend(error.faults)
        columns.unknown = tuple(unknown)
        return columns


@dataclass(frozen=True, slots=True)
class Manner:
    """
    How the cells of one file are to be read.

    Parameters
    ----------
    unit : Unit or None
        Pressure unit where neither header nor row names one.
    mark : DecimalMark
        What the decimal mark is.
    comma_seen : bool
        The file has unambiguous decimal commas, so a point before three figures is asked about.
    barometer : PaAbs or None
        For absolute pressures.
    """

    unit: Unit | None
    mark: DecimalMark
    comma_seen: bool
    barometer: PaAbs | None


def shows_decimal_comma(rows: tuple[Row, ...], columns: Columns) -> bool:
    """
    Tell whether any figure of a file has a decimal comma beyond doubt.

    Parameters
    ----------
    rows : tuple of Row
        The file's rows.
    columns : Columns
        Its columns.

    Returns
    -------
    bool
        True when one has.
    """
    figures = [columns.names[name] for name in (*PRESSURES, *MEASURES) if name in columns.names]
    return any(has_decimal_comma(row.cells[name].text) for row in rows for name in figures if name in row.cells)


class CellReader:
    """
    Reads the cells of one row, and keeps every fault.

    Parameters
    ----------
    row : Row
        The row.
    columns : Columns
        The file's columns.
    manner : Manner
        How its cells are read.
    faults : list of Fault
        Faults are added here.
    """

    def __init__(self, row: Row, columns: Columns, manner: Manner, faults: list[Fault]) -> None:
        self._row = row
        self._columns = columns
        self._manner = manner
        self._faults = faults

    def fault(self, name: str, given: str, why: str, instead: str) -> None:
        """
        Keep a fault of one cell.

        Parameters
        ----------
        name : str
            The column.
        given, why, instead : str
            As in `Fault`.
        """
        column = self._columns.names.get(name, name)
        self._faults.append(Fault(given, why, instead, f"{self._row.where}, column {column}"))

    def cell(self, name: str) -> Cell | None:
        """
        Return a cell.

        Parameters
        ----------
        name : str
            The column.

        Returns
        -------
        Cell or None
            None when it is blank or there is no such column.
        """
        written = self._columns.names.get(name)
        return None if written is None else self._row.cells.get(written)

    def text(self, name: str) -> str:
        """
        Return a cell's text.

        Parameters
        ----------
        name : str
            The column.

        Returns
        -------
        str
            Empty when blank.
        """
        cell = self.cell(name)
        if cell is None:
            return ""
        if len(cell.text) > LONGEST_CELL:
            self.fault(name, f"{len(cell.text)} characters", f"a cell has {LONGEST_CELL} at most", "shorten it")
            return ""
        return cell.text

    def flag(self, name: str) -> bool:
        """
        Read yes or no.

        Parameters
        ----------
        name : str
            The column.

        Returns
        -------
        bool
            False when blank.
        """
        text = self.text(name).casefold()
        if text and text not in YES and text not in NO:
            self.fault(name, f"read “{text}”", "this is yes or no", "type yes, no, or leave it blank")
        return text in YES

    def count(self, name: str, most: int) -> int | None:
        """
        Read a small whole number from 1.

        Parameters
        ----------
        name : str
            The column.
        most : int
            The largest that can be.

        Returns
        -------
        int or None
            None when blank.
        """
        text = self.text(name)
        if not text:
            return None
        try:
            value = parse_number(text, mark=self._manner.mark)
        except InputRefused:
            value = 0.0
        if value.is_integer() and 1 <= value <= most:
            return int(value)
        self.fault(
            name, f"read “{text}”", f"this is a whole number from 1 to {most}", "type for example 2, or leave it blank"
        )
        return None

    def pressure(self, name: str) -> Reading | None:
        """
        Read a pressure.

        Parameters
        ----------
        name : str
            The column.

        Returns
        -------
        Reading or None
            None when blank, or when it cannot be used.
        """
        cell = self.cell(name)
        if cell is None:
            return None
        try:
            unit = self._pressure_unit(name)
            figure = parse_gauge_pressure(
                cell.text,
                unit=unit,
                barometer=self._manner.barometer,
                mark=DecimalMark.POINT if cell.typed else self._manner.mark,
                comma_seen=self._manner.comma_seen and not cell.typed,
            )
        except InputRefused as error:
            for fault in error.faults:
                self.fault(name, fault.given, fault.why, fault.instead)
            return None
        return Reading(PaGauge(figure.value), figure.written, figure.unit)

    def measure(self, name: str) -> Measured | None:
        """
        Read another figure with its unit.

        Parameters
        ----------
        name : str
            The column.

        Returns
        -------
        Measured or None
            None when blank, or when it cannot be used.
        """
        cell = self.cell(name)
        if cell is None:
            return None
        dimension = MEASURES[name]
        unit = self._columns.units.get(name)
        try:
            if unit is None and name in NAMED_UNITS:
                unit = find_unit(NAMED_UNITS[name], dimension)
            figure = parse_measured(
                cell.text,
                dimension,
                unit=unit,
                mark=DecimalMark.POINT if cell.typed else self._manner.mark,
                comma_seen=self._manner.comma_seen and not cell.typed,
            )
        except InputRefused as error:
            for fault in error.faults:
                self.fault(name, fault.given, fault.why, fault.instead)
            return None
        if figure.value < 0 or (figure.value == 0 and name == "restrictor"):
            self.fault(
                name,
                f"read “{cell.text}”",
                f"{name.replace('_', ' ')} is not that small",
                "correct it, or leave it blank",
            )
            return None
        return figure

    def _pressure_unit(self, name: str) -> Unit | None:
        header = self._columns.units.get(name)
        said = self.text("unit")
        of_row = find_unit(said, Dimension.PRESSURE) if said else None
        if header is not None and of_row is not None and header != of_row:
            raise InputRefused.of(
                f"unit “{said}” under a column in {header.name}", "they contradict one another", "keep one of them"
            )
        return header or of_row or self._manner.unit
