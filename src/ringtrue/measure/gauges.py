"""What a gauge does to a reading, as far as its owner knows the gauge."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.compression import Gauge
from ringtrue.errors import GaugeRefused
from ringtrue.measure.calibration import Curve
from ringtrue.measure.correcting import Standing, gauge_curve, standing

ASSUMED_REPEATABILITY = 0.006
"""Relative standard deviation of one pull where no study says better. [-]"""

ASME_GRADES: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {
        "4A": (0.1, 0.1, 0.1),
        "3A": (0.25, 0.25, 0.25),
        "2A": (0.5, 0.5, 0.5),
        "1A": (1.0, 1.0, 1.0),
        "A": (2.0, 1.0, 2.0),
        "B": (3.0, 2.0, 3.0),
        "C": (4.0, 3.0, 4.0),
        "D": (5.0, 5.0, 5.0),
    }
)
"""ASME B40.100 (from memory): lower quarter, middle half and upper quarter of the scale. [+/- % of span]"""

EN_CLASSES = (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)
"""EN 837-1 (from memory): tolerance over the whole scale. [% of span]"""

_DRESSING = re.compile(r"asme|b\s?40\.100|en\s?837(-1)?|accuracy|grade|class|cl\.?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """
    Tolerance of a gauge, by zone of its scale.

    Parameters
    ----------
    lower, middle, upper : float
        In the lower quarter, the middle half and the upper quarter. [% of span]
    source : str
        Key of `ringtrue.sources.SOURCES`.
    """

    lower: float
    middle: float
    upper: float
    source: str

    @property
    def widest(self) -> float:
        """Tolerance in the worst zone. [% of span]."""
        return max(self.lower, self.middle, self.upper)

    def tolerance(self, reading: float, span: float) -> float:
        """
        Return how far the gauge may be off at a reading.

        Parameters
        ----------
        reading : float
            What it shows. [Pa gauge]
        span : float
            Full scale, from zero. [Pa gauge]

        Returns
        -------
        float
            Half width of a rectangular distribution; over the square root of 3 a standard uncertainty. [Pa]

        Notes
        -----
        On the border of two zones the wider tolerance holds.

        Examples
        --------
        150 on a grade B gauge to 300, in the middle half, so 2 % of 300:

        >>> accuracy("B").tolerance(150.0, 300.0)
        6.0
        """
        share = reading / span
        zones = [
            percent
            for percent, low, high in (
                (self.lower, -math.inf, 0.25),
                (self.middle, 0.25, 0.75),
                (self.upper, 0.75, math.inf),
            )
            if low <= share <= high
        ]
        return max(zones) / 100 * span


def accuracy(grade: str) -> Accuracy:
    """
    Return the tolerance that a grade or class stands for.

    Parameters
    ----------
    grade : str
        An ASME B40.100 grade ("B", "1A") or an EN 837-1 class ("1.6"), with or without the word in front.

    Returns
    -------
    Accuracy
        Tolerance by zone of the scale.

    Raises
    ------
    GaugeRefused
        No such grade or class.

    References
    ----------
    .. [1] ASME B40.100; EN 837-1. Numbers from memory.

    Examples
    --------
    >>> accuracy("class 1.6").middle
    1.6
    """
    plain = _DRESSING.sub(" ", grade).strip().upper().replace(",", ".")
    if zones := ASME_GRADES.get(plain):
        return Accuracy(*zones, "B40.100")
    for known in EN_CLASSES:
        if plain in {f"{known:g}", f"{known:.1f}", f"{known:.2f}"}:
            return Accuracy(known, known, known, "EN 837-1")
    raise GaugeRefused.of(
        f'grade = "{grade}"',
        "no ASME B40.100 grade or EN 837-1 class has that name",
        f"write one of {', '.join(ASME_GRADES)} or one of {', '.join(f'{known:g}' for known in EN_CLASSES)}, "
        "as it stands on the gauge's face, or leave it out",
    )


@dataclass(frozen=True, slots=True)
class GaugeError:
    """
    How a gauge's readings scatter and shift.

    Parameters
    ----------
    accuracy : Accuracy or None
        Tolerance: one shift that all readings of a series share; None when not known.
    span : float
        Full scale; 0 when not known. [Pa gauge]
    resolution : float
        Smallest step; 0 when not known. [Pa]
    repeatability : float
        Relative standard deviation of one pull. [-]
    notes : tuple of str
        What these rest on, and what was assumed.
    curve : Curve or None
        The correction of a calibration: what it leaves open takes the place of the tolerance. None without one.
    in_date : bool
        The calibration holds on the day; where it does not, the tolerance counts too.
    """

    accuracy: Accuracy | None
    span: float
    resolution: float
    repeatability: float
    notes: tuple[str, ...]
    curve: Curve | None = None
    in_date: bool = True

    @property
    def shifts(self) -> bool:
        """How far all readings may be off together is known."""
        return self.accuracy is not None or self.curve is not None

    def tolerance(self, reading: float) -> float:
        """
        Return how far the shift that all readings share may reach at a reading.

        Parameters
        ----------
        reading : float
            What the gauge shows. [Pa gauge]

        Returns
        -------
        float
            Half width of a rectangular distribution; 0 when the grade is not known. [Pa]

        Notes
        -----
        A reading near the border of two zones may belong to a pressure in the other one: the wider tolerance holds as
        far as tolerance, resolution and three standard deviations of repeatability may have taken it.

        Of a calibrated gauge it is what the calibration leaves: its standard uncertainty times the root of 3. Beyond
        the ends of the calibration, or where that is not in date, the grade's tolerance where that is wider.
        """
        if self.curve is None:
            return self._of_grade(reading)
        shown = reading - self.curve.correction(reading)
        left = math.sqrt(3) * self.curve.uncertainty(shown)
        if self.in_date and (reading <= 0 or self.curve.covers(shown, self.resolution)):
            return left
        return max(left, self._of_grade(reading))

    def _of_grade(self, reading: float) -> float:
        if self.accuracy is None:
            return 0.0
        reach = self.accuracy.widest / 100 * self.span + self.resolution + 3 * self.repeatability * reading
        return max(self.accuracy.tolerance(at, self.span) for at in (reading - reach, reading, reading + reach))


def gauge_error(gauge: Gauge | None, date: str = "") -> GaugeError | None:
    """
    Return how a gauge errs, when enough is known of it.

    Parameters
    ----------
    gauge : Gauge or None
        As its owner describes it.
    date : str
        ISO date of the test, on which a calibration has to hold; empty when not said.

    Returns
    -------
    GaugeError or None
        None unless the gauge has a resolution, a grade and a range to apply it to, or a calibration.

    Raises
    ------
    GaugeRefused
        The grade has a name that no standard knows.

    Notes
    -----
    Repeatability is taken as 0.6 % of the reading where no study says otherwise: an assumption, and said to be one.
    """
    if gauge is None:
        return None
    graded = accuracy(gauge.grade) if gauge.grade.strip() else None
    span = gauge.range.value if gauge.range else 0.0
    curve = gauge_curve(gauge)
    held = standing(gauge.calibration, date) if gauge.calibration else Standing.IN_DATE
    in_date = held in {Standing.IN_DATE, Standing.NO_DAY}
    notes = [_calibrated(gauge, curve, held)] if curve is not None else []
    if graded is not None and span > 0:
        if curve is None:
            notes.append(f"accuracy of grade {gauge.grade} by {graded.source}, one shift shared by the series")
    else:
        missing = "range" if graded is not None else "accuracy grade"
        if curve is None:
            notes.append(f"{missing} of the gauge not known: a shift of all its readings is in no interval")
        graded = None
    resolution = gauge.resolution.value if gauge.resolution else 0.0
    if resolution <= 0 and graded is None and curve is None:
        return None
    if resolution <= 0:
        notes.append("resolution of the gauge not known: it is in no interval")
    notes.append(_repeats(gauge))
    repeatability = ASSUMED_REPEATABILITY if gauge.repeatability is None else gauge.repeatability
    return GaugeError(graded, span, resolution, repeatability, tuple(notes), curve, in_date)


def _calibrated(gauge: Gauge, curve: Curve | None, held: Standing) -> str:
    known = gauge.calibration
    if known is None or curve is None:
        raise AssertionError
    said = (
        f"readings corrected by the calibration of {known.date}; what it leaves open is one shift shared by the series"
    )
    if curve.reference is None:
        said += " (the uncertainty of its reference was not said and is in no interval)"
    if curve.hysteresis is None:
        said += " (nothing was taken falling: hysteresis is in no interval)"
    instead = "the tolerance of the grade counts where it is wider"
    if not (gauge.grade.strip() and gauge.range):
        instead = "no grade with a range says how far the gauge may be off by now, so intervals may be too narrow"
    if held is Standing.OVERDUE:
        return f"{said}; it was due again on {known.due}, before this test: {instead}"
    if held is Standing.LATER:
        return f"{said}; it was made after this test: {instead}"
    if held is Standing.NO_DAY:
        return f"{said}; the test has no date, and is taken to lie before {known.due}, when the next one is due"
    return f"{said}; the next is due on {known.due}"


def _repeats(gauge: Gauge) -> str:
    if gauge.repeatability is None:
        assumed = f"{100 * ASSUMED_REPEATABILITY:.1f} %"
        return f"repeatability assumed to be {assumed} of the reading: no study of this gauge"
    known = f"repeatability {100 * gauge.repeatability:.2f} % of the reading, from a study of this gauge"
    if gauge.study is None:
        return known
    of = gauge.study
    return f"{known} ({of.date}: {of.cylinders} cylinders x {of.people} people x {of.repeats} repeats)"
