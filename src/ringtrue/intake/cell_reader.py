"""How the cells of one row are read: as names, words, counts, pressures and other figures, with every fault kept."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from ringtrue.compression import Reading
from ringtrue.engine import name_fault
from ringtrue.errors import Fault, InputRefused
from ringtrue.intake.cells import LONGEST_CELL, Cell, Row, Sort, cannot_be_shown
from ringtrue.intake.columns import MEASURES, NAMED_UNITS, PRESSURES, Columns
from ringtrue.intake.plausible import beyond_belief
from ringtrue.quantities import Measured, PaAbs, PaGauge
from ringtrue.units import (
    DecimalMark,
    Dimension,
    Unit,
    find_unit,
    parse_gauge_pressure,
    parse_measured,
    parse_number,
    units_of,
)
from ringtrue.units.numbers import told

YES = ("yes", "y", "true", "1", "x")
NO = ("no", "n", "false", "0")

_SIGNS_OF_UNITS = frozenset('"”″“°º˚%#')


@dataclass(frozen=True, slots=True)
class Manner:
    """
    How the cells of one file are to be read.

    Parameters
    ----------
    unit : Unit or None
        Pressure unit that the person says; a row or cell that names another is refused.
    usual_unit : Unit or None
        Pressure unit where neither person, header, row nor cell names one.
    mark : DecimalMark
        What the decimal mark is.
    comma_seen : bool
        The file has unambiguous decimal commas, so a point before three figures is asked about.
    barometer : PaAbs or None
        For absolute pressures.
    any_size : bool
        Figures that no engine shows are meant.
    """

    unit: Unit | None = None
    usual_unit: Unit | None = None
    mark: DecimalMark = DecimalMark.ASK
    comma_seen: bool = False
    barometer: PaAbs | None = None
    any_size: bool = False


@dataclass(slots=True)
class Findings:
    """
    What is wrong with the rows of one file.

    Parameters
    ----------
    faults : list of Fault
        Faults of single cells.
    without_unit : Counter of str
        How many figures of a column have no unit at all.
    """

    faults: list[Fault] = field(default_factory=list)
    without_unit: Counter[str] = field(default_factory=Counter)


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
    findings : Findings
        Faults are added here.
    """

    def __init__(self, row: Row, columns: Columns, manner: Manner, findings: Findings) -> None:
        self._row = row
        self._columns = columns
        self._manner = manner
        self._findings = findings
        self._cells: dict[str, Cell] = {}
        for name, written in columns.names.items():
            if (cell := row.cells.get(written)) is not None and self._can_be_kept(name, cell):
                self._cells[name] = cell
        self.extra = tuple(
            (written, cell.text)
            for written in columns.unknown
            if (cell := row.cells.get(written)) is not None and self._can_be_kept(written, cell)
        )
        """Cells of columns that ringtrue does not know."""
        self._unit_of_row, self._unit_in_doubt = self._read_unit()

    @property
    def any_size(self) -> bool:
        """Figures are meant as they are, plausible or not."""
        return self._manner.any_size

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
        self._findings.faults.append(Fault(given, why, instead, self._columns.place(self._row, name)))

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
        cell = self._cells.get(name)
        return "" if cell is None else cell.text

    def name(self) -> str:
        """
        Read the name of the cylinder.

        Returns
        -------
        str
            Empty when it cannot be used, with a fault kept. A number 1 and the text 1 are the same.
        """
        cell = self._cells.get("cylinder")
        if cell is None:
            if self._columns.names["cylinder"] not in self._row.cells:
                self.fault("cylinder", "", "the cylinder is missing", "write its name, or remove the row")
            return ""
        if self._of_another_sort("cylinder", cell, "a name"):
            return ""
        name = cell.text
        if cell.sort is Sort.NUMBER and "." in name:
            name = name.rstrip("0").removesuffix(".")
        if (fault := name_fault(name)) is not None:
            self.fault("cylinder", fault.given, fault.why, fault.instead)
            return ""
        return name

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
            self.fault(name, told(text), "this is yes or no", "type yes, no, or leave it blank")
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
        cell = self._cells.get(name)
        if cell is None:
            return None
        try:
            value = parse_number(cell.text, mark=self._mark(cell))
        except InputRefused:
            value = 0.0
        if value.is_integer() and 1 <= value <= most:
            return int(value)
        self.fault(
            name,
            told(cell.text),
            f"this is a whole number from 1 to {most}",
            "type for example 2, or leave it blank",
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
        cell = self._cells.get(name)
        if cell is None or self._of_another_sort(name, cell, "a number"):
            return None
        unit = self._columns.units.get(name) or self._unit_of_row or self._manner.unit
        stands_in = False
        if unit is None and not _names_a_unit(cell.text):
            unit = self._manner.usual_unit
            stands_in = unit is None
        try:
            figure = parse_gauge_pressure(
                cell.text,
                unit=self._without_unit(name, Dimension.PRESSURE) if stands_in else unit,
                barometer=self._manner.barometer,
                mark=self._mark(cell),
                comma_seen=self._manner.comma_seen and cell.sort is Sort.TEXT,
            )
        except InputRefused as error:
            self._keep(name, error)
            return None
        reading = Reading(PaGauge(figure.value), figure.written, "" if stands_in else figure.unit)
        if not (stands_in or self._manner.any_size) and (fault := beyond_belief(reading)) is not None:
            self.fault(name, fault.given, fault.why, fault.instead)
        return reading

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
        cell = self._cells.get(name)
        if cell is None or self._of_another_sort(name, cell, "a number"):
            return None
        dimension = MEASURES[name]
        unit = self._columns.units.get(name)
        if unit is None and name in NAMED_UNITS:
            unit = find_unit(NAMED_UNITS[name], dimension)
        stands_in = unit is None and not _names_a_unit(cell.text)
        if stands_in:
            unit = self._without_unit(name, dimension)
        try:
            figure = parse_measured(
                cell.text,
                dimension,
                unit=unit,
                mark=self._mark(cell),
                comma_seen=self._manner.comma_seen and cell.sort is Sort.TEXT,
            )
        except InputRefused as error:
            self._keep(name, error)
            return None
        if figure.value < 0 or (figure.value == 0 and name == "restrictor"):
            least = "above zero" if name == "restrictor" else "not below zero"
            self.fault(name, told(cell.text), f"{name.replace('_', ' ')} is {least}", "correct it, or leave it blank")
            return None
        return replace(figure, unit="") if stands_in else figure

    def _keep(self, name: str, error: InputRefused) -> None:
        for fault in error.faults:
            self.fault(name, fault.given, fault.why, fault.instead)

    def _mark(self, cell: Cell) -> DecimalMark:
        return self._manner.mark if cell.sort is Sort.TEXT else DecimalMark.POINT

    def _can_be_kept(self, name: str, cell: Cell) -> bool:
        if len(cell.text) > LONGEST_CELL:
            self.fault(name, f"{len(cell.text)} characters", f"a cell has {LONGEST_CELL} at most", "shorten it")
            return False
        if cannot_be_shown(cell.text):
            self.fault(name, told(cell.text), "it holds characters that no table shows", "type it again")
            return False
        if cell.sort is Sort.FORMULA and name in self._columns.names:
            self.fault(
                name,
                told(cell.text),
                "it is a formula, and its result is not in the file",
                "open the file in a spreadsheet program and save it, or type the figure itself",
            )
            return False
        return True

    def _of_another_sort(self, name: str, cell: Cell, wanted: str) -> bool:
        """Keep a fault where the file holds yes or no, a time, or a number beyond all gauges in its place."""
        if cell.sort is Sort.TRUTH:
            self.fault(name, told(cell.text), f"yes or no is not {wanted}", "type it again, or leave it blank")
        elif cell.sort is Sort.TIME:
            why = f"the spreadsheet has made a date or a time of it, and that is not {wanted}"
            self.fault(name, told(cell.text), why, "format the cell as text and type it again")
        elif cell.sort is Sort.NUMBER and "e" in cell.text.lower():
            # Written out, it would have more figures than any number here.
            self.fault(name, told(cell.text), "nothing here is that large or that small", "type what was read")
        else:
            return False
        return True

    def _read_unit(self) -> tuple[Unit | None, bool]:
        """Return the unit that the row names, and whether it names one that cannot be used."""
        said = self.text("unit")
        if not said:
            return None, "unit" in self._columns.names and self._columns.names["unit"] in self._row.cells
        try:
            unit = find_unit(said, Dimension.PRESSURE)
        except InputRefused as error:
            self._keep("unit", error)
            return None, True
        against = [
            f"column {self._columns.names[name]}"
            for name, named in self._columns.units.items()
            if name in PRESSURES and name in self._cells and named != unit
        ]
        if self._manner.unit not in {None, unit}:
            against.append("--unit")
        if against:
            self.fault("unit", told(said), f"it contradicts {' and '.join(against)}", "keep one of them")
        return unit, False

    def _without_unit(self, name: str, dimension: Dimension) -> Unit:
        """Count a figure that nobody gave a unit; the usual one stands in, so that its other faults are found."""
        if not (dimension is Dimension.PRESSURE and self._unit_in_doubt):
            self._findings.without_unit[name] += 1
        return units_of(dimension)[0]


def _names_a_unit(text: str) -> bool:
    return "''" in text or any(each.isalpha() or each in _SIGNS_OF_UNITS for each in text)
