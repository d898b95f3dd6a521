"""What is known of a gauge, in the form that other programs read: pressures in the gauge's unit, unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtrue.units import from_si

if TYPE_CHECKING:
    from ringtrue.shop.calibrating import Calibrated

Json = dict[str, object]


def calibration(found: Calibrated) -> Json:
    """
    Put a calibration into the form of ``ringtrue gauge calibrate --json``.

    Parameters
    ----------
    found : Calibrated
        The gauge with its calibration.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts.
    """
    unit, curve, known, grade = found.unit, found.curve, found.calibration, found.grade

    def pa(value: float | None) -> float | None:
        return None if value is None else value / unit.factor

    at = max((x for x, _ in curve.nodes), key=curve.uncertainty)
    return {
        "gauge": found.gauge.name,
        "unit": unit.name,
        "date": known.date,
        "due": known.due,
        "months": known.months,
        "by": known.by,
        "against": known.reference,
        "temperature": None if known.temperature is None else str(known.temperature),
        "reference_uncertainty": pa(known.reference_uncertainty.value if known.reference_uncertainty else None),
        "form": curve.form.name.lower(),
        "curve": [{"shown": from_si(x, unit), "correction": pa(curve.correction(x))} for x, _ in curve.nodes],
        "hysteresis": pa(curve.hysteresis),
        "points": [
            {
                "reference": from_si(point.reference.pressure, unit),
                "shown": from_si(point.shown.pressure, unit),
                "direction": str(point.approach),
                "corrected": from_si(point.shown.pressure + curve.correction(point.shown.pressure), unit),
                "tolerance": None if grade is None else pa(grade.points[index].tolerance),
                "outcome": None if grade is None else str(grade.points[index].outcome),
            }
            for index, point in enumerate(known.points)
        ],
        "budget": [
            {"part": part.name, "standard_uncertainty": pa(part.standard), "how": part.how, "source": part.source}
            for part in curve.budget(at)
        ],
        "standard_uncertainty": pa(curve.uncertainty(at)),
        "grade": None
        if grade is None
        else {"grade": grade.grade, "source": grade.source, "outcome": str(grade.outcome)},
        "warnings": list(found.warnings),
    }
