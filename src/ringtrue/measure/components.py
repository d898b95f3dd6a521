"""Intervals of components of variance, from mean squares."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ringtrue.measure.anova import Source
from ringtrue.measure.quantiles import chi2_quantile, f_quantile

ONE_SIDE = 0.05
"""What lies beyond either end of an interval: they are 90 % intervals. [-]"""

Term = tuple[float, Source]
"""A factor, and the source whose mean square it goes with."""


def sum_interval(terms: Sequence[Term]) -> tuple[float, float]:
    r"""
    Return the interval of a sum of expected mean squares.

    .. math:: \hat\gamma - \sqrt{\sum G_i^2 c_i^2 S_i^4}, \quad \hat\gamma + \sqrt{\sum H_i^2 c_i^2 S_i^4}, \quad
        G_i = 1 - \frac{\nu_i}{\chi^2_{1-\alpha}(\nu_i)}, \quad H_i = \frac{\nu_i}{\chi^2_{\alpha}(\nu_i)} - 1

    Parameters
    ----------
    terms : sequence of Term
        Factors are not below 0.

    Returns
    -------
    tuple of float
        Its ends. For one mean square they are the exact ones. [unit squared]

    References
    ----------
    .. [1] Graybill and Wang, Confidence intervals on nonnegative linear combinations of variances, Journal of the
       American Statistical Association 75, 1980 (modified large sample method; from memory).
    """
    middle = math.fsum(factor * source.mean_square for factor, source in terms)
    down = math.hypot(*(_g(source) * factor * source.mean_square for factor, source in terms))
    up = math.hypot(*(_h(source) * factor * source.mean_square for factor, source in terms))
    return max(middle - down, 0.0), middle + up


def difference_interval(plus: Source, minus: Source, over: float) -> tuple[float, float]:
    r"""
    Return the interval of a difference of two expected mean squares, over a number.

    .. math:: V_L = G_1^2 S_1^4 + H_2^2 S_2^4 + G_{12} S_1^2 S_2^2, \quad
        G_{12} = \frac{(F-1)^2 - G_1^2 F^2 - H_2^2}{F}, \quad F = F_{1-\alpha}(\nu_1, \nu_2)

    and for the upper end with G and H exchanged and F at alpha.

    Parameters
    ----------
    plus, minus : Source
        The two.
    over : float
        What their difference is divided by. [-]

    Returns
    -------
    tuple of float
        Its ends, neither below 0. [unit squared]

    References
    ----------
    .. [1] Ting, Burdick, Graybill, Jeyaratnam and Lu, Confidence intervals on linear combinations of variance
       components that are unrestricted in sign, Journal of Statistical Computation and Simulation 35, 1990 (from
       memory).
    .. [2] Burdick, Borror and Montgomery, A review of methods for measurement systems capability analysis, Journal of
       Quality Technology 35, 2003 (from memory).
    """
    one, other = plus.mean_square, minus.mean_square
    upper = f_quantile(1 - ONE_SIDE, plus.freedom, minus.freedom)
    cross = ((upper - 1) ** 2 - (_g(plus) * upper) ** 2 - _h(minus) ** 2) / upper
    down = (_g(plus) * one) ** 2 + (_h(minus) * other) ** 2 + cross * one * other
    lower = f_quantile(ONE_SIDE, plus.freedom, minus.freedom)
    cross = ((1 - lower) ** 2 - (_h(plus) * lower) ** 2 - _g(minus) ** 2) / lower
    up = (_h(plus) * one) ** 2 + (_g(minus) * other) ** 2 + cross * one * other
    low = (one - other - math.sqrt(max(down, 0.0))) / over
    high = (one - other + math.sqrt(max(up, 0.0))) / over
    return max(low, 0.0), max(high, 0.0)


def _g(source: Source) -> float:
    return 1 - source.freedom / chi2_quantile(1 - ONE_SIDE, source.freedom)


def _h(source: Source) -> float:
    return source.freedom / chi2_quantile(ONE_SIDE, source.freedom) - 1
