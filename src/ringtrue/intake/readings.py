"""Readings files: from a table of cells to the pulls and leak-down readings of a test, or every fault at once."""

from __future__ import annotations

import re
import statistics
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ringtrue.compression import Kind, LeakdownReading, Pull
from ringtrue.engine import BuildSheet, Ignition
from ringtrue.errors import Fault, ReadingsRefused
from ringtrue.intake import csv_file, json_file, xlsx_file
from ringtrue.intake.cells import Row, Table
from ringtrue.intake.columns import CellReader, Columns, Manner, shows_decimal_comma
from ringtrue.intake.fields import read_bytes
from ringtrue.quantities import PaAbs
from ringtrue.units import DecimalMark, Dimension, Unit, find_unit, from_si

LARGEST_FILE = 10_000_000
"""No readings file is larger. [byte]"""

MOST_REPEATS = 50
MOST_STROKES = 200
PLACES_HEARD = ("crankcase", "intake", "exhaust", "coolant", "nothing")

PSI = 6894.757293168361
"""One psi, for the limits below, which the contract states in psi. [Pa]"""

PLAUSIBLE_MEDIAN = {
    Ignition.SPARK: (40.0, 400.0),
    Ignition.COMPRESSION: (150.0, 800.0),
    None: (40.0, 800.0),
}
"""Between these a median dry final is believed [psi]; common practice."""

LARGEST_FINAL = 1500.0
"""Above it no single figure is believed [psi]; common practice."""

_FORMATS = (xlsx_file, json_file, csv_file)
_OTHER_CYLINDER = re.compile(r"^cylinder\s+(.{1,20})$", re.IGNORECASE)


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
    try:
        if not raw.strip():
            raise ReadingsRefused.of(
                "", "the file is empty", "write a header, for example: cylinder,first [psi],final [psi]"
            )
        for file_format in _FORMATS:
            if file_format.recognises(path, raw):
                return from_table(file_format.read(path, raw, encoding=how.encoding), how, sheet)
    except ReadingsRefused as error:
        raise error if str(path) in str(error) else error.at(path.name) from None
    raise ReadingsRefused.of(
        f"“{path.name}”", "its format is not known", "save it as CSV, XLSX or JSON with that ending"
    )


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
    faults = list(columns.faults)
    manner = Manner(how.unit or how.usual_unit, how.decimal, shows_decimal_comma(table.rows, columns), how.barometer)
    if how.unit is not None:
        faults.extend(_unit_contradictions(columns, how.unit))
    if not table.rows:
        faults.append(Fault("", "there is a header and nothing below it", "write a row for each pull"))
    taken: list[tuple[Row, Pull | LeakdownReading]] = []
    for row in table.rows:
        made = _one(row, columns, manner, faults)
        if made is not None:
            taken.append((row, made))
    faults.extend(_repeats(taken))
    if sheet is not None:
        faults.extend(_strangers(taken, sheet))
    rows = tuple(made for _, made in taken)
    if not faults and not how.confirm_unit:
        faults.extend(implausible(rows, sheet.ignition if sheet else None))
    if faults:
        raise ReadingsRefused(*faults)
    warnings = tuple(
        f"column “{name}” is not known here: it is kept as written and used for nothing" for name in columns.unknown
    )
    return Readings(rows, warnings)


def _unit_contradictions(columns: Columns, unit: Unit) -> list[Fault]:
    return [
        Fault(
            f"--unit {unit.name}",
            f"the column says {named.name}",
            "leave --unit out, or correct the header",
            f"column {columns.names[name]}",
        )
        for name, named in columns.units.items()
        if named.dimension is Dimension.PRESSURE and named != unit
    ]


