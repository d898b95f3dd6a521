"""A calibration file: what a reference and the gauge showed, point by point."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ringtrue.compression import Approach, CalibrationPoint, Gauge
from ringtrue.errors import Fault, ReadingsRefused
from ringtrue.intake.cells import Row, Table, Wanted
from ringtrue.intake.small_table import SmallTable, Typed, read_table
from ringtrue.measure.calibration import FEWEST_LEVELS
from ringtrue.quantities import Measured
from ringtrue.units import Dimension, find_unit

WANTED = Wanted(
    "reference",
    "write a header, for example: reference [psi],shown [psi],direction",
    'write for example [{"reference [psi]": 100, "shown [psi]": 101, "direction": "rising"}]',
)
KNOWN = {
    "reference": Dimension.PRESSURE,
    "shown": Dimension.PRESSURE,
    "direction": None,
    "run": None,
    "date": None,
    "by": None,
    "against": None,
    "reference_uncertainty": Dimension.PRESSURE,
    "temperature": Dimension.TEMPERATURE,
}
MOST_POINTS = 200
MOST_RUNS = 20
FAR_OFF = 0.15
"""A gauge that is off by more than this share of its range is broken, or two units are mixed up. [-]"""
ENOUGH_LEVELS = 5
"""Levels over the scale, rising and falling: common practice."""

_SLACK = 1e-6
_COARSEST = 0.01
"""A figure this close to a whole number of steps stands on a mark. [steps]"""


@dataclass(frozen=True, slots=True)
class CalibrationFile:
    """
    What a calibration file says.

    Parameters
    ----------
    points : tuple of CalibrationPoint
        In the order taken.
    date, by, against : str
        ISO date, who, and against what; empty when not said.
    reference_uncertainty : Measured or None
        Expanded uncertainty of the reference (coverage factor 2). [Pa]
    temperature : Measured or None
        Of gauge and air. [K]
    warnings : tuple of str
        What the person should know.
    """

    points: tuple[CalibrationPoint, ...]
    date: str
    by: str
    against: str
    reference_uncertainty: Measured | None
    temperature: Measured | None
    warnings: tuple[str, ...]


def read_calibration(path: Path, gauge: Gauge, typed: Typed, *, columns_right: bool = False) -> CalibrationFile:
    """
    Read a calibration file.

    Parameters
    ----------
    path : Path
        CSV, XLSX or JSON.
    gauge : Gauge
        The gauge that it is of: its range and its smallest step tell what cannot be.
    typed : Typed
        How it is written.
    columns_right : bool
        The person says that the columns are not swapped.

    Returns
    -------
    CalibrationFile
        Its points.

    Raises
    ------
    ReadingsRefused
        It cannot be used; every fault is told at once.
    """
    table = read_table(path, WANTED, typed.encoding)
    try:
        return calibration_of(table, gauge, typed, columns_right=columns_right)
    except ReadingsRefused as error:
        raise error.at(path.name) from None


def calibration_of(table: Table, gauge: Gauge, typed: Typed, *, columns_right: bool = False) -> CalibrationFile:
    """
    Make a calibration of a table.

    Parameters
    ----------
    table : Table
        Header and rows.
    gauge, typed, columns_right
        As in `read_calibration`.

    Returns
    -------
    CalibrationFile
        Its points.

    Raises
    ------
    ReadingsRefused
        Every fault of it.
    """
    small = SmallTable(table, KNOWN, typed)
    if not small.has("shown"):
        small.faults.append(
            Fault("", "a column “shown” is missing", "add what the gauge showed: shown [psi]", "header")
        )
    made = [(row, point, run) for row in table.rows if (one := _point(small, row)) is not None for point, run in [one]]
    small.one("date", [(row, small.day(row, "date")) for row in table.rows])
    unsure = [(row, small.measured(row, "reference_uncertainty")) for row in table.rows]
    warm = [(row, small.measured(row, "temperature")) for row in table.rows]
    for name, figures in (("reference_uncertainty", unsure), ("temperature", warm)):
        small.one(name, [(row, "" if figure is None else str(figure)) for row, figure in figures])
    if len(table.rows) > MOST_POINTS:
        small.faults.append(
            Fault(f"{len(table.rows)} points", f"a calibration has {MOST_POINTS} at most", "leave some out")
        )
    small.done()
    points = _with_approach(small, made)
    _twice(small, made, points)
    small.done()
    swapped = None if columns_right else _swapped(points, gauge)
    if swapped is not None:
        raise ReadingsRefused(swapped)
    _against_gauge(small, made, gauge)
    small.done()
    _enough(points)
    return CalibrationFile(
        points=points,
        date=next((day for row in table.rows if (day := small.day(row, "date"))), ""),
        by=small.one("by", [(row, small.word(row, "by")) for row in table.rows]),
        against=small.one("against", [(row, small.word(row, "against")) for row in table.rows]),
        reference_uncertainty=next((figure for _, figure in unsure if figure is not None), None),
        temperature=next((figure for _, figure in warm if figure is not None), None),
        warnings=(*small.unknown, *_warnings(points)),
    )


_Made = tuple[Row, CalibrationPoint, int]


def _point(small: SmallTable, row: Row) -> tuple[CalibrationPoint, int] | None:
    reference, shown = small.pressure(row, "reference"), small.pressure(row, "shown")
    run = small.count(row, "run", MOST_RUNS)
    word = small.word(row, "direction").casefold()
    also = {"up": "rising", "increasing": "rising", "down": "falling", "decreasing": "falling"}
    word = also.get(word, word)
    if small.has("direction") and word not in set(Approach):
        given = f"“{word}”" if word else ""
        why = "from which side the needle came is rising or falling"
        small.fault(row, "direction", given, why, "type one of these words")
        return None
    for name, figure in (("reference", reference), ("shown", shown)):
        if figure is None and small.has(name) and small.cell(row, name) is None:
            small.fault(
                row,
                name,
                "",
                f"what the {'reference' if name == 'reference' else 'gauge'} showed is missing",
                "write it, or remove the row",
            )
    if reference is None or shown is None:
        return None
    return CalibrationPoint(reference, shown, Approach(word) if word else Approach.RISING), run or 1


def _with_approach(small: SmallTable, made: Sequence[_Made]) -> tuple[CalibrationPoint, ...]:
    """Return the points; where no column says so, all are rising, if each reference is above the one before."""
    if not small.has("direction"):
        for (_, before, _), (row, point, _) in itertools.pairwise(made):
            if point.reference.pressure <= before.reference.pressure:
                given = f"reference {point.reference} after {before.reference}"
                why = "the reference does not rise from row to row, and no column says from which side the needle came"
                small.fault(row, "reference", given, why, "add a column “direction” with rising or falling")
                break
    return tuple(point for _, point, _ in made)


def _twice(small: SmallTable, made: Sequence[_Made], points: Sequence[CalibrationPoint]) -> None:
    if not any(point.approach is Approach.RISING for point in points):
        why = "all points are falling; a compression gauge is read as it rises"
        small.faults.append(Fault("", why, "take the points rising as well, from zero, and add them", "direction"))
    seen: dict[tuple[float, Approach, int], str] = {}
    for row, point, run in made:
        key = (round(point.reference.pressure, 6), point.approach, run)
        if key in seen:
            given = f"reference {point.reference}, {point.approach}"
            why = f"{seen[key]} is the same point"
            small.fault(row, "reference", given, why, "number runs 1, 2, 3 in a column “run”, or remove one")
        seen.setdefault(key, row.where)


def _swapped(points: Sequence[CalibrationPoint], gauge: Gauge) -> Fault | None:
    """Ask where what the gauge showed is finer than it can be read, and the reference stands on its marks."""
    sure = "swap the two headers if so, or say --columns-right"
    if gauge.resolution is not None:
        step = gauge.resolution.value
        finer = [point.shown for point in points if not _on_a_mark(point.shown.pressure, step)]
        on_marks = all(_on_a_mark(point.reference.pressure, step) for point in points)
        if 2 * len(finer) > len(points) and on_marks:
            why = (
                f"the gauge is read to {gauge.resolution}, and {len(finer)} of {len(points)} figures under “shown” are "
                "finer than that while all under “reference” are not: the two columns look swapped"
            )
            return Fault(f"shown {finer[0]}", why, sure)
        return None
    shown, reference = (_decimals([getattr(p, name).written for p in points]) for name in ("shown", "reference"))
    if shown > reference and len({p.shown.unit for p in points} | {p.reference.unit for p in points}) == 1:
        why = "“shown” has more digits than “reference”, and a reference is mostly read finer: are the two swapped?"
        return Fault("", why, sure + "; with the gauge's smallest step in the register this need not be asked")
    return None


def _on_a_mark(value: float, step: float) -> bool:
    steps = value / step
    return abs(steps - round(steps)) < _COARSEST


def _decimals(written: Sequence[str]) -> int:
    return max(len(each.replace(",", ".").partition(".")[2].rstrip("0")) for each in written)


def _against_gauge(small: SmallTable, made: Sequence[_Made], gauge: Gauge) -> None:
    if gauge.range is None:
        return
    full = gauge.range.value
    for row, point, _ in made:
        for name, figure in (("reference", point.reference), ("shown", point.shown)):
            if figure.pressure > full * (1 + (_SLACK if name == "shown" else FAR_OFF)):
                why = f"the gauge goes to {gauge.range}"
                small.fault(row, name, f"{name} {figure}", why, "check figure and unit, or leave the point out")
        off = abs(point.shown.pressure - point.reference.pressure)
        if off > FAR_OFF * full and max(point.shown.pressure, point.reference.pressure) <= full * (1 + FAR_OFF):
            given = f"shown {point.shown} at {point.reference}"
            why = f"a gauge that is off by more than {100 * FAR_OFF:.0f} % of its range cannot be corrected"
            small.fault(
                row, "shown", given, why, "check the units and the figures; if they are right, replace the gauge"
            )


def _enough(points: Sequence[CalibrationPoint]) -> None:
    rising = sorted(
        {round(p.reference.pressure, 6): p for p in points if p.approach is Approach.RISING}.values(),
        key=lambda point: point.reference.pressure,
    )
    if len(rising) < FEWEST_LEVELS:
        count = "1 level" if len(rising) == 1 else f"{len(rising)} levels"
        why = "through two points goes a line whatever was read, and nothing tells a misread one"
        instead = f"take at least {FEWEST_LEVELS} levels rising, better {ENOUGH_LEVELS} and more over the whole scale"
        raise ReadingsRefused.of(f"{count} taken rising", why, instead)
    for before, after in itertools.pairwise(rising):
        if after.shown.pressure <= before.shown.pressure:
            raise ReadingsRefused.of(
                f"shown {before.shown} at {before.reference} and {after.shown} at {after.reference}",
                "the needle does not rise between them, so a reading there would mean nothing",
                "check both points; if they are right, the gauge sticks and cannot be corrected",
            )


def _warnings(points: Sequence[CalibrationPoint]) -> list[str]:
    told = []
    levels = {round(p.reference.pressure, 6) for p in points if p.approach is Approach.RISING}
    if len(levels) < ENOUGH_LEVELS:
        told.append(f"{len(levels)} levels are few: {ENOUGH_LEVELS} and more over the whole scale are common practice")
    if not any(p.approach is Approach.FALLING for p in points):
        told.append("nothing was taken falling, so hysteresis is not known and is in no interval")
    return told


def unit_of(points: Sequence[CalibrationPoint]) -> str:
    """
    Name the unit in which a calibration is told.

    Parameters
    ----------
    points : sequence of CalibrationPoint
        At least one.

    Returns
    -------
    str
        That of what the gauge showed.
    """
    return find_unit(points[0].shown.unit, Dimension.PRESSURE).name
