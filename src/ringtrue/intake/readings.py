"""Readings files: from a table of cells to the pulls and leak-down readings of a test, or every fault at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.engine import BuildSheet
from ringtrue.errors import Fault, ReadingsRefused
from ringtrue.intake import csv_file, json_file, xlsx_file
from ringtrue.intake.cell_reader import CellReader, Findings, Manner
from ringtrue.intake.cells import EXAMPLE_HEADER, Table
from ringtrue.intake.columns import MEASURES, PRESSURES, Columns
from ringtrue.intake.files import named, read_bytes
from ringtrue.intake.plausible import implausible_median
from ringtrue.intake.rows import Made, reading_of
from ringtrue.quantities import PaAbs
from ringtrue.units import DecimalMark, Dimension, Unit, units_of

LARGEST_FILE = 10_000_000
"""No readings file is larger. [byte]"""

_FORMATS = (xlsx_file, json_file, csv_file)


@dataclass(frozen=True, slots=True)
class Readings:
    """
    What a readings file holds.

    Parameters
    ----------
    taken : tuple of Pull or LeakdownReading
        In the order of the file.
    warnings : tuple of str
        What the person should know: columns that are kept but not understood.
    """

    taken: tuple[Pull | LeakdownReading, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HowWritten:
    """
    What the person says of a readings file, because the file does not.

    Parameters
    ----------
    unit : Unit or None
        Pressure unit where the file names none; a file that names another is refused.
    usual_unit : Unit or None
        The same, but a file that names another is right.
    decimal : DecimalMark
        The decimal mark.
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.
    barometer : PaAbs or None
        Needed only for absolute pressures. [Pa]
    confirm_unit : bool
        The figures are meant as they are, plausible or not.
    """

    unit: Unit | None = None
    usual_unit: Unit | None = None
    decimal: DecimalMark = DecimalMark.ASK
    encoding: str = ""
    barometer: PaAbs | None = None
    confirm_unit: bool = False


def read_readings(path: Path, how: HowWritten | None = None, sheet: BuildSheet | None = None) -> Readings:
    """
    Read a readings file, whatever its format.

    Parameters
    ----------
    path : Path
        CSV, XLSX or JSON.
    how : HowWritten or None
        What the person says of the file.
    sheet : BuildSheet or None
        The engine, when it is known.

    Returns
    -------
    Readings
        The readings and what the person should know.

    Raises
    ------
    ReadingsRefused
        The file cannot be used; every fault of it is told at once.
    """
    how = how or HowWritten()
    raw = read_bytes(path, ReadingsRefused, largest=LARGEST_FILE)
    with named(path.name, ReadingsRefused):
        if not raw.strip():
            raise ReadingsRefused.of("", "the file is empty", EXAMPLE_HEADER)
        for file_format in _FORMATS:
            if file_format.recognises(path, raw):
                return from_table(file_format.read(raw, encoding=how.encoding), how, sheet)
        raise ReadingsRefused.of("", "its format is not known", "save it as CSV, XLSX or JSON with that ending")


def from_table(table: Table, how: HowWritten, sheet: BuildSheet | None = None) -> Readings:
    """
    Make readings of a table of cells.

    Parameters
    ----------
    table : Table
        Header and rows.
    how : HowWritten
        What the person says of the file.
    sheet : BuildSheet or None
        The engine, when it is known.

    Returns
    -------
    Readings
        The readings and what the person should know.

    Raises
    ------
    ReadingsRefused
        Every fault of the table.
    """
    columns = Columns.of(table.header)
    manner = Manner(
        how.unit, how.usual_unit, how.decimal, columns.shows_decimal_comma(table.rows), how.barometer, how.confirm_unit
    )
    found = Findings()
    made: list[Made] = []
    for row in table.rows:
        before = len(found.faults)
        reading = reading_of(CellReader(row, columns, manner, found))
        if reading is not None:
            made.append(Made(row, reading, whole=len(found.faults) == before))
    faults = list(columns.faults)
    if how.unit is not None:
        faults.extend(columns.contradictions(how.unit))
    if not table.rows:
        faults.append(Fault("", "there is a header and nothing below it", "write a row for each pull"))
    faults.extend(_without_unit(found.without_unit, columns))
    faults.extend(found.faults)
    faults.extend(_repeats(made, columns))
    if sheet is not None:
        faults.extend(_strangers(made, columns, sheet))
    taken = tuple(each.reading for each in made if each.whole)
    # Where most of a file cannot be read, the middle of the rest says nothing.
    if not how.confirm_unit and not found.without_unit and 2 * len(taken) > len(table.rows):
        fault = implausible_median(taken, sheet.ignition if sheet else None)
        if fault is not None:
            faults.append(fault.at(f"column {columns.names.get('final', 'final')}"))
    if faults:
        places = {row.where: place for place, row in enumerate(table.rows)}
        raise ReadingsRefused(*sorted(faults, key=lambda fault: places.get(fault.where.partition(",")[0], -1)))
    return Readings(taken, columns.warnings)


def _without_unit(counted: Counter[str], columns: Columns) -> Iterator[Fault]:
    for name, count in counted.items():
        dimension = Dimension.PRESSURE if name in PRESSURES else MEASURES[name]
        unit = units_of(dimension)[0].name
        say = f", add a column “unit”, or say --unit {unit}" if name in PRESSURES else f", or {unit} in each cell"
        yield Fault(
            "1 figure without a unit" if count == 1 else f"{count} figures without a unit",
            f"{dimension.with_article} needs its unit",
            f"write for example {columns.names[name]} [{unit}] in the header{say}",
            f"column {columns.names[name]}",
        )


def _repeats(made: Sequence[Made], columns: Columns) -> Iterator[Fault]:
    seen = Counter[tuple[str, Kind, int]]()
    pulled: set[tuple[str, Kind]] = set()
    for each in made:
        reading = each.reading
        if isinstance(reading, Pull) and reading.drift:
            if (reading.cylinder, reading.kind) not in pulled:
                yield Fault(
                    f"drift on cylinder {reading.cylinder}",
                    "it repeats a cylinder that was pulled before, and there is no such pull above",
                    "put it below that pull, or clear the cell",
                    columns.place(each.row, "drift"),
                )
            continue
        key = (reading.cylinder, reading.kind, reading.repeat or 1)
        seen[key] += 1
        if seen[key] > 1:
            again = f", repeat {reading.repeat}" if reading.repeat else ""
            yield Fault(
                f"cylinder {reading.cylinder} {reading.kind} again{again}",
                "there is already such a row, and nothing says which one counts",
                "number declared repeats 1, 2, 3 in a column “repeat”, mark the last check as drift, or remove one",
                columns.place(each.row, "cylinder"),
            )
        if isinstance(reading, Pull) and (reading.final is not None or not each.whole):
            pulled.add((reading.cylinder, reading.kind))


def _strangers(made: Sequence[Made], columns: Columns, sheet: BuildSheet) -> Iterator[Fault]:
    for each in made:
        names = [("cylinder", each.reading.cylinder)]
        if isinstance(each.reading, LeakdownReading):
            heard = [place.removeprefix("cylinder ") for place in each.reading.heard if place.startswith("cylinder ")]
            names += [("heard", name) for name in heard]
        for column, name in names:
            if name in sheet.cylinders:
                continue
            likely = [known for known in sheet.cylinders if known.casefold() == name.casefold()]
            yield Fault(
                f"cylinder “{name}”",
                f"the build sheet of {sheet.name} does not have it",
                f"did you mean {likely[0]}?" if likely else f"write one of {', '.join(sheet.cylinders)}",
                columns.place(each.row, column),
            )
