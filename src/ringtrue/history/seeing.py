"""What a gauge, a hand and a number of repeats can see, before a test is taken."""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

from ringtrue.history.carrying import Figure, of_middle
from ringtrue.history.changing import SELDOM, surely_for
from ringtrue.measure.uncertainty import Final, beside_siblings

if TYPE_CHECKING:
    from ringtrue.measure.gauges import GaugeError

FOUND = 0.9
"""How often the loss that is told is found. [-]"""
MOST_PULLS = 20
"""More pulls of a cylinder than this nobody takes. [-]"""


@dataclass(frozen=True, slots=True)
class Sight:
    """
    The smallest loss of one cylinder that is found 9 times in 10.

    Parameters
    ----------
    pulls : int
        Pulls of every cylinder, now.
    looks, lower : float
        Share of its final that a cylinder must lose beside its siblings to look lower, and to be called lower. [-]
    """

    pulls: int
    looks: float
    lower: float


def sight(
    now: GaugeError, pulls: int, then: GaugeError | None, pulls_then: int, *, pressure: float, cylinders: int
) -> Sight | None:
    r"""
    Return the smallest loss that a test will find.

    .. math:: 1 - e^{-(z_{1-\alpha} + z_{0.9}) \sigma}

    with sigma the standard deviation of a cylinder's final now over then, over the median of the same of its siblings.

    Parameters
    ----------
    now : GaugeError
        How the gauge errs.
    pulls : int
        Pulls of every cylinder.
    then : GaugeError or None
        How the gauge of the baseline did; None where it was the same.
    pulls_then : int
        Pulls of every cylinder at the baseline.
    pressure : float
        About what the finals will be. [Pa gauge]
    cylinders : int
        How many the engine has.

    Returns
    -------
    Sight or None
        None for fewer than two cylinders, or no pressure.

    Notes
    -----
    One-sided: a loss is looked for. False alarms are those of `ringtrue.history.changing`: 1 sound cylinder in 20 looks
    lower; 1 sound engine in 20 has one that is called lower. The day's drift is not in it.

    References
    ----------
    .. [1] Montgomery, Design and Analysis of Experiments: power of a test on two means (from memory).
    """
    own = math.hypot(
        beside_siblings(now, 0.0, Final(pressure, pulls)),
        beside_siblings(then or now, 0.0, Final(pressure, pulls_then)),
    )
    return _sight(own, pulls, pressure, cylinders)


def sight_of_one(error: GaugeError, pulls: int, *, pressure: float, cylinders: int) -> Sight | None:
    """
    Return by how little a cylinder may stand below its siblings and one test still finds it.

    Parameters
    ----------
    error : GaugeError
        How the gauge errs.
    pulls : int
        Pulls of every cylinder.
    pressure : float
        About what the finals will be. [Pa gauge]
    cylinders : int
        How many the engine has.

    Returns
    -------
    Sight or None
        None for fewer than two cylinders, or no pressure.

    Notes
    -----
    As `sight`, with nothing but the one test in it: its final over the median of its siblings.
    """
    return _sight(beside_siblings(error, 0.0, Final(pressure, pulls)), pulls, pressure, cylinders)


def pulls_to_see(share: float, sees: Callable[[int], Sight | None]) -> int | None:
    """
    Return how many pulls of every cylinder find a loss.

    Parameters
    ----------
    share : float
        The loss. [-]
    sees : callable
        What so many pulls see.

    Returns
    -------
    int or None
        The fewest; None where `MOST_PULLS` do not.
    """

    def enough(pulls: int) -> bool:
        found = sees(pulls)
        return found is not None and found.looks <= share

    if not enough(MOST_PULLS):
        return None
    # What is seen never grows with the pulls, so halving finds the fewest.
    return 1 + bisect.bisect_left(range(1, MOST_PULLS), 1, key=lambda pulls: int(enough(pulls)))


def _sight(own: float, pulls: int, pressure: float, cylinders: int) -> Sight | None:
    if cylinders < 2 or pressure <= 0:  # noqa: PLR2004 - alone it has no siblings
        return None
    spread = math.hypot(own, of_middle([Figure(pressure, own)] * (cylinders - 1)).own) / pressure
    of, surely = NormalDist(), surely_for(cylinders)
    looks, lower = (1 - math.exp(-(of.inv_cdf(1 - each) + of.inv_cdf(FOUND)) * spread) for each in (SELDOM, surely))
    return Sight(pulls, looks, lower)
