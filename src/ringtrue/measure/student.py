"""Student's t: quantiles and tails, without a library of statistics at run time."""

from __future__ import annotations

import math
from functools import lru_cache


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
    import mpmath

    context = mpmath.MPContext()

    def beyond(x: object) -> object:
        return context.betainc(freedom / 2, 0.5, 0, x, regularized=True) - 2 * (1 - probability)

    x = float(context.findroot(beyond, (0, 1), solver="bisect", tol=2.0**-53, maxsteps=60))
    return math.sqrt(freedom * (1 - x) / x)


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
    import mpmath

    if math.isinf(t):
        return 0.0
    x = freedom / (freedom + t * t)
    return float(mpmath.MPContext().betainc(freedom / 2, 0.5, 0, x, regularized=True))
