"""A gauge of the register, held against a reference."""

from __future__ import annotations

import calendar
import secrets
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.compression import Calibration, Gauge
from ringtrue.errors import Fault, GaugeRefused, InputRefused, NotInBook, ReadingsRefused
from ringtrue.intake import CalibrationFile, Typed, calibration_of, read_calibration, table_of
from ringtrue.intake.calibration_file import WANTED, unit_of
from ringtrue.measure.calibration import Curve
from ringtrue.measure.correcting import gauge_curve
from ringtrue.measure.grade import BesideGrade, beside_grade
from ringtrue.units import Dimension, Unit, find_unit, parse_measured, parse_number

if TYPE_CHECKING:
    from ringtrue.quantities import Measured
    from ringtrue.records import Book

USUAL_MONTHS = 12
"""How long a calibration is good for where nobody says otherwise: common practice. [month]"""

MOST_MONTHS = 120


@dataclass(frozen=True, slots=True)
class Said:
    """
    What the person says of a calibration, as typed; empty for what the file says or nobody does.

    Parameters
    ----------
    date : str
        The day; today where neither says.
    months : str
        How long it is good for; else as the last one of this gauge, else a year.
    against : str
        What the reference was.
    reference_uncertainty : str
        Its expanded uncertainty (k = 2), with its unit.
    temperature : str
        Of gauge and air, with its unit.
    by : str
        Who did it.
    columns_right : bool
        The columns are not swapped.
    """

    date: str = ""
    months: str = ""
    against: str = ""
    reference_uncertainty: str = ""
    temperature: str = ""
    by: str = ""
    columns_right: bool = False


@dataclass(frozen=True, slots=True)
class Calibrated:
    """
    A gauge with its calibration, and what that comes to.

    Parameters
    ----------
    gauge : Gauge
        With the calibration.
    curve : Curve
        Its correction.
    grade : BesideGrade or None
        Whether it still meets its grade; None where that cannot be asked.
    unit : Unit
        In which it is told: that of the gauge.
    warnings : tuple of str
        What the person should know.
    newer : str
        Day of a newer calibration of the same gauge, which counts on; empty where this one is the newest.
    """

    gauge: Gauge
    curve: Curve
    grade: BesideGrade | None
    unit: Unit
    warnings: tuple[str, ...] = ()
    newer: str = ""

    @property
    def calibration(self) -> Calibration:
        """The calibration itself."""
        if self.gauge.calibration is None:
            raise AssertionError
        return self.gauge.calibration


def the_gauge(book: Book, name: str) -> Gauge:
    """
    Find the gauge that is meant: the one named, or the only one there is.

    Parameters
    ----------
    book : Book
        The record book.
    name : str
        As typed; may be empty.

    Returns
    -------
    Gauge
        With everything that the register knows of it.

    Raises
    ------
    NotInBook
        There is no such gauge, or several and none was named.
    """
    if name:
        return book.gauge_history(name)[-1].gauge
    known = book.gauges()
    if len(known) == 1:
        return book.gauge_history(known[0].name)[-1].gauge
    if not known:
        instead = 'describe it first: ringtrue gauge add "shop gauge" --range "300 psi" --resolution "2 psi"'
        raise NotInBook.of("", "there is no gauge in the register", instead)
    listed = ", ".join(each.name for each in known)
    raise NotInBook.of("", f"the register has {len(known)} gauges: {listed}", "say which one with --gauge")


def calibrate_file(path: Path, gauge: Gauge, typed: Typed, said: Said) -> Calibrated:
    """
    Read a calibration file and make the correction of a gauge of it; nothing is kept.

    Parameters
    ----------
    path : Path
        CSV, XLSX or JSON.
    gauge : Gauge
        As the register has it.
    typed : Typed
        How the file is written.
    said : Said
        What the person says.

    Returns
    -------
    Calibrated
        The gauge with this calibration.

    Raises
    ------
    InputRefused
        File or words cannot be used.
    """
    found = read_calibration(path, gauge, typed, columns_right=said.columns_right)
    return _calibrated(found, gauge, said)


def calibrate_bytes(name: str, raw: bytes, gauge: Gauge, typed: Typed, said: Said) -> Calibrated:
    """
    Do the same with a file that was handed in.

    Parameters
    ----------
    name : str
        Its name.
    raw : bytes
        What it holds.
    gauge, typed, said
        As in `calibrate_file`.

    Returns
    -------
    Calibrated
        The gauge with this calibration.

    Raises
    ------
    InputRefused
        File or words cannot be used.
    """
    try:
        table = table_of(Path(name), raw, WANTED, typed.encoding)
        found = calibration_of(table, gauge, typed, columns_right=said.columns_right)
    except ReadingsRefused as error:
        raise error.at(name) from None
    return _calibrated(found, gauge, said)


def keep(book: Book, gauge: Gauge, *, who: str, device: str, key: str = "") -> None:
    """
    Keep what is now known of a gauge, after all that was known before.

    A calibration that is older than the one in force goes into the history, and the newer one counts on: both or
    neither are written.

    Parameters
    ----------
    book : Book
        The record book.
    gauge : Gauge
        As it is to stand from here on; tests that were taken keep the one they had.
    who, device : str
        Who says so, and on which machine.
    key : str
        As in `ringtrue.shop.gauges.add_gauge`.

    Raises
    ------
    BookUnusable
        The book cannot be used.
    NotInBook
        There is no such gauge.
    """
    book.keep_gauge(gauge, key=key or f"gauge-{secrets.token_hex(16)}", who=who, device=device)


