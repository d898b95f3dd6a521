"""Student's t: quantiles and tails, without a library of statistics at run time."""

from __future__ import annotations

import math
from functools import lru_cache

_TERMS, _ENOUGH, _TINY = 400, 1e-16, 1e-300


@lru_cache(maxsize=1024)
def t_quantile(probability: float, freedom: float) -> float:
    r"""
    Return the quantile of Student's t.

    With :math:`P(|T| > t) = I_x(\nu/2, 1/2)`, :math:`x = \nu / (\nu + t^2)`; x is halved in on between 0 and 1.

    Parameters
    ----------
    probability : float
        Of a t below it, above one half and below 1. [-]
    freedom : float
        Degrees of freedom, above 0. [-]

    Returns
    -------
    float
        The quantile. [-]

    References
    ----------
    .. [1] Abramowitz, M. and Stegun, I. A. (eds.), Handbook of Mathematical Functions, 26.7.1 (from memory).

    Examples
    --------
    >>> round(t_quantile(0.975, 10), 3)
    2.228
    """
    # In the logarithm of t, which keeps its digits for the smallest and the largest freedom.
    low, high = -40.0, 40.0
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if t_beyond(math.exp(middle), freedom) > 2 * (1 - probability) else (low, middle)
    return math.exp((low + high) / 2)


def t_beyond(t: float, freedom: float) -> float:
    """
    Return how likely a t is that lies farther from zero, on either side.

    Parameters
    ----------
    t : float
        The t that was found. [-]
    freedom : float
        Degrees of freedom, above 0. [-]

    Returns
    -------
    float
        Two-sided probability. [-]

    Examples
    --------
    >>> round(t_beyond(2.228, 10), 3)
    0.05
    """
    if math.isinf(t):
        return 0.0
    return _beta(freedom / 2, 0.5, freedom, t * t)


def _beta(a: float, b: float, rest: float, part: float) -> float:
    """
    Return the regularised incomplete beta function at x = rest / (rest + part).

    By its continued fraction, after Lentz; on the other side of its middle by its complement (DLMF 8.17.4 and 8.17.22,
    from memory).
    """
    if part == 0:
        return 1.0
    x, other = rest / (rest + part), part / (rest + part)
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta(b, a, part, rest)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(other)
    c, d = 1.0, 1 / _not_nothing(1 - (a + b) * x / (a + 1))
    found = d
    for m in range(1, _TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _not_nothing(1 + term * d)
            c = _not_nothing(1 + term / c)
            found *= c * d
        if abs(c * d - 1) < _ENOUGH:
            break
    return math.exp(front) * found / a


def _not_nothing(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
