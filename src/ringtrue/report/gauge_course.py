"""A calibration as a course: by how much a gauge is off over its scale, its correction, and what its grade allows."""

from __future__ import annotations

from ringtrue.compression import Approach, Gauge
from ringtrue.measure import Outcome
from ringtrue.measure.calibration import Curve
from ringtrue.measure.gauges import accuracy
from ringtrue.measure.grade import BesideGrade
from ringtrue.report.course import Axis, Band, Course, Figures, Line, Shape, Spot, Stroke
from ringtrue.report.palette import ACCENT, INK, LOW
from ringtrue.units import Unit, from_si
from ringtrue.wording.calibrating import calibration_sentences, difference, grade_sentences, point_rows

_ZONES = (0.0, 0.25, 0.25, 0.75, 0.75, 1.0)


def calibration_course(gauge: Gauge, curve: Curve, grade: BesideGrade | None, unit: Unit) -> Course:
    """
    Show a calibration.

    Parameters
    ----------
    gauge : Gauge
        With its calibration.
    curve : Curve
        Its correction.
    grade : BesideGrade or None
        The points beside the grade; None where it is not known.
    unit : Unit
        In which it is drawn.

    Returns
    -------
    Course
        What is shown less the reference, over the reference: points rising and falling, the curve that readings are
        corrected by, and the band of the grade.
    """
    if gauge.calibration is None:
        raise AssertionError
    points = gauge.calibration.points
    outcomes = [None] * len(points) if grade is None else [each.outcome for each in grade.points]
    lines = [_corrected_by(curve, unit)]
    for approach, shape, stroke in (
        (Approach.RISING, Shape.UP, Stroke.NONE),
        (Approach.FALLING, Shape.DOWN, Stroke.NONE),
    ):
        spots = [
            Spot(
                from_si(point.reference.pressure, unit),
                (point.shown.pressure - point.reference.pressure) / unit.factor,
                ink=LOW if outcome is Outcome.NOT_MET else None,
                says=f"{point.reference} {point.approach}: shown {point.shown}"
                + (f", grade {outcome}" if outcome is not None else ""),
                name="not met" if outcome is Outcome.NOT_MET else "",
            )
            for point, outcome in zip(points, outcomes, strict=True)
            if point.approach is approach
        ]
        if spots:
            lines.append(Line(f"read {approach}", tuple(sorted(spots, key=lambda s: s.x)), INK, shape, stroke))
    head, rows = point_rows(gauge, curve, grade, unit)
    return Course(
        title=f"Gauge {gauge.name}: shown less reference, calibrated on {gauge.calibration.date}",
        says=" ".join((*calibration_sentences(gauge, curve, unit), *grade_sentences(grade, gauge, unit))),
        across=Axis(f"reference [{unit.name}]"),
        up=Axis(f"shown less reference [{unit.name}]"),
        lines=tuple(lines),
        figures=Figures(f"Points of the calibration, in {unit.name}", head, tuple(rows)),
        bands=() if grade is None else (_allowed(gauge, unit),),
    )


def _corrected_by(curve: Curve, unit: Unit) -> Line:
    spots = []
    for shown, _ in curve.nodes:
        correction = curve.correction(shown)
        off, u = -correction / unit.factor, 2 * curve.uncertainty(shown) / unit.factor
        says = f"taken off at {from_si(shown, unit):.{unit.decimals}f} {unit.name}: {difference(-correction, unit)}"
        spots.append(Spot(from_si(shown + correction, unit), off, low=off - u, high=off + u, says=says))
    return Line("taken off, with k = 2", tuple(spots), ACCENT, Shape.NONE, Stroke.WHOLE)


def _allowed(gauge: Gauge, unit: Unit) -> Band:
    """Return what the grade allows over the scale, with its steps upright."""
    full = gauge.range.value if gauge.range else 0.0
    grade = accuracy(gauge.grade)
    widths = (grade.lower, grade.lower, grade.middle, grade.middle, grade.upper, grade.upper)
    edges = tuple(
        (share * full / unit.factor, -percent / 100 * full / unit.factor, percent / 100 * full / unit.factor)
        for share, percent in zip(_ZONES, widths, strict=True)
    )
    return Band(f"grade {gauge.grade} allows", edges)
