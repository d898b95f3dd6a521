"""
The one place where a calibrated gauge's readings are corrected.

Everything that makes a figure of a test goes through `corrected` first: judging, explaining, carrying to other
conditions. It may be called any number of times. What was read stays: in ``as_read`` of the test, and in ``written`` of
every reading.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from ringtrue.compression import Calibration, CompressionTest, Gauge, LeakdownReading, Pull, Reading
from ringtrue.measure.calibration import Curve, Form, curve_of
from ringtrue.quantities import PaGauge


class Standing(StrEnum):
    """Whether a calibration holds on the day of a test."""

    IN_DATE = "in date"
    OVERDUE = "overdue"
    LATER = "made after the test"
    NO_DAY = "the test has no date"


@dataclass(frozen=True, slots=True)
class Correction:
    """
    What was done to the readings of a series.

    Parameters
    ----------
    gauge, date, due : str
        Which gauge, when it was calibrated, and when it was to be calibrated again.
    standing : Standing
        Whether that holds on the day of the test.
    form : Form
        What the correction is made of.
    least, most : float
        The least and the largest that was added to a final. [Pa]
    beyond : tuple of str
        Cylinders with a reading beyond the ends of the calibration: corrected by as much as at the end.
    """

    gauge: str
    date: str
    due: str
    standing: Standing
    form: Form
    least: float
    most: float
    beyond: tuple[str, ...]


def gauge_curve(gauge: Gauge) -> Curve | None:
    """
    Return the correction of a gauge.

    Parameters
    ----------
    gauge : Gauge
        As it is described.

    Returns
    -------
    Curve or None
        None where it was never calibrated.
    """
    if gauge.calibration is None:
        return None
    return curve_of(gauge.calibration, gauge.resolution.value if gauge.resolution else 0.0)


def standing(calibration: Calibration, date: str) -> Standing:
    """
    Tell whether a calibration holds on a day.

    Parameters
    ----------
    calibration : Calibration
        With the day on which the next one is due.
    date : str
        ISO date of the test; empty when not said.

    Returns
    -------
    Standing
        On the day it is due it still holds.
    """
    if not date:
        return Standing.NO_DAY
    if date > calibration.due:
        return Standing.OVERDUE
    return Standing.LATER if date < calibration.date else Standing.IN_DATE


def corrected(test: CompressionTest) -> CompressionTest:
    """
    Correct the pulls of a test by the calibration of its gauge.

    Parameters
    ----------
    test : CompressionTest
        With the gauge as it was described when the test was taken.

    Returns
    -------
    CompressionTest
        The same one where there is no calibration, or where it has been corrected already.

    Notes
    -----
    Firsts and finals of pulls, dry and wet. Leak-down readings are of other gauges. A needle that did not move is at no
    pressure: a 0 stays, and nothing becomes less.
    """
    curve = None if test.gauge is None or test.as_read is not None else gauge_curve(test.gauge)
    if curve is None:
        return test
    return replace(test, taken=tuple(_row(each, curve) for each in test.taken), as_read=test.taken)


def _row(row: Pull | LeakdownReading, curve: Curve) -> Pull | LeakdownReading:
    if not isinstance(row, Pull):
        return row
    return replace(row, first=_one(row.first, curve), final=_one(row.final, curve))


def _one(reading: Reading | None, curve: Curve) -> Reading | None:
    if reading is None or reading.pressure <= 0:
        return reading
    return replace(reading, pressure=PaGauge(max(reading.pressure + curve.correction(reading.pressure), 0.0)))


def correction_of(test: CompressionTest, pulls: tuple[Pull, ...]) -> Correction | None:
    """
    Tell what was done to the readings of a series.

    Parameters
    ----------
    test : CompressionTest
        As read or corrected.
    pulls : tuple of Pull
        Those of the series, as read.

    Returns
    -------
    Correction or None
        None where the gauge was never calibrated, or no final was read.
    """
    curve = None if test.gauge is None else gauge_curve(test.gauge)
    finals = [pull.final.pressure for pull in pulls if pull.final is not None and pull.final.pressure > 0]
    if curve is None or test.gauge is None or test.gauge.calibration is None or not finals:
        return None
    step = test.gauge.resolution.value if test.gauge.resolution else 0.0
    beyond = [
        pull.cylinder
        for pull in pulls
        for reading in (pull.first, pull.final)
        if reading is not None and reading.pressure > 0 and not curve.covers(reading.pressure, step)
    ]
    added = [curve.correction(final) for final in finals]
    known = test.gauge.calibration
    return Correction(
        gauge=test.gauge.name,
        date=known.date,
        due=known.due,
        standing=standing(known, test.date),
        form=curve.form,
        least=min(added),
        most=max(added),
        beyond=tuple(dict.fromkeys(beyond)),
    )
