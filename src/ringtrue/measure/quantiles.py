"""Chances and quantiles of chi-squared, F and the normal distribution."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from statistics import NormalDist

_STEPS = 60
"""Halvings of an interval of a regularised function: below the last bit of a double."""


def normal_quantile(chance: float) -> float:
    """
    Return the point of the normal distribution below which a chance lies.

    Parameters
    ----------
    chance : float
        Between 0 and 1. [-]

    Returns
    -------
    float
        In standard deviations. [-]

    Examples
    --------
    >>> round(normal_quantile(0.95), 4)
    1.6449
    """
    return NormalDist().inv_cdf(chance)


@lru_cache(maxsize=1024)
def f_beyond(value: float, above: int, below: int) -> float:
    r"""
    Return the chance of an F that is larger.

    .. math:: I_x\left(\frac{d_2}{2}, \frac{d_1}{2}\right), \quad x = \frac{d_2}{d_2 + d_1 F}

    Parameters
    ----------
    value : float
        F, not below 0. [-]
    above, below : int
        Degrees of freedom of numerator and denominator.

    Returns
    -------
    float
        Between 0 and 1. [-]

    References
    ----------
    .. [1] Abramowitz, M. and Stegun, I. A. (eds.), Handbook of Mathematical Functions, 26.6.2 (from memory).

    Examples
    --------
    >>> round(f_beyond(4.965, 1, 10), 4)
    0.05
    """
    return _beta(below / 2, above / 2, below / (below + above * value))


@lru_cache(maxsize=1024)
def f_quantile(chance: float, above: int, below: int) -> float:
    """
    Return the F below which a chance lies.

    Parameters
    ----------
    chance : float
        Between 0 and 1. [-]
    above, below : int
        Degrees of freedom of numerator and denominator.

    Returns
    -------
    float
        F. [-]

    Examples
    --------
    >>> round(f_quantile(0.95, 1, 10), 3)
    4.965
    """
    x = _solved(lambda x: _beta(below / 2, above / 2, x), 1 - chance)
    return below * (1 - x) / (above * x)


@lru_cache(maxsize=1024)
def chi2_quantile(chance: float, freedom: int) -> float:
    r"""
    Return the chi-squared below which a chance lies.

    .. math:: P\left(\frac{\nu}{2}, \frac{\chi^2}{2}\right) = p

    Parameters
    ----------
    chance : float
        Between 0 and 1. [-]
    freedom : int
        Degrees of freedom.

    Returns
    -------
    float
        Chi-squared. [-]

    References
    ----------
    .. [1] Abramowitz, M. and Stegun, I. A. (eds.), Handbook of Mathematical Functions, 26.4.19 (from memory).

    Examples
    --------
    >>> round(chi2_quantile(0.95, 1), 3)
    3.841
    """
    import mpmath

    context = mpmath.MPContext()

    def below(x: float) -> float:
        # x in (0, 1) stands for chi-squared from 0 to infinity.
        return float(context.gammainc(freedom / 2, 0, freedom * x / (1 - x) / 2, regularized=True))

    x = _solved(below, chance)
    return freedom * x / (1 - x)


def _beta(one: float, other: float, x: float) -> float:
    import mpmath

    # A context of our own: the functions of the common one move its working precision, which threads would share.
    return float(mpmath.MPContext().betainc(one, other, 0, x, regularized=True))


def _solved(rising: Callable[[float], float], wanted: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < wanted else (low, middle)
    return (low + high) / 2
