"""
A test carried to agreed conditions, and the change between two that were.

The level moves with day, height, starter and gauge; a factor takes them out, as far as they are known. Cylinders beside
their siblings need no factor: what moves all of them alike is gone from the ratio.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ringtrue.compression import Band, CompressionTest, Conditions, Gauge, Kind
from ringtrue.measure.correcting import corrected
from ringtrue.measure.figures import CylinderReadings, drift_of, fold
from ringtrue.measure.gauges import GaugeError, gauge_error
from ringtrue.measure.statistics import median
from ringtrue.measure.uncertainty import Final, Uncertainty, beside_siblings

_END = 1.6448536269514722
"""Standard deviations from the middle to either end of a 90 % interval. [-]"""
_DRAWS, _SEED = 2000, 20
_PAIR = 2


@dataclass(frozen=True, slots=True)
class _Figure:
    """A figure with its standard uncertainty, in one unit."""

    value: float
    own: float


class Says(StrEnum):
    """What readings say of a change."""

    NO_CHANGE = "no change that these readings could show"
    LOWER = "lower"
    HIGHER = "higher"
    CANNOT_TELL = "cannot tell"


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


@dataclass(frozen=True, slots=True)
class CylinderChange:
    """
    One cylinder beside its siblings, now over then.

    Parameters
    ----------
    cylinder : str
        Its name.
    ratio : float or None
        Its final now over then, over the median of the same of its siblings; None where it was not read both times, has
        no siblings, or there is nothing above zero to compare with. [-]
    interval : Band or None
        The ratio with its 90 % interval; None without a ratio or where a gauge is not known. [-]
    says : Says
        What that says.
    """

    cylinder: str
    ratio: float | None
    interval: Band | None
    says: Says


@dataclass(frozen=True, slots=True)
class Change:
    """
    What became of an engine between two tests.

    Parameters
    ----------
    same_gauge : bool or None
        One gauge read both; None where it is not known of one of them.
    gauges_known : bool
        How each gauge errs is known, so that the readings' own uncertainty is in the intervals.
    in_common : tuple of str
        Cylinders that were read both times; the others are in no figure.
    engine : Band or None
        Carried finals, now over then, the middle one of all cylinders; None where there is none above zero. [-]
    says : Says
        What that says.
    cylinders : tuple of CylinderChange
        In the order of the sheet.
    """

    same_gauge: bool | None
    gauges_known: bool
    in_common: tuple[str, ...]
    engine: Band | None
    says: Says
    cylinders: tuple[CylinderChange, ...]


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
        Final under the agreed conditions over final that day, as `ringtrue.physics.between_days` gives it. [-]

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
    the whole engine: a cylinder that leaks is carried by it as well, which is right for height, air and oil within 1
    %, but not for the starter (see `change`).

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
    own = _of_middle(_Figure(each.read, each.own or 0.0) for each in carried if each.read is not None).own
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


def _of_middle(figures: Iterable[_Figure]) -> _Figure:
    """
    Return the median of some figures with its standard uncertainty.

    Of three and more it is found by draws of each figure about itself, the same at every run: how many of them share in
    the middle depends on how close they lie (JCGM 101:2008, from memory).
    """
    import numpy as np

    row = sorted(figures, key=lambda each: (each.value, each.own))
    values, own = [each.value for each in row], [each.own for each in row]
    if len(row) <= _PAIR:
        return _Figure(median(values), math.hypot(*own) / len(row))
    drawn = np.random.default_rng(_SEED).standard_normal((_DRAWS, len(row))) * own + values
    return _Figure(median(values), float(np.std(np.median(drawn, axis=1))))


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
    if one is None or other is None:
        return None
    faces = [None if each.range is None else each.range.value for each in (one, other)]
    return one.name.casefold() == other.name.casefold() and faces[0] == faces[1]


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


def change(before: Carried, after: Carried) -> Change:
    r"""
    Compare two tests of one engine, both carried to the same conditions.

    .. math:: \frac{f_2}{f_1} \operatorname{med}_i r_i \quad \text{and} \quad
        \frac{r_i}{\operatorname{med}_{j \ne i} r_j}, \qquad r_i = \frac{p_{i2}}{p_{i1}}

    with p the final of a cylinder, then and now, and f the factor of the test.

    Parameters
    ----------
    before, after : Carried
        Then and now.

    Returns
    -------
    Change
        The engine as a whole, and every cylinder beside its siblings.

    Notes
    -----
    The factors of both days are taken to be independent. They share the engine and the model, so that where both days
    lie on the same side of the agreed conditions the interval is wider than it need be; where one is far above and the
    other far below, it may be too narrow by as much as the model is wrong. A gauge's own shift is in the change of the
    whole engine once for each gauge, whole, for it is common to all cylinders; where the same gauge read both tests it
    drops out, but for what it makes at two different levels. Beside their siblings cylinders need neither factor nor
    shift: day, height, starter and gauge are the same for all, and act on all alike. One exception is not in the
    intervals: a slow starter takes more from a cylinder that leaks than from its siblings, by 1.6 % at 30 rpm less for
    0.6 mm2 of leak in a cylinder of 0.65 litres, and by more for more. Height, air and oil act on it as on its siblings
    within 1 %. Each is held against itself first, so that what it was
    built with drops out, and the median keeps one that was lost from moving the others. Of two cylinders nothing tells
    which one has changed.

    The readings' own uncertainty is that of `ringtrue.measure.uncertainty.beside_siblings`, combined in quadrature as
    shares of the readings, and a cylinder's with that of the median of its siblings. An interval that holds 1 is told
    as no change that these readings could show; it is no proof that there was none.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2; JCGM 101:2008 for the uncertainty of a median (both from memory).
    """
    then = {each.cylinder: each for each in before.cylinders}
    now = {each.cylinder: each for each in after.cylinders}
    names = tuple(dict.fromkeys([*then, *now]))
    both = tuple(name for name in names if _was_read(then.get(name)) and _was_read(now.get(name)))
    same, known = is_same_gauge(before.gauge, after.gauge), before.error is not None and after.error is not None
    ratios = {name: found for name in both if (found := _now_over_then(then[name], now[name])) is not None}
    engine = _engine(before, after, ratios, same=same and _corrected_alike(before.gauge, after.gauge))
    cylinders = tuple(_beside(name, ratios, known=known) for name in names)
    return Change(same, known, both, engine, _says(engine), cylinders)


def _corrected_alike(one: Gauge | None, other: Gauge | None) -> bool:
    """Tell whether two tests share one correction, so that what it leaves open is the same in both."""
    return one is None or other is None or one.calibration == other.calibration


def _was_read(cylinder: CarriedCylinder | None) -> bool:
    return cylinder is not None and cylinder.read is not None


def _now_over_then(then: CarriedCylinder, now: CarriedCylinder) -> _Figure | None:
    """Return the finals of one cylinder as read, now over then; None where it was zero then."""
    if not then.read or now.read is None:
        return None
    ratio = now.read / then.read
    return _Figure(ratio, math.hypot((now.own or 0.0) / then.read, ratio * (then.own or 0.0) / then.read))


def _engine(before: Carried, after: Carried, ratios: Mapping[str, _Figure], *, same: bool | None) -> Band | None:
    if not ratios or (middle := _of_middle(ratios.values())).value <= 0:
        return None
    shifts = [
        0.0 if test.error is None else test.error.tolerance(test.middle_read) / math.sqrt(3) / test.middle_read
        for test in (before, after)
        if test.middle_read > 0
    ]
    # A shift in Pa that both share is a larger part of the lower level.
    shift = max(shifts) - min(shifts) if same and shifts else math.hypot(*shifts)
    half = _END * math.hypot(middle.own / middle.value, shift)
    factor = after.factor.median / before.factor.median
    return _ratio(middle.value * factor, (after.factor,), (before.factor,), half)


def _beside(name: str, ratios: Mapping[str, _Figure], *, known: bool) -> CylinderChange:
    siblings = [each for other, each in ratios.items() if other != name]
    if name not in ratios or not siblings or (middle := _of_middle(siblings)).value <= 0:
        return CylinderChange(name, None, None, Says.CANNOT_TELL)
    own = ratios[name]
    ratio = own.value / middle.value
    if not known:
        return CylinderChange(name, ratio, None, Says.CANNOT_TELL)
    if ratio <= 0:
        interval = Band(0.0, 0.0, _END * own.own / middle.value)
    else:
        half = _END * math.hypot(own.own / own.value, middle.own / middle.value)
        interval = _ratio(ratio, (), (), half)
    return CylinderChange(name, ratio, interval, _says(interval))


def _says(interval: Band | None) -> Says:
    if interval is None:
        return Says.CANNOT_TELL
    if interval.high < 1:
        return Says.LOWER
    return Says.HIGHER if interval.low > 1 else Says.NO_CHANGE
