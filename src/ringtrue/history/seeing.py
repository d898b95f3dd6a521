"""What a gauge, a hand and a number of repeats can see, before a test is taken."""

from __future__ import annotations

import math
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
    if cylinders < 2 or pressure <= 0:  # noqa: PLR2004 - alone it has no siblings
        return None
    own = math.hypot(
        beside_siblings(now, 0.0, Final(pressure, pulls)),
        beside_siblings(then or now, 0.0, Final(pressure, pulls_then)),
    )
    spread = math.hypot(own, of_middle([Figure(pressure, own)] * (cylinders - 1)).own) / pressure
    of, surely = NormalDist(), surely_for(cylinders)
    looks, lower = (1 - math.exp(-(of.inv_cdf(1 - each) + of.inv_cdf(FOUND)) * spread) for each in (SELDOM, surely))
    return Sight(pulls, looks, lower)