def _one(row: Row, columns: Columns, manner: Manner, faults: list[Fault]) -> Pull | LeakdownReading | None:
    cells = CellReader(row, columns, manner, faults)
    cylinder, before = cells.text("cylinder"), len(faults)
    if not cylinder:
        cells.fault("cylinder", "", "the cylinder is missing", "write its name, or remove the row")
    word = cells.text("kind").casefold().replace("-", "").replace(" ", "") or Kind.DRY.value
    if word not in set(Kind):
        cells.fault(
            "kind", f"read “{cells.text('kind')}”", "a reading is dry, wet or leakdown", "type one of these words"
        )
        return None
    common: Mapping[str, Any] = {
        "cylinder": cylinder,
        "repeat": cells.count("repeat", MOST_REPEATS),
        "plug": cells.text("plug"),
        "note": cells.text("note"),
        "read_by": cells.text("read_by"),
        "at": cells.text("at"),
        "rpm": cells.measure("rpm"),
        "battery": cells.measure("battery"),
        "lift_loss": cells.measure("lift_loss"),
        "extra": tuple((name, row.cells[name].text) for name in columns.unknown if name in row.cells),
    }
    kind = Kind(word)
    made = _leakdown(cells, common) if kind is Kind.LEAKDOWN else _pull(cells, kind, common)
    return made if len(faults) == before else None


def _pull(cells: CellReader, kind: Kind, common: Mapping[str, Any]) -> Pull:
    for name in ("supply", "held", "restrictor", "heard"):
        if cells.text(name):
            cells.fault(
                name,
                f"read “{cells.text(name)}”",
                "this belongs to a leak-down reading",
                "write kind leakdown, or clear the cell",
            )
    if kind is Kind.DRY and cells.text("oil"):
        cells.fault(
            "oil", f"read “{cells.text('oil')}”", "oil belongs to a wet pull", "write kind wet, or clear the cell"
        )
    pull = Pull(
        kind=kind,
        first=cells.pressure("first"),
        final=cells.pressure("final"),
        first_spoiled=cells.flag("first_spoiled"),
        drift=cells.flag("drift"),
        strokes=cells.count("strokes", MOST_STROKES),
        oil=cells.measure("oil") if kind is Kind.WET else None,
        **common,
    )
    fault = first_above_final(pull)
    if fault is not None:
        cells.fault("first", fault.given, fault.why, fault.instead)
    return pull


def first_above_final(pull: Pull) -> Fault | None:
    """
    Find a first stroke that reads more than the final one: the needle holds the highest, so it cannot.

    Parameters
    ----------
    pull : Pull
        The pull.

    Returns
    -------
    Fault or None
        None when it can be.
    """
    if pull.first is None or pull.final is None or pull.first.pressure <= pull.final.pressure * (1 + 1e-9):
        return None
    return Fault(
        f"first {pull.first} above final {pull.final}",
        "the needle holds the highest, so the final is never below the first",
        "check whether the two were swapped, or one was misread",
    )


def _leakdown(cells: CellReader, common: Mapping[str, Any]) -> LeakdownReading:
    for name in ("first", "final", "oil", "strokes"):
        if cells.text(name):
            cells.fault(
                name,
                f"read “{cells.text(name)}”",
                "this belongs to a pull, not to a leak-down reading",
                "clear the cell",
            )
    for name in ("drift", "first_spoiled"):
        if cells.flag(name):
            cells.fault(name, "read “yes”", "this belongs to a pull, not to a leak-down reading", "clear the cell")
    supply, held = cells.pressure("supply"), cells.pressure("held")
    if supply is not None and supply.pressure <= 0:
        cells.fault(
            "supply",
            str(supply),
            "a cylinder cannot be tested without pressure",
            "write the regulated supply, often 80 psi",
        )
    if supply is not None and held is not None and held.pressure > supply.pressure * (1 + 1e-9):
        cells.fault(
            "held",
            f"{held} of {supply}",
            "a cylinder cannot hold more than it is given",
            "check whether the two were swapped",
        )
    heard = _heard(cells)
    return LeakdownReading(supply=supply, held=held, restrictor=cells.measure("restrictor"), heard=heard, **common)


def _heard(cells: CellReader) -> tuple[str, ...]:
    heard = []
    for place in filter(None, (part.strip() for part in cells.text("heard").split(";"))):
        other = _OTHER_CYLINDER.match(place)
        if place.casefold() in PLACES_HEARD:
            heard.append(place.casefold())
        elif other:
            heard.append(f"cylinder {other[1]}")
        else:
            cells.fault(
                "heard",
                f"read “{place}”",
                f"air is heard at {', '.join(PLACES_HEARD)} or cylinder N",
                "type these, parted by “;”",
            )
    if "nothing" in heard and len(heard) > 1:
        cells.fault(
            "heard", f"read “{cells.text('heard')}”", "nothing and something cannot both be heard", "keep one of them"
        )
    return tuple(heard)


