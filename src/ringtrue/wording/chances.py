"""Probabilities as plain odds: no more digits than they are worth, and never a certainty."""

from __future__ import annotations

import math

RARE = 0.01
"""Below this, and above one less it, no closer odds are told. [-]"""

_PLAIN = (
    (1, 50),
    (1, 20),
    (1, 10),
    (1, 5),
    (1, 4),
    (1, 3),
    (2, 5),
    (1, 2),
    (3, 5),
    (2, 3),
    (3, 4),
    (4, 5),
    (9, 10),
    (19, 20),
    (49, 50),
)


def odds(probability: float) -> str:
    """
    Tell a probability as a person would.

    Parameters
    ----------
    probability : float
        [-]

    Returns
    -------
    str
        The nearest of a few plain odds, by their logarithm; never a certainty, for none of these is one.

    Examples
    --------
    >>> odds(0.81), odds(0.955), odds(0.0), odds(1.0)
    ('about 4 in 5', 'about 19 in 20', 'less than 1 in 100', 'more than 99 in 100')
    """
    if probability < RARE:
        return "less than 1 in 100"
    if probability > 1 - RARE:
        return "more than 99 in 100"
    wanted = _log_odds(probability)
    part, whole = min(_PLAIN, key=lambda pair: abs(_log_odds(pair[0] / pair[1]) - wanted))
    return f"about {part} in {whole}"


def _log_odds(probability: float) -> float:
    return math.log(probability / (1 - probability))
