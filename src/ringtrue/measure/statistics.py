"""
Means, robust scales and tests for outliers, of a handful of readings.

Sums are exact before they are rounded (`math.fsum`), so that readings that differ in their last digit keep it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ringtrue.measure.student import t_quantile

TO_SIGMA = 1.4826
"""Median absolute deviation to standard deviation, for normal readings (1 / 0.6745). [-]"""


def mean(values: Sequence[float]) -> float:
    """
    Arithmetic mean.

    Parameters
    ----------
    values : sequence of float
        At least one figure, in any one unit.

    Returns
    -------
    float
        Their mean, in that unit.

    Examples
    --------
    >>> mean([120, 118, 125, 95])
    114.5
    """
    return math.fsum(values) / len(values)


def mean_deviation(values: Sequence[float]) -> float:
    r"""
    Mean absolute deviation from the mean: what the trade calls mean deviation.

    .. math:: \frac{1}{n} \sum |x_i - \bar x|

    Parameters
    ----------
    values : sequence of float
        At least one figure, in any one unit.

    Returns
    -------
    float
        The mean deviation, in that unit; 0 for one figure.

    Examples
    --------
    Two 5 above, two 5 below:

    >>> mean_deviation([155, 155, 145, 145])
    5.0
    """
    centre = mean(values)
    return mean([abs(value - centre) for value in values])


def sample_sd(values: Sequence[float]) -> float:
    r"""
    Sample standard deviation, divided by n - 1, in two passes.

    .. math:: \sqrt{\frac{1}{n-1} \sum (x_i - \bar x)^2}

    Parameters
    ----------
    values : sequence of float
        At least two figures, in any one unit.

    Returns
    -------
    float
        The standard deviation, in that unit.

    Notes
    -----
    Reaches the certified values of the NIST Statistical Reference Datasets (univariate) to the digits that double
    precision allows.
    """
    centre = mean(values)
    return math.sqrt(math.fsum((value - centre) ** 2 for value in values) / (len(values) - 1))


def median(values: Sequence[float]) -> float:
    """
    Middle of the sorted figures, or halfway between the two middle ones.

    Parameters
    ----------
    values : sequence of float
        At least one figure, in any one unit.

    Returns
    -------
    float
        The median, in that unit.

    Examples
    --------
    >>> median([150, 20, 152])
    150
    """
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def median_deviation(values: Sequence[float]) -> float:
    """
    Median absolute deviation from the median, unscaled.

    Parameters
    ----------
    values : sequence of float
        At least one figure, in any one unit.

    Returns
    -------
    float
        The median absolute deviation, in that unit; times `TO_SIGMA` it estimates a standard deviation.

    Notes
    -----
    Unmoved by wrong figures while they are fewer than half.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17 (modified z score).
    """
    centre = median(values)
    return median([abs(value - centre) for value in values])


@lru_cache(maxsize=256)
def grubbs_critical(count: int, alpha: float) -> float:
    r"""
    Critical value of the two-sided Grubbs test.

    .. math:: \frac{n-1}{\sqrt n} \sqrt{\frac{t^2}{n - 2 + t^2}}

    with t the upper alpha/(2n) point of Student's t on n - 2 degrees of freedom.

    Parameters
    ----------
    count : int
        Number of figures, at least 3.
    alpha : float
        Significance. [-]

    Returns
    -------
    float
        Largest deviation in standard deviations that is still ordinary. [-]

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.

    Examples
    --------
    >>> round(grubbs_critical(8, 0.05), 4)
    2.1266
    """
    t = t_quantile(1 - alpha / (2 * count), count - 2)
    return (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))


@dataclass(frozen=True, slots=True)
class OutlierTest:
    """
    What a test for outliers found.

    Parameters
    ----------
    outliers : tuple of int
        Positions of the outliers in the figures given, farthest first.
    statistic, critical : float
        The statistic that decided, and what it was compared with. [-]
    """

    outliers: tuple[int, ...]
    statistic: float
    critical: float


def _farthest(values: Sequence[float], left: Sequence[int]) -> tuple[int, float]:
    """Return the position farthest from the mean of those left, and how many standard deviations it is off."""
    among = [values[i] for i in left]
    centre, scale = mean(among), sample_sd(among)
    reach = max(abs(each - centre) for each in among)
    # Of those that are equally far, to the last bits, the first.
    worst = next(i for i in left if abs(values[i] - centre) >= reach - 1e-12 * max(abs(each) for each in among))
    # Figures that are all the same have no farthest one; so have those that differ by less than rounding.
    if scale <= 1e-12 * max(abs(each) for each in among) or scale == 0.0:
        return worst, 0.0
    return worst, abs(values[worst] - centre) / scale


def grubbs(values: Sequence[float], alpha: float) -> OutlierTest:
    r"""
    Grubbs' test for one outlier, two-sided.

    .. math:: G = \max |x_i - \bar x| / s

    Parameters
    ----------
    values : sequence of float
        At least three figures.
    alpha : float
        Significance. [-]

    Returns
    -------
    OutlierTest
        One outlier or none.

    Notes
    -----
    Supposes that all the others come from one normal population. Two outliers hide one another: a result of none is no
    proof.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.
    """
    worst, statistic = _farthest(values, range(len(values)))
    critical = grubbs_critical(len(values), alpha)
    return OutlierTest((worst,) if statistic > critical else (), statistic, critical)


def generalised_esd(values: Sequence[float], most: int, alpha: float) -> OutlierTest:
    r"""
    Test for up to `most` outliers by the generalised extreme studentised deviate.

    The farthest figure is taken out and the rest looked at again, `most` times; the number of outliers is the largest i
    for which

    .. math:: R_i > \lambda_i = \frac{(n-i) t}{\sqrt{(n-i-1+t^2)(n-i+1)}}

    with t the 1 - alpha/(2(n-i+1)) point of Student's t on n - i - 1 degrees of freedom; that is the Grubbs limit for
    the n - i + 1 figures still there.

    Parameters
    ----------
    values : sequence of float
        At least 15 figures; the handbook calls the limits very accurate from 25 and reasonably so from 15.
    most : int
        Largest number of outliers looked for.
    alpha : float
        Significance. [-]

    Returns
    -------
    OutlierTest
        The outliers, and R and its limit at the step that decided (the first step where there are none).

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3.
    """
    left = list(range(len(values)))
    steps: list[tuple[int, float, float]] = []
    for _ in range(most):
        worst, statistic = _farthest(values, left)
        steps.append((worst, statistic, grubbs_critical(len(left), alpha)))
        left.remove(worst)
    count = max((i for i, (_, statistic, limit) in enumerate(steps, start=1) if statistic > limit), default=0)
    _, statistic, critical = steps[max(count, 1) - 1]
    return OutlierTest(tuple(worst for worst, _, _ in steps[:count]), statistic, critical)
