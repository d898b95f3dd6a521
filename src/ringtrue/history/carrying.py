"""
A test carried to agreed conditions.

The level moves with day, height, starter and gauge; a factor takes them out, as far as they are known.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ringtrue.compression import Band, CompressionTest, Conditions, Gauge, Kind
from ringtrue.measure.correcting import corrected
from ringtrue.measure.figures import CylinderReadings, drift_of, fold
from ringtrue.measure.gauges import GaugeError, gauge_error
from ringtrue.measure.statistics import median
from ringtrue.measure.uncertainty import Final, Uncertainty, beside_siblings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_END = 1.6448536269514722
"""Standard deviations from the middle to either end of a 90 % interval. [-]"""
_DRAWS, _SEED = 1000, 20
_PAIR = 2


@dataclass(frozen=True, slots=True)
class Figure:
    """
    A figure that is not known exactly.

    Parameters
    ----------
    value : float
        The figure. [any unit]
    own : float
        Its standard uncertainty. [the same unit]
    """

    value: float
    own: float


@dataclass(frozen=True, slots=True)
class CarriedCylinder:
    """
    One cylinder, as read and carried.

    Parameters
    ----------
    cylinder : str
        Its name.
    read : float or None
        Mean of its dry finals; None when none was read. [Pa gauge]
    own : float or None
        Standard uncertainty of that reading beside its siblings; None when the gauge is not known. [Pa]
    carried : Band or None
        What it would have read under the agreed conditions; None when it was not read. [Pa gauge]
    """

    cylinder: str
    read: float | None
    own: float | None
    carried: Band | None


@dataclass(frozen=True, slots=True)
class Carried:
    """
    A test, carried.

    Parameters
    ----------
    gauge : Gauge or None
        With which it was read.
    error : GaugeError or None
        How that gauge errs; None when too little is known of it.
    factor : Band
        Final under the agreed conditions over final that day. [-]
    cylinders : tuple of CarriedCylinder
        In the order of the sheet.
    middle_read : float
        Median of the finals, as read. [Pa gauge]
    middle : Band
        The same carried. [Pa gauge]
    """

    gauge: Gauge | None
    error: GaugeError | None
    factor: Band
    cylinders: tuple[CarriedCylinder, ...]
    middle_read: float
    middle: Band


def carry(test: CompressionTest, cylinders: Sequence[str], factor: Band) -> Carried | None:
    r"""
    Carry the dry finals of a test.

    .. math:: p' = f p, \quad \ln(p'_h / p') = \sqrt{\ln^2(f_h / f) + \ln^2(p_h / p)}

    Parameters
    ----------
    test : CompressionTest
        What was read, and with which gauge.
    cylinders : sequence of str
        The cylinders of the sheet.
    factor : Band
        Final under the agreed conditions over final that day, as `ringtrue.physics.log_factors` gives it. [-]

    Returns
    -------
    Carried or None
        None where no dry final was read.

    Raises
    ------
    GaugeRefused
        The gauge's grade is none that a standard knows.

    Notes
    -----
    Readings are corrected by the calibration of the gauge where there is one. The half widths of factor and reading
    are combined in quadrature, on a scale of logarithms, because both act as ratios. The reading's own interval has
    the gauge's shift in it. Where the gauge is not known, only the factor's interval is told. The factor is one for
    the whole engine: a cylinder that leaks is carried by it as well, which is right for height, air and oil within
    1 %, but not for the starter (see `change`).

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2 (from memory).
    """
    test = corrected(test)
    series = test.series(Kind.DRY)
    if series is None:
        return None
    read = fold(series, cylinders)
    error, drift = gauge_error(test.gauge, test.date), drift_of(series)
    fraction = drift.fraction if drift else 0.0
    finals = [Final(each.final, len(each.finals)) for each in read if each.final is not None]
    if not finals:
        return None
    uncertainty = None if error is None else Uncertainty(error, fraction, finals)
    carried = tuple(_carry_one(each, factor, error, fraction, uncertainty) for each in read)
    middle = median([final.pressure for final in finals])
    if error is None:
        return Carried(test.gauge, error, factor, carried, middle, _times(factor, middle, 0.0))
    own = of_middle(Figure(each.read, each.own or 0.0) for each in carried if each.read is not None).own
    shift = error.tolerance(middle) / math.sqrt(3)
    return Carried(test.gauge, error, factor, carried, middle, _times(factor, middle, _END * math.hypot(own, shift)))


def _carry_one(
    read: CylinderReadings, factor: Band, error: GaugeError | None, drift: float, uncertainty: Uncertainty | None
) -> CarriedCylinder:
    if read.final is None:
        return CarriedCylinder(read.cylinder, None, None, None)
    if error is None or uncertainty is None:
        return CarriedCylinder(read.cylinder, read.final, None, _times(factor, read.final, 0.0))
    final = Final(read.final, len(read.finals))
    half = uncertainty.of_final(final).high - read.final
    own = beside_siblings(error, drift, final)
    return CarriedCylinder(read.cylinder, read.final, own, _times(factor, read.final, half))


def _times(factor: Band, pressure: float, half: float) -> Band:
    """Return a pressure times a factor; `half` is the half width of the pressure's own 90 % interval."""
    if pressure <= 0:
        return Band(0.0, 0.0, factor.high * half)
    return _ratio(factor.median * pressure, (factor,), (), half / pressure)


