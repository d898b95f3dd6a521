"""Whether a calibrated gauge still meets its grade."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringtrue.compression import CalibrationPoint, Gauge
from ringtrue.measure.gauges import accuracy
from ringtrue.measure.judgement import Outcome
from ringtrue.measure.quantiles import normal_quantile

SURE = 0.95
"""An outcome holds where the probability of its side is at least this. [-]"""


@dataclass(frozen=True, slots=True)
class PointBesideGrade:
    """
    One calibration point beside the tolerance there.

    Parameters
    ----------
    point : CalibrationPoint
        The point.
    error : float
        What the gauge showed less the reference. [Pa]
    tolerance : float
        What the grade allows there, either way. [Pa]
    uncertainty : float
        Standard uncertainty of the error, from reference and reading. [Pa]
    outcome : Outcome
        Met, not met, or too close to call.
    """

    point: CalibrationPoint
    error: float
    tolerance: float
    uncertainty: float
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class BesideGrade:
    """
    A calibration beside the grade of the gauge.

    Parameters
    ----------
    grade, source : str
        As it stands on the face, and the key of the standard.
    points : tuple of PointBesideGrade
        In the order taken.
    outcome : Outcome
        Not met where one point does not, else too close to call where one is, else met.
    """

    grade: str
    source: str
    points: tuple[PointBesideGrade, ...]
    outcome: Outcome

    @property
    def worst(self) -> PointBesideGrade:
        """The point that uses most of its tolerance, or breaks it most."""
        return max(self.points, key=lambda each: abs(each.error) / each.tolerance)


def beside_grade(gauge: Gauge) -> BesideGrade | None:
    r"""
    Hold a calibration against the grade of its gauge.

    .. math:: |e| + z\,u \le T \text{: met}, \quad |e| - z\,u > T \text{: not met}, \quad z = 1.645

    Parameters
    ----------
    gauge : Gauge
        With its calibration.

    Returns
    -------
    BesideGrade or None
        None without a calibration, a grade, or a range that the grade is a share of.

    Notes
    -----
    Both sides are asked for with the same confidence: one-sided, 95 %. Between them it is too close to call. The
    tolerance is that at the reference, the wider one on the border of two zones.

    References
    ----------
    .. [1] JCGM 106:2012, 8, conformity with a guard band (from memory).

    Raises
    ------
    GaugeRefused
        The grade has a name that no standard knows.
    """
    if gauge.calibration is None or not gauge.grade.strip() or gauge.range is None:
        return None
    allowed, span = accuracy(gauge.grade), gauge.range.value
    expanded = gauge.calibration.reference_uncertainty
    step = gauge.resolution.value if gauge.resolution else 0.0
    u = math.hypot(expanded.value / 2 if expanded else 0.0, step / math.sqrt(12))
    rows = []
    for point in gauge.calibration.points:
        error = point.shown.pressure - point.reference.pressure
        tolerance = allowed.tolerance(point.reference.pressure, span)
        rows.append(PointBesideGrade(point, error, tolerance, u, _outcome(abs(error), tolerance, u)))
    found = {row.outcome for row in rows}
    whole = next(each for each in (Outcome.NOT_MET, Outcome.TOO_CLOSE, Outcome.MET) if each in found)
    return BesideGrade(gauge.grade, allowed.source, tuple(rows), whole)


def _outcome(error: float, tolerance: float, u: float) -> Outcome:
    reach = normal_quantile(SURE) * u
    slack = 1e-9 * tolerance
    if error + reach <= tolerance + slack:
        return Outcome.MET
    return Outcome.NOT_MET if error - reach > tolerance + slack else Outcome.TOO_CLOSE
