"""
Control charts: whether what follows belongs with what was before.

Three of them, over any figures in the order in which they came: the figures themselves with their moving range, an
average that forgets (EWMA), and sums of what is over and under (CUSUM). Plain numbers in, plain numbers out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ringtrue.measure.statistics import mean

D2 = 1.128
"""Mean range of two normal figures, over their standard deviation, as tables of chart constants print it. [-]"""

D4 = 3.267
"""Upper limit of the range of two, over the mean range, as the same tables print it. [-]"""

USUAL_WIDTH = 3.0
"""Limits of a chart lie so many standard deviations from its centre, where nothing else is said. [-]"""


@dataclass(frozen=True, slots=True)
class Individuals:
    """
    Chart of single figures and their moving range.

    Parameters
    ----------
    centre : float
        Mean of the baseline, in the unit of the figures.
    sigma : float
        Their standard deviation: the mean moving range over `D2`.
    lower, upper : float
        Limits of a figure.
    ranges : tuple of float
        Each figure beside the one before it; one fewer than there are figures.
    range_mean, range_upper : float
        Mean moving range of the baseline, and its upper limit.
    """

    centre: float
    sigma: float
    lower: float
    upper: float
    ranges: tuple[float, ...]
    range_mean: float
    range_upper: float


def individuals(values: Sequence[float], baseline: int | None = None, width: float = USUAL_WIDTH) -> Individuals:
    r"""
    Chart single figures with their moving range.

    .. math:: \bar x \pm w \, \overline{MR} / d_2, \quad MR_i = |x_i - x_{i-1}|

    Parameters
    ----------
    values : sequence of float
        In the order in which they came, in any one unit.
    baseline : int or None
        So many of the first make the limits, at least two; None for all.
    width : float
        Standard deviations from centre to limit. [-]

    Returns
    -------
    Individuals
        The chart.

    Notes
    -----
    The moving range hardly sees a slow change within the baseline, which a standard deviation of all of it would take
    for scatter.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.

    Examples
    --------
    Figures that go up and down by one about 10 have a mean range of 2:

    >>> chart = individuals([9.0, 11.0, 9.0, 11.0])
    >>> chart.centre, chart.range_mean, round(chart.upper, 3)
    (10.0, 2.0, 15.319)
    """
    ranges = tuple(abs(later - before) for before, later in pairwise(values))
    count = len(values) if baseline is None else min(baseline, len(values))
    centre, moving = mean(values[:count]), mean(ranges[: count - 1])
    sigma = moving / D2
    return Individuals(centre, sigma, centre - width * sigma, centre + width * sigma, ranges, moving, D4 * moving)


@dataclass(frozen=True, slots=True)
class Ewma:
    """
    Chart of an average that forgets.

    Parameters
    ----------
    values : tuple of float
        The average after each figure, in their unit.
    lower, upper : tuple of float
        Its limits there, narrower at first.
    """

    values: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]


def ewma(values: Sequence[float], centre: float, sigma: float, weight: float, width: float = USUAL_WIDTH) -> Ewma:
    r"""
    Chart an exponentially weighted moving average.

    .. math::

        z_i = \lambda x_i + (1 - \lambda) z_{i-1}, \quad z_0 = \mu, \quad
        \mu \pm w \sigma \sqrt{\frac{\lambda}{2 - \lambda} \left(1 - (1 - \lambda)^{2i}\right)}

    Parameters
    ----------
    values : sequence of float
        In the order in which they came, in any one unit.
    centre, sigma : float
        What they lie about while nothing changes, and how far they scatter; in that unit.
    weight : float
        Of the newest, above 0, at most 1. [-]
    width : float
        Standard deviations of the average from centre to limit. [-]

    Returns
    -------
    Ewma
        The chart.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.

    Examples
    --------
    >>> ewma([60.0, 50.0], 50.0, 1.0, 0.5).values
    (55.0, 52.5)
    """
    now, averages, reaches = centre, [], []
    for at, value in enumerate(values, 1):
        now = weight * value + (1 - weight) * now
        averages.append(now)
        reaches.append(width * sigma * math.sqrt(weight / (2 - weight) * (1 - (1 - weight) ** (2 * at))))
    return Ewma(tuple(averages), tuple(centre - each for each in reaches), tuple(centre + each for each in reaches))


@dataclass(frozen=True, slots=True)
class Cusum:
    """
    Chart of sums of what is over and under.

    Parameters
    ----------
    above, below : tuple of float
        After each figure: what has gathered above, and what below (not negative either), in the unit of the figures.
    """

    above: tuple[float, ...]
    below: tuple[float, ...]


def cusum(values: Sequence[float], target: float, allowance: float) -> Cusum:
    r"""
    Chart cumulative sums, in their tabular form.

    .. math::

        S^+_i = \max(0, S^+_{i-1} + x_i - \mu - k), \quad S^-_i = \max(0, S^-_{i-1} + \mu - k - x_i)

    Parameters
    ----------
    values : sequence of float
        In the order in which they came, in any one unit.
    target : float
        What they should lie about, in that unit.
    allowance : float
        What is let pass each time: half of the change that is to be found, in that unit.

    Returns
    -------
    Cusum
        The sums; a change is there where one of them exceeds its limit.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.

    Examples
    --------
    >>> cusum([12.0, 12.0, 8.0], 10.0, 0.5).above
    (1.5, 3.0, 0.5)
    """
    above, below = [0.0], [0.0]
    for value in values:
        above.append(max(0.0, above[-1] + value - target - allowance))
        below.append(max(0.0, below[-1] + target - allowance - value))
    return Cusum(tuple(above[1:]), tuple(below[1:]))


def began(sums: Sequence[float], at: int) -> int:
    """
    Return where a change began that a sum tells of: just after it last was nothing.

    Parameters
    ----------
    sums : sequence of float
        One side of a `Cusum`.
    at : int
        Where it exceeds its limit, from 0.

    Returns
    -------
    int
        The first figure of the change, from 0.

    Examples
    --------
    >>> began([0.0, 0.3, 0.0, 1.0, 2.0, 4.5], 5)
    3
    """
    while at > 0 and sums[at - 1] > 0:
        at -= 1
    return at
