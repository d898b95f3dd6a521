"""
What became of an engine between two tests.

The whole engine is compared after both tests were carried to one day. Cylinders beside their siblings need no factor:
what moves all of them alike is gone from the ratio.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ringtrue.compression import Band, Gauge
from ringtrue.history.carrying import Carried, CarriedCylinder, Figure, is_same_gauge, middles_of_others, of_middle

_WIDE = 1.959963984540054
"""Standard deviations from the middle to either end of a 95 % interval. [-]"""
SELDOM = 0.05
"""How often something is said of what has not changed: *lower* of an engine, *looks lower* of a cylinder. [-]"""
_ALMOST_NOTHING = 1e-12
_PAIR = 2


class Says(StrEnum):
    """
    What readings say of a change.

    Of engines that have not changed one in 20 has a cylinder that is called *lower*, and of cylinders that have not
    changed one in 20 *looks lower*; as many *higher*.
    """

    NO_CHANGE = "no change that these readings could show"
    LOOKS_LOWER = "looks lower"
    LOOKS_HIGHER = "looks higher"
    LOWER = "lower"
    HIGHER = "higher"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Apart:
    """
    How far two tests of an engine lie apart by day, height, starter and gauge alone.

    Parameters
    ----------
    ratio : float
        The factor of the later test over that of the earlier one. [-]
    spread : float
        Standard deviation of its natural logarithm. [-]
    """

    ratio: float
    spread: float


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
        The ratio with its 95 % interval; None without a ratio or where a gauge is not known. [-]
    says : Says
        What that says.
    chance : float or None
        Probability that one that has not changed reads as far off on the same side; None without an interval. [-]
    """

    cylinder: str
    ratio: float | None
    interval: Band | None
    says: Says
    chance: float | None = None


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
        Carried finals, now over then, the middle one of all cylinders, with its 95 % interval; None where there is none
        above zero. [-]
    says : Says
        What that says.
    cylinders : tuple of CylinderChange
        In the order of the sheet.
    days, gauges, readings : float
        Shares of the variance of the engine's change that come from day, height and starter, from how far the gauges
        are off, and from the readings; all 0 where it has none. [-]
    """

    same_gauge: bool | None
    gauges_known: bool
    in_common: tuple[str, ...]
    engine: Band | None
    says: Says
    cylinders: tuple[CylinderChange, ...]
    days: float = 0.0
    gauges: float = 0.0
    readings: float = 0.0


def change(before: Carried, after: Carried, apart: Apart) -> Change:
    r"""
    Compare two tests of one engine.

    .. math:: a \operatorname{med}_i r_i \quad \text{and} \quad
        \frac{r_i}{\operatorname{med}_{j \ne i} r_j}, \qquad r_i = \frac{p_{i2}}{p_{i1}}

    with p the final of a cylinder, then and now, and a what carries both to one day.

    Parameters
    ----------
    before, after : Carried
        Then and now.
    apart : Apart
        How far the two days lie apart.

    Returns
    -------
    Change
        The engine as a whole, and every cylinder beside its siblings.

    Notes
    -----
    A gauge's own shift is in the change of the whole engine once for each gauge, whole, for it is common to all
    cylinders; where the same gauge read both tests it drops out, but for what it makes at two different levels. Beside
    their siblings cylinders need neither factor nor shift: day, height, starter and gauge are the same for all, and act
    on all alike. One exception is not in the intervals: a slow starter takes more from a cylinder that leaks than from
    its siblings, by 1.6 % at 30 rpm less for 0.6 mm2 of leak in a cylinder of 0.65 litres, and by more for more.
    Height, air and oil act on it as on its siblings within 1 %. Each is held against itself first, so that what it was
    built with drops out, and the median keeps one that was lost from moving the others. Of two cylinders nothing tells
    which one has changed.

    The readings' own uncertainty is that of `ringtrue.measure.uncertainty.beside_siblings`, combined in quadrature as
    shares of the readings, and a cylinder's with that of the median of its siblings. Intervals hold 95 %. What is said
    of a cylinder rests on the probability that one that has not changed reads as far off on that side: under 5 % it
    *looks lower*; under 5 % for all cylinders together (Sidak's correction) it is *lower*. The whole engine is *lower*
    where its interval does not hold 1. Nothing said is no proof that nothing changed.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2; JCGM 101:2008 for the uncertainty of a median (both from memory).
    .. [2] Sidak, Journal of the American Statistical Association 62 (1967), 626 (from memory).
    """
    then = {each.cylinder: each for each in before.cylinders}
    now = {each.cylinder: each for each in after.cylinders}
    names = tuple(dict.fromkeys([*then, *now]))
    both = tuple(name for name in names if _was_read(then.get(name)) and _was_read(now.get(name)))
    same, known = is_same_gauge(before.gauge, after.gauge), before.error is not None and after.error is not None
    ratios = {name: found for name in both if (found := _now_over_then(then[name], now[name])) is not None}
    alike = same and corrected_alike(before.gauge, after.gauge)
    engine, made_of = _engine(before, after, ratios, apart, same=alike)
    spread = math.hypot(*made_of)
    shares = [(each / spread) ** 2 if spread > 0 else 0.0 for each in made_of]
    says = (
        Says.CANNOT_TELL if engine is None else says_of(_chance(engine.median, spread), engine.median < 1, SELDOM / 2)
    )
    siblings, surely = _beside_siblings(ratios), surely_for(len(ratios))
    cylinders = tuple(_beside(name, ratios.get(name), siblings.get(name), surely, known=known) for name in names)
    return Change(same, known, both, engine, says, cylinders, *shares)


def corrected_alike(one: Gauge | None, other: Gauge | None) -> bool:
    """
    Tell whether two tests share one correction, so that what it leaves open is the same in both.

    Parameters
    ----------
    one, other : Gauge or None
        As they were described at each test.

    Returns
    -------
    bool
        Also where one was not said.
    """
    return one is None or other is None or one.calibration == other.calibration


def _was_read(cylinder: CarriedCylinder | None) -> bool:
    return cylinder is not None and cylinder.read is not None


def _now_over_then(then: CarriedCylinder, now: CarriedCylinder) -> Figure | None:
    """Return the finals of one cylinder as read, now over then; None where it was zero then."""
    if not then.read or now.read is None:
        return None
    ratio = now.read / then.read
    return Figure(ratio, math.hypot((now.own or 0.0) / then.read, ratio * (then.own or 0.0) / then.read))


def _engine(
    before: Carried, after: Carried, ratios: Mapping[str, Figure], apart: Apart, *, same: bool | None
) -> tuple[Band | None, tuple[float, float, float]]:
    """Return the change of the engine with its 95 % interval, and what days, gauges, readings add to its logarithm."""
    if not ratios or (middle := of_middle(ratios.values())).value <= 0:
        return None, (0.0, 0.0, 0.0)
    shifts = [
        0.0 if test.error is None else test.error.tolerance(test.middle_read) / math.sqrt(3) / test.middle_read
        for test in (before, after)
        if test.middle_read > 0
    ]
    # A shift in Pa that both share is a larger part of the lower level.
    shift = max(shifts) - min(shifts) if same and shifts else math.hypot(*shifts)
    made_of = (apart.spread, shift, middle.own / middle.value)
    return _around(middle.value * apart.ratio, math.hypot(*made_of)), made_of


def _around(ratio: float, spread: float) -> Band:
    """Return a ratio with its 95 % interval, from the standard deviation of its logarithm."""
    reach = math.exp(_WIDE * spread)
    return Band(ratio, ratio / reach, ratio * reach)


def _beside_siblings(ratios: Mapping[str, Figure]) -> dict[str, Figure]:
    """Return the median of the others for each cylinder that has others."""
    if len(ratios) < _PAIR:
        return {}
    return dict(zip(ratios, middles_of_others(tuple(ratios.values())), strict=True))


def _beside(name: str, own: Figure | None, middle: Figure | None, surely: float, *, known: bool) -> CylinderChange:
    if own is None or middle is None or middle.value <= 0:
        return CylinderChange(name, None, None, Says.CANNOT_TELL)
    ratio = own.value / middle.value
    if not known:
        return CylinderChange(name, ratio, None, Says.CANNOT_TELL)
    if ratio <= 0:
        high = _WIDE * own.own / middle.value
        chance = 0.5 * math.erfc(1 / math.sqrt(2) / max(own.own / middle.value, _ALMOST_NOTHING))
        return CylinderChange(name, ratio, Band(0.0, 0.0, high), says_of(chance, ratio < 1, surely), chance)
    spread = math.hypot(own.own / own.value, middle.own / middle.value)
    chance = _chance(ratio, spread)
    return CylinderChange(name, ratio, _around(ratio, spread), says_of(chance, ratio < 1, surely), chance)


def _chance(ratio: float, spread: float) -> float:
    """Return how often what has not changed reads as far off on that side."""
    return 0.5 * math.erfc(abs(math.log(ratio)) / max(spread, _ALMOST_NOTHING) / math.sqrt(2))


def surely_for(compared: int) -> float:
    """
    Return under which chance a cylinder is lower, and does not only look so.

    Parameters
    ----------
    compared : int
        How many cylinders are looked at.

    Returns
    -------
    float
        So that of sound engines `SELDOM` have one that is called lower; never more than half of that. [-]

    Examples
    --------
    >>> round(surely_for(8), 5)
    0.00639
    """
    together: float = 1 - (1 - SELDOM) ** (1 / max(compared, 1))
    return min(together, SELDOM / 2)


def says_of(chance: float, down: bool, surely: float) -> Says:  # noqa: FBT001 - which way it went
    """
    Tell what a chance says.

    Parameters
    ----------
    chance : float
        How often what has not changed looks as far off on that side. [-]
    down : bool
        Which side that is.
    surely : float
        Under which chance it does not only look so. [-]

    Returns
    -------
    Says
        What is said.
    """
    if chance >= SELDOM:
        return Says.NO_CHANGE
    if chance >= surely:
        return Says.LOOKS_LOWER if down else Says.LOOKS_HIGHER
    return Says.LOWER if down else Says.HIGHER