def _is_older(calibration: Calibration | None, in_force: Calibration | None) -> bool:
    """Days are ISO dates, which sort as they follow one another."""
    return calibration is not None and in_force is not None and calibration.date < in_force.date


def _calibrated(found: CalibrationFile, gauge: Gauge, said: Said) -> Calibrated:
    faults: list[Fault] = []
    day = _day(said.date, found.date, faults)
    months = _months(said.months, gauge, faults)
    uncertainty = _figure(
        "--reference-uncertainty", said.reference_uncertainty, Dimension.PRESSURE, found.reference_uncertainty, faults
    )
    warm = _figure("--temperature", said.temperature, Dimension.TEMPERATURE, found.temperature, faults)
    if uncertainty is not None and uncertainty.value <= 0:
        faults.append(
            Fault(
                str(uncertainty),
                "no reference is exact",
                "write its expanded uncertainty (k = 2), from its own certificate",
                "reference_uncertainty",
            )
        )
    if faults:
        raise GaugeRefused(*faults)
    calibration = Calibration(
        points=found.points,
        date=day.isoformat(),
        due=_after(day, months).isoformat(),
        months=months,
        by=said.by or found.by,
        reference=said.against or found.against,
        reference_uncertainty=uncertainty,
        temperature=warm,
    )
    made = calibrated(replace(gauge, calibration=calibration), found.warnings)
    if gauge.calibration is None or not _is_older(calibration, gauge.calibration):
        return made
    newer = gauge.calibration.date
    told = f"the calibration of {newer} is newer and counts on: this one goes into the history only"
    return replace(made, warnings=(told, *made.warnings), newer=newer)


def calibrated(gauge: Gauge, warnings: tuple[str, ...] = ()) -> Calibrated:
    """
    Tell what the calibration of a gauge comes to.

    Parameters
    ----------
    gauge : Gauge
        With its calibration.
    warnings : tuple of str
        What is known already.

    Returns
    -------
    Calibrated
        With correction and grade.

    Raises
    ------
    InputRefused
        The gauge was never calibrated.
    """
    curve, known = gauge_curve(gauge), gauge.calibration
    if curve is None or known is None:
        raise InputRefused.of(gauge.name, "this gauge was never calibrated", "ringtrue gauge calibrate FILE", "gauge")
    told = list(warnings)
    if gauge.resolution is None:
        told.append("the gauge's smallest step is not in the register, so reading the points is in no uncertainty")
    if known.reference_uncertainty is None:
        told.append("the reference's own uncertainty was not said, so it is left out: --reference-uncertainty")
    elif known.reference_uncertainty.value > _QUARTER * _tolerance(gauge):
        told.append("the reference is less than four times as good as the gauge's grade; common practice asks for four")
    full = gauge.range.value if gauge.range else 0.0
    if full and curve.high < _MOST * full:
        told.append("the points end well below full scale: readings above them are corrected as at the last one")
    unit = find_unit(unit_of(known.points), Dimension.PRESSURE)
    return Calibrated(gauge, curve, beside_grade(gauge), unit, tuple(told))


def write_course(found: Calibrated, path: Path) -> None:
    """
    Draw a calibration.

    Parameters
    ----------
    found : Calibrated
        What it comes to.
    path : Path
        Ends in ``.svg``.

    Raises
    ------
    CannotWrite
        It cannot be written there.
    """
    from ringtrue.report.course_figure import course_svg
    from ringtrue.report.gauge_course import calibration_course
    from ringtrue.shop.workplace import write_file

    course = calibration_course(found.gauge, found.curve, found.grade, found.unit)
    write_file(path, course_svg(course, "calibration").encode())


_QUARTER, _MOST = 0.25, 0.7


def _tolerance(gauge: Gauge) -> float:
    found = beside_grade(gauge)
    return float("inf") if found is None else min(each.tolerance for each in found.points)


def _day(said: str, in_file: str, faults: list[Fault]) -> date:
    today = datetime.now(UTC).astimezone().date()
    if said and in_file and said != in_file:
        faults.append(Fault(said, f"the file says {in_file}", "keep one of them", "date"))
    text = said or in_file
    if not text:
        return today
    try:
        day = date.fromisoformat(text)
    except ValueError:
        faults.append(Fault(f"“{text}”", "this is a day", "write year, month, day, for example 2026-05-14", "date"))
        return today
    if day > today:
        faults.append(Fault(text, f"that is in the future; today is {today.isoformat()}", "correct it", "date"))
    return day


def _months(said: str, gauge: Gauge, faults: list[Fault]) -> int:
    if not said:
        return gauge.calibration.months if gauge.calibration else USUAL_MONTHS
    try:
        months = parse_number(said)
    except InputRefused:
        months = 0.0
    if months.is_integer() and 1 <= months <= MOST_MONTHS:
        return int(months)
    why = f"a calibration is good for a whole number of months from 1 to {MOST_MONTHS}"
    faults.append(Fault(f"“{said}”", why, "type for example 12", "months"))
    return USUAL_MONTHS


def _figure(
    option: str, said: str, dimension: Dimension, in_file: Measured | None, faults: list[Fault]
) -> Measured | None:
    if not said:
        return in_file
    try:
        figure = parse_measured(said, dimension)
    except InputRefused as error:
        faults.extend(error.at(option).faults)
        return in_file
    if in_file is not None and abs(figure.value - in_file.value) > 1e-9 * abs(figure.value):
        faults.append(Fault(f"{option} {figure}", f"the file says {in_file}", "keep one of them"))
    return figure


def _after(day: date, months: int) -> date:
    """Return the day that many months later; the last of the month where that day is none."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