def _ratio(middle: float, over: Sequence[Band], under: Sequence[Band], half: float) -> Band:
    """
    Return a product of bands over others with its interval: log half widths in quadrature.

    `middle` is its median, `half` the relative half width of all else that is in it.
    """
    up = [math.log(each.high / each.median) for each in over] + [math.log(each.median / each.low) for each in under]
    down = [math.log(each.median / each.low) for each in over] + [math.log(each.high / each.median) for each in under]
    own = math.log1p(half)
    return Band(middle, middle * math.exp(-math.hypot(*down, own)), middle * math.exp(math.hypot(*up, own)))


def of_middle(figures: Iterable[Figure]) -> Figure:
    """
    Return the median of some figures.

    Parameters
    ----------
    figures : iterable of Figure
        At least one, independent of one another.

    Returns
    -------
    Figure
        Their median with its standard uncertainty.

    Notes
    -----
    Of three and more it is found by draws of each figure about itself, the same at every run: how many of them share in
    the middle depends on how close they lie (JCGM 101:2008, from memory).
    """
    import numpy as np

    row = sorted(figures, key=lambda each: (each.value, each.own))
    values, own = [each.value for each in row], [each.own for each in row]
    if len(row) <= _PAIR:
        return Figure(median(values), math.hypot(*own) / len(row))
    return Figure(median(values), float(np.std(np.median(_drawn(len(row)) * own + values, axis=1))))


def middles_of_others(figures: Sequence[Figure]) -> tuple[Figure, ...]:
    """
    Return, for each of some figures, the median of all the others.

    Parameters
    ----------
    figures : sequence of Figure
        At least two, independent of one another.

    Returns
    -------
    tuple of Figure
        In the same order; each as `of_middle` would give it, from one set of draws.
    """
    import numpy as np

    count = len(figures)
    if count <= _PAIR + 1:
        return tuple(of_middle(other for at, other in enumerate(figures) if at != own) for own in range(count))
    values, own = np.array([each.value for each in figures]), np.array([each.own for each in figures])
    # A cylinder's draws belong to its rank, so that the order in which they were pulled changes nothing.
    order = np.lexsort((own, values))
    noise = np.empty((_DRAWS, count))
    noise[:, order] = _drawn(count)
    drawn = np.vstack([values, noise * own + values])
    by_rank = np.argsort(drawn, axis=1, kind="stable")
    ranks, ranked = np.argsort(by_rank, axis=1), np.take_along_axis(drawn, by_rank, axis=1)
    middle = np.zeros_like(drawn)
    for place in {(count - 2) // 2, (count - 1) // 2}:
        # Taking a figure out moves those above it down by one place.
        middle += np.where(ranks > place, ranked[:, [place]], ranked[:, [place + 1]])
    middle /= len({(count - 2) // 2, (count - 1) // 2})
    return tuple(Figure(float(at[0]), float(np.std(at[1:]))) for at in middle.T)


@lru_cache(maxsize=32)
def _drawn(count: int) -> NDArray[np.float64]:
    import numpy as np

    return np.random.default_rng(_SEED).standard_normal((_DRAWS, count))


def is_same_gauge(one: Gauge | None, other: Gauge | None) -> bool | None:
    """
    Tell whether one gauge read two tests.

    Parameters
    ----------
    one, other : Gauge or None
        As they were described at each test.

    Returns
    -------
    bool or None
        True for the same name and range: what else is known of a gauge may have been added later. None where one of
        them was not said.
    """
    return None if one is None or other is None else one.face == other.face


def not_said(day: Conditions, to: Conditions) -> tuple[str, ...]:
    """
    List what the factor of a day rests on and nobody said: it is assumed, and widens the factor.

    Parameters
    ----------
    day : Conditions
        The day, as it was said.
    to : Conditions
        The agreed conditions; what is left out there stays as it was and does not matter.

    Returns
    -------
    tuple of str
        Keys of inputs: barometer, inlet_air, wall, speed.
    """
    pairs = (
        ("barometer", day.barometer or day.altitude, to.barometer or to.altitude),
        ("inlet_air", day.inlet_air, to.inlet_air),
        ("wall", day.oil, to.oil),
        ("speed", day.cranking_speed, to.cranking_speed),
    )
    return tuple(key for key, said, wanted in pairs if wanted is not None and said is None)