def _repeats(taken: Sequence[tuple[Row, Pull | LeakdownReading]]) -> list[Fault]:
    faults, seen = [], Counter[tuple[str, Kind, int]]()
    finals: set[tuple[str, Kind]] = set()
    for row, made in taken:
        if isinstance(made, Pull) and made.drift:
            if (made.cylinder, made.kind) not in finals:
                faults.append(
                    Fault(
                        f"drift on cylinder {made.cylinder}",
                        "it repeats a cylinder that was pulled before, and there is no such pull above",
                        "put it below that pull, or clear the cell",
                        row.where,
                    )
                )
            continue
        key = (made.cylinder, made.kind, made.repeat or 1)
        seen[key] += 1
        if seen[key] > 1:
            faults.append(
                Fault(
                    f"cylinder {made.cylinder} {made.kind} again" + (f", repeat {made.repeat}" if made.repeat else ""),
                    "there is already such a row, and nothing says which one counts",
                    "number declared repeats 1, 2, 3 in a column “repeat”, mark the last check as drift, or remove one",
                    row.where,
                )
            )
        if isinstance(made, Pull) and made.final is not None:
            finals.add((made.cylinder, made.kind))
    return faults


def _strangers(taken: Sequence[tuple[Row, Pull | LeakdownReading]], sheet: BuildSheet) -> list[Fault]:
    faults = []
    known = ", ".join(sheet.cylinders)
    for row, made in taken:
        names = [made.cylinder]
        if isinstance(made, LeakdownReading):
            names += [place.removeprefix("cylinder ") for place in made.heard if place.startswith("cylinder ")]
        faults += [
            Fault(
                f"cylinder “{name}”",
                f"the build sheet of {sheet.name} does not have it",
                f"write one of {known}",
                row.where,
            )
            for name in names
            if name not in sheet.cylinders
        ]
    return faults


def implausible(taken: Sequence[Pull | LeakdownReading], ignition: Ignition | None) -> list[Fault]:
    """
    Find figures that no such engine shows in the unit they are said to be in.

    Parameters
    ----------
    taken : sequence of Pull or LeakdownReading
        The readings.
    ignition : Ignition or None
        None when not known.

    Returns
    -------
    list of Fault
        Empty when they can be believed. One dead cylinder is believed: the median is looked at.
    """
    pulls = [row for row in taken if isinstance(row, Pull) and row.final is not None]
    dry = [row for row in pulls if row.kind is Kind.DRY] or pulls
    finals = [row.final for row in dry if row.final is not None]
    faults = [
        Fault(
            f"{figure} on cylinder {row.cylinder}",
            f"that is more than {LARGEST_FINAL:g} psi, which no engine shows on the starter",
            "check the figure and its unit; say --confirm-unit if it is meant",
        )
        for row in taken
        for figure in ((row.first, row.final) if isinstance(row, Pull) else (row.supply, row.held))
        if figure is not None and figure.pressure > LARGEST_FINAL * PSI
    ]
    if finals:
        low, high = PLAUSIBLE_MEDIAN[ignition]
        median = statistics.median(figure.pressure for figure in finals)
        if not low * PSI * (1 - 1e-9) <= median <= high * PSI * (1 + 1e-9):
            unit = find_unit(finals[0].unit, Dimension.PRESSURE)
            kind = {Ignition.SPARK: "a spark-ignition", Ignition.COMPRESSION: "a compression-ignition", None: "an"}[
                ignition
            ]
            faults.append(
                Fault(
                    f"a median final of {from_si(median, unit):g} {unit.name}",
                    f"{kind} engine shows {low:g} to {high:g} psi on the starter",
                    "check the unit (--unit, or the header); say --confirm-unit if the figures are meant as they are",
                )
            )
    return faults
