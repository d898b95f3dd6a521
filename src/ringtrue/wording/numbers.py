"""
Figures with their units, as they are shown.

A shown figure is never on the other side of its limit: where rounding would put it there, one more digit is shown, and
where that does not help, it is held on the side it belongs to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from ringtrue.measure import Interval
from ringtrue.measure.limits import SLACK
from ringtrue.units import Unit, from_si


def figure(value: float, decimals: int, *, limit: float | None = None) -> str:
    """
    Write a number so that it stays on its own side of a limit.

    Parameters
    ----------
    value : float
        The number. [any unit]
    decimals : int
        Digits after the point; one more is shown where it takes that to tell the number from its limit.
    limit : float or None
        What the number is compared with. [same unit]

    Returns
    -------
    str
        The number. Below the limit it reads below the limit, above it above, on it like the limit itself.

    Examples
    --------
    >>> figure(9.996, 1, limit=10.0), figure(10.0, 1, limit=10.0), figure(9.44, 1, limit=10.0)
    ('9.99', '10.0', '9.4')
    """
    return figure_and_limit(value, limit, decimals)[0] if limit is not None else _plain(value, decimals)


def figure_and_limit(value: float, limit: float, decimals: int) -> tuple[str, str]:
    """
    Write a number and its limit so that they can be compared by eye.

    Parameters
    ----------
    value, limit : float
        In the same unit.
    decimals : int
        As in `figure`.

    Returns
    -------
    tuple of str
        Number and limit with the same digits after the point.

    Examples
    --------
    >>> figure_and_limit(100.08, 100.076, 1)
    ('100.09', '100.08')
    """
    if math.isclose(value, limit, rel_tol=SLACK):
        return _plain(limit, decimals), _plain(limit, decimals)
    above = value > limit
    for digits in (decimals, decimals + 1):
        shown, edge = _plain(value, digits), _plain(limit, digits)
        if _apart(shown, edge, limit, above=above):
            return shown, edge
    digits = decimals + 1
    edge, step = _plain(limit, digits), 10.0**-digits
    nearest = float(edge) + (step if above else -step)
    held = _plain(nearest, digits)
    if not _apart(held, edge, limit, above=above):
        held = _plain(nearest + (step if above else -step), digits)
    return held, edge


def shortest(value: float, decimals: int) -> str:
    """
    Write a number that somebody set, such as a limit, without idle noughts.

    Parameters
    ----------
    value : float
        The number. [any unit]
    decimals : int
        The most digits after the point.

    Returns
    -------
    str
        As few digits as give it exactly; all of them where that is not enough.

    Examples
    --------
    >>> shortest(10.0, 1), shortest(0.75, 2), shortest(100.076, 1)
    ('10', '0.75', '100.1')
    """
    for digits in range(decimals):
        if math.isclose(round(value, digits), value, rel_tol=SLACK):
            return _plain(value, digits)
    return _plain(value, decimals)


def _plain(value: float, decimals: int) -> str:
    return f"{value:z.{decimals}f}"


def _apart(shown: str, edge: str, limit: float, *, above: bool) -> bool:
    number = float(shown)
    if above:
        return number > float(edge) and number > limit
    return number < float(edge) and number < limit


def nearest(value: float, limits: Iterable[float]) -> float | None:
    """
    Choose, of the limits that a figure is compared with, the one it must be told apart from.

    Parameters
    ----------
    value : float
        The figure. [any unit]
    limits : iterable of float
        [same unit]

    Returns
    -------
    float or None
        The limit closest to the figure; None where there is none.

    Examples
    --------
    >>> nearest(9.996, [10.0, 20.0])
    10.0
    """
    return min(limits, key=lambda limit: abs(limit - value), default=None)


def percent(value: float, *, limit: float | None = None, decimals: int | None = None) -> str:
    """
    Write a percentage.

    Parameters
    ----------
    value : float
        [%]
    limit : float or None
        What it is compared with. [%]
    decimals : int or None
        Digits after the point, as in `figure`; None for one, and two below 1 %.

    Returns
    -------
    str
        Number and sign.

    Examples
    --------
    >>> percent(9.996, limit=10.0), percent(0.586)
    ('9.99 %', '0.59 %')
    """
    return f"{figure(value, percent_digits(value) if decimals is None else decimals, limit=limit)} %"


def percent_digits(value: float) -> int:
    """
    Return how many digits after the point a percentage is shown with.

    Parameters
    ----------
    value : float
        [%]

    Returns
    -------
    int
        One; two below 1 %.
    """
    return 1 if abs(value) >= 1 or value == 0 else 2


def ratio(value: float, *, limit: float | None = None, decimals: int = 2) -> str:
    """
    Write a fraction.

    Parameters
    ----------
    value : float
        [-]
    limit : float or None
        What it is compared with. [-]
    decimals : int
        As in `figure`.

    Returns
    -------
    str
        The number alone: a fraction has no unit.

    Examples
    --------
    >>> ratio(0.7499, limit=0.75)
    '0.749'
    """
    return figure(value, decimals, limit=limit)


def pressure(value: float, unit: Unit, *, limit: float | None = None, decimals: int | None = None) -> str:
    """
    Write a pressure, or a difference of two.

    Parameters
    ----------
    value : float
        [Pa]
    unit : Unit
        The unit to show.
    limit : float or None
        What it is compared with. [Pa]
    decimals : int or None
        Digits after the point; None for what is usual in the unit.

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> from ringtrue.units import Dimension, find_unit
    >>> pressure(1.041e6, find_unit("psi", Dimension.PRESSURE))
    '151.0 psi'
    """
    digits = unit.decimals if decimals is None else decimals
    edge = None if limit is None else from_si(limit, unit)
    return f"{figure(from_si(value, unit), digits, limit=edge)} {unit.name}"


def interval(found: Interval, unit: Unit) -> str:
    """
    Write an interval of pressures.

    Parameters
    ----------
    found : Interval
        [Pa]
    unit : Unit
        The unit to show.

    Returns
    -------
    str
        Both ends with one unit.

    Examples
    --------
    >>> from ringtrue.units import Dimension, find_unit
    >>> interval(Interval(1.0e6, 1.05e6), find_unit("bar", Dimension.PRESSURE))
    '10.00 to 10.50 bar'
    """
    return f"{figure(from_si(found.low, unit), unit.decimals)} to {pressure(found.high, unit)}"
