"""From the odds of states to main causes, and to an answer in one word."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringtrue.diagnosis.causes import CHARGE, LEAKS, Cause, Practice
from ringtrue.diagnosis.cells import Cells
from ringtrue.diagnosis.explanation import Answer, Odds, Unsure

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NAMED_FROM = 0.5
"""A cause is named from this probability on; so are a leak whose path is not known, and charge or timing. [-]"""
NEARLY_ALL = 0.85
"""A leak whose path has this share of the odds of all leaks is named by it. [-]"""


def causes_of(states: Floats, cells: Cells, practice: Practice) -> tuple[Odds, ...]:
    """
    Sum states into main causes.

    Parameters
    ----------
    states : ndarray, shape (C,)
        Odds of the states, summing to 1. [-]
    cells : Cells
        The states.
    practice : Practice
        Causes that are possible.

    Returns
    -------
    tuple of Odds
        The likeliest first, summing to 1.
    """
    sums = dict(zip(Cause, (cells.by_cause @ states).tolist(), strict=True))
    found = {cause: sums[cause] for cause in Cause if cause in practice.causes or cause is Cause.SOUND}
    total = math.fsum(found.values())
    order = list(Cause)
    shares = sorted(found.items(), key=lambda pair: (-pair[1], order.index(pair[0])))
    return tuple(Odds(cause, odds / total) for cause, odds in shares)


def answer_of(causes: Sequence[Odds]) -> Answer:
    """
    Say in one word what the odds of a cylinder amount to.

    Parameters
    ----------
    causes : sequence of Odds
        The likeliest first.

    Returns
    -------
    Answer
        A cause from `NAMED_FROM` on; else a leak, its path named where it holds `NEARLY_ALL` of the odds of leaks; else
        charge or timing; else undecided.
    """
    odds = {each.cause: each.probability for each in causes}
    best = causes[0]
    if best.probability >= NAMED_FROM:
        return Answer(best.cause, best.probability)
    leak = math.fsum(odds.get(cause, 0.0) for cause in LEAKS)
    charge = math.fsum(odds.get(cause, 0.0) for cause in CHARGE)
    if leak >= NAMED_FROM:
        if best.cause in LEAKS and best.probability >= NEARLY_ALL * leak:
            return Answer(best.cause, best.probability)
        return Answer(Unsure.LEAK_PATH_UNKNOWN, leak)
    if charge >= NAMED_FROM:
        return Answer(Unsure.CHARGE_OR_TIMING, charge)
    return Answer(Unsure.UNDECIDED, best.probability)
