"""Calibrations for tests. All figures are invented."""

from __future__ import annotations

from collections.abc import Sequence

from ringtrue.compression import Approach, Calibration, CalibrationPoint, Gauge, Reading
from ringtrue.quantities import Measured, PaGauge
from ringtrue.units import Dimension, find_unit, to_si

PSI = to_si(1.0, find_unit("psi", Dimension.PRESSURE))
"""One psi. [Pa]"""

UP = ((0, 0), (60, 61), (120, 122), (180, 182), (240, 241), (300, 299))
DOWN = ((240, 243), (180, 184), (120, 124), (60, 62))

FILE = "\n".join(
    [
        "reference [psi],shown [psi],direction",
        *(f"{reference},{shown},rising" for reference, shown in UP),
        *(f"{reference},{shown},falling" for reference, shown in DOWN),
        "",
    ]
)

STUDY = """\
cylinder,read_by,final [psi]
1,JA,150
1,KM,152
2,JA,148
2,KM,149
1,JA,151
1,KM,152
2,JA,148
2,KM,150
"""


def psi(value: float) -> Reading:
    """Return a pressure as it is read in psi."""
    return Reading(PaGauge(value * PSI), f"{value:g}", "psi")


def points(
    rising: Sequence[tuple[float, float]] = UP, falling: Sequence[tuple[float, float]] = DOWN
) -> tuple[CalibrationPoint, ...]:
    """Return calibration points from pairs of reference and shown, in psi."""
    return tuple(
        CalibrationPoint(psi(reference), psi(shown), approach)
        for approach, pairs in ((Approach.RISING, rising), (Approach.FALLING, falling))
        for reference, shown in pairs
    )


def calibration(
    made: tuple[CalibrationPoint, ...] | None = None,
    *,
    date: str = "2026-03-01",
    due: str = "2027-03-01",
    reference: float | None = 0.4,
) -> Calibration:
    """Return a calibration against a reference with this expanded uncertainty, in psi."""
    expanded = None if reference is None else Measured(reference * PSI, f"{reference:g}", "psi")
    return Calibration(points() if made is None else made, date, due, 12, reference_uncertainty=expanded)


def gauge(known: Calibration | None = None, *, resolution: float | None = 1, grade: str = "B") -> Gauge:
    """Return a gauge to 300 psi with a calibration."""
    return Gauge(
        name="face-1",
        range=Measured(300 * PSI, "300", "psi"),
        resolution=None if resolution is None else Measured(resolution * PSI, f"{resolution:g}", "psi"),
        grade=grade,
        calibration=calibration() if known is None else known,
    )
