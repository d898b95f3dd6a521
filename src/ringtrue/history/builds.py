r"""
Builds at their hand-over: how even their finals are, what gauge and hand make of it, and what several of them are like.

Of n cylinders that scatter alike the mean deviation is expected to be :math:`\sqrt{2/\pi}\sqrt{(n-1)/n}` standard
deviations: mean deviations of engines of different size are evened by it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.measure.statistics import mean, sample_sd
from ringtrue.measure.student import t_quantile

FEWEST_CYLINDERS = 3
"""An engine with fewer has no mean deviation to speak of. [-]"""

_ROOT = math.sqrt(2 / math.pi)
_HALF, _SIDE = 0.975, 1.6448536269514722


@dataclass(frozen=True, slots=True)
class Build:
    """
    One engine at its hand-over.

    Parameters
    ----------
    engine, name : str
        How the book knows it, and what it is called.
    test_id : str
        The hand-over test.
    date : str
        Of that test, ISO; empty when not said.
    cylinders : int
        How many were read.
    deviation : float
        Mean deviation of the finals, over their mean. [%]
    scatter : float or None
        Standard uncertainty of one cylinder beside its siblings, over the mean: gauge and hand; None when the gauge is
        not known. [%]
    gauge : str
        Its name; empty when not said.
    """

    engine: str
    name: str
    test_id: str
    date: str
    cylinders: int
    deviation: float
    scatter: float | None = None
    gauge: str = ""

    @property
    def gauge_alone(self) -> float | None:
        """Mean deviation that gauge and hand alone are expected to show, on cylinders that are all alike. [%]."""
        return None if self.scatter is None else _ROOT * evening(self.cylinders) * self.scatter

    @property
    def gauge_at_most(self) -> float | None:
        """Mean deviation that they alone exceed 1 time in 20. [%]."""
        if self.scatter is None:
            return None
        return self.scatter * (_ROOT * evening(self.cylinders) + _SIDE * scatter_of_deviation(self.cylinders))

    @property
    def may_be_the_gauge(self) -> bool:
        """The mean deviation is no larger than gauge and hand alone may make it."""
        most = self.gauge_at_most
        return most is not None and self.deviation <= most


def evening(cylinders: int) -> float:
    r"""
    Return by how much a mean deviation falls short for being taken from the mean of the few.

    .. math:: \sqrt{(n - 1) / n}

    Parameters
    ----------
    cylinders : int
        How many, at least two.

    Returns
    -------
    float
        1 for very many. [-]

    Examples
    --------
    >>> round(evening(4), 4)
    0.866
    """
    return math.sqrt((cylinders - 1) / cylinders)


def scatter_of_deviation(cylinders: int) -> float:
    r"""
    Return the standard deviation of a mean deviation, for a standard deviation of 1 from cylinder to cylinder.

    .. math::

        \sqrt{\frac{2 (n-1)}{\pi n^2} \left(\frac{\pi}{2} + \sqrt{n (n-2)} - n + \arcsin \frac{1}{n-1}\right)}

    Parameters
    ----------
    cylinders : int
        How many, at least two.

    Returns
    -------
    float
        Of the mean deviation. [-]

    References
    ----------
    .. [1] Herrey, E. M. J., Confidence intervals based on the mean absolute deviation of a normal sample, Journal of
       the American Statistical Association 60 (1965) 257-269 (from memory).
    """
    n = cylinders
    inside = math.pi / 2 + math.sqrt(n * (n - 2)) - n + math.asin(1 / (n - 1))
    return math.sqrt(2 * (n - 1) / (math.pi * n * n) * inside)


@dataclass(frozen=True, slots=True)
class Level:
    """
    What several builds are like.

    Parameters
    ----------
    count : int
        How many.
    typical : float
        Square of the mean root: half of such builds lie above it, about. [%]
    low, high : float
        95 % interval of it; of one build, the same. [%]
    own : float or None
        What is left of it when gauge and hand are taken out; None when a gauge is not known. [%]
    """

    count: int
    typical: float
    low: float
    high: float
    own: float | None


def usual_size(builds: Sequence[Build]) -> int:
    """Return how many cylinders most builds have; the larger number of two that are as frequent."""
    return max(Counter(each.cylinders for each in builds).items(), key=lambda each: (each[1], each[0]))[0]


def evened(builds: Sequence[Build], size: int) -> tuple[float, ...]:
    """
    Even mean deviations to one number of cylinders.

    Parameters
    ----------
    builds : sequence of Build
        With at least `FEWEST_CYLINDERS` each.
    size : int
        That number.

    Returns
    -------
    tuple of float
        [%]
    """
    return tuple(each.deviation * evening(size) / evening(each.cylinders) for each in builds)


def level(builds: Sequence[Build], size: int) -> Level:
    """
    Return what several builds are like.

    Parameters
    ----------
    builds : sequence of Build
        At least one.
    size : int
        Cylinders to which they are evened.

    Returns
    -------
    Level
        With its 95 % interval, by Student's t on the roots.
    """
    roots = [math.sqrt(each) for each in evened(builds, size)]
    middle, half = mean(roots), 0.0
    if len(roots) > 1:
        half = t_quantile(_HALF, len(roots) - 1) * sample_sd(roots) / math.sqrt(len(roots))
    return Level(len(roots), middle**2, max(middle - half, 0.0) ** 2, (middle + half) ** 2, _own(builds, size, middle))


def _own(builds: Sequence[Build], size: int, middle: float) -> float | None:
    """Take gauge and hand out of a level, as variances."""
    known = [each.scatter for each in builds if each.scatter is not None]
    if len(known) < len(builds):
        return None
    as_sd = _ROOT * evening(size)
    whole = (middle**2 / as_sd) ** 2
    return as_sd * math.sqrt(max(whole - mean([each * each for each in known]), 0.0))
