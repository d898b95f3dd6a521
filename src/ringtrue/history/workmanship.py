"""
A shop's builds as control charts: whether they are still what they were, or get better, or worse.

What is charted is the root of each engine's mean deviation at hand-over. A mean deviation is never below zero and
leans to the right; its root does so hardly at all, for four cylinders and for twelve.
Engines of different size are evened first (`ringtrue.history.builds`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from ringtrue.history.builds import Build, Level, evened, level, usual_size
from ringtrue.history.charts import Cusum, Ewma, Individuals, began, cusum, ewma, individuals
from ringtrue.measure.statistics import mean

FEWEST = 10
"""Builds without which no limits are drawn. [-]"""

BASELINE = 20
"""Builds that make the limits, where nothing else is said (common practice: 20 to 25). [-]"""

AHEAD = 50
"""Builds after the baseline for which false signals are told. [-]"""

FALSE_SIGNALS = 0.10
"""How often each chart gives a false signal within so many builds, of a shop that stays the same. [-]"""

WEIGHT = 0.2
"""Of the newest build in the average. [-]"""

ALLOWANCE = 0.5
"""What the sums let pass, in standard deviations: half of the change that is to be found. [-]"""

LATELY = 20
"""At most so many of the last builds are what is said of late. [-]"""

REACHES = (
    (10, 4.26, 4.65, 13.90),
    (12, 4.06, 4.39, 11.89),
    (15, 3.86, 4.11, 10.06),
    (20, 3.68, 3.83, 8.46),
    (25, 3.56, 3.65, 7.53),
    (30, 3.46, 3.53, 7.02),
    (40, 3.38, 3.41, 6.45),
    (50, 3.32, 3.31, 6.15),
    (75, 3.24, 3.20, 5.71),
    (100, 3.19, 3.14, 5.46),
    (200, 3.13, 3.04, 5.21),
    (math.inf, 3.07, 2.96, 4.90),
)
"""
Builds in the baseline, and limits of the single build, the average and the sums, in standard deviations: each chart
then gives a false signal within the next 50 builds 1 time in 10. Limits that are made of few builds are themselves
uncertain, and lie farther out for it. Simulated by this program (40,000 shops a line, normal figures, standard
deviation from the moving range); with limits known for certain they are near the usual 3, 3 and 5.
"""


class Chart(StrEnum):
    """Which chart tells."""

    SINGLE = "single build"
    AVERAGE = "average"
    SUMS = "sums"


_PAUSE = 5
"""Builds without which an average or a sum that comes back within its limits is not taken to have done so. [-]"""


@dataclass(frozen=True, slots=True)
class Reach:
    """
    How far limits lie from the middle.

    Parameters
    ----------
    single, average, sums : float
        Of each chart, in standard deviations of it. [-]
    """

    single: float
    average: float
    sums: float


def reach(baseline: int) -> Reach:
    """
    Return how far limits lie, when so many builds make them.

    Parameters
    ----------
    baseline : int
        Builds in the baseline, at least `FEWEST`.

    Returns
    -------
    Reach
        Between two lines of `REACHES`, in a straight line over one over the count.

    Examples
    --------
    >>> reach(20)
    Reach(single=3.68, average=3.83, sums=8.46)
    """
    few, many = next(pair for pair in pairwise(REACHES) if pair[0][0] <= baseline <= pair[1][0])
    share = (1 / few[0] - 1 / baseline) / (1 / few[0] - 1 / many[0])
    return Reach(*(a + share * (b - a) for a, b in zip(few[1:], many[1:], strict=True)))


@dataclass(frozen=True, slots=True)
class Signal:
    """
    What a chart tells.

    Parameters
    ----------
    chart : Chart
        Which.
    at : int
        The build at which it tells, from 0.
    wider : bool
        Finals lie wider apart than before; else they are more alike.
    began : int
        Where the change seems to have begun, from 0; the same build for a single one.
    lasts : bool
        It still tells so at the last build.
    may_be_gauge : bool
        Gauge and hand alone may make as much, or are coarser than in the baseline.
    """

    chart: Chart
    at: int
    wider: bool
    began: int
    lasts: bool
    may_be_gauge: bool


@dataclass(frozen=True, slots=True)
class Charted:
    """
    Builds, charted.

    Parameters
    ----------
    builds : tuple of Build
        In the order of hand-over.
    size : int
        Cylinders that most of them have: mean deviations are evened to as many.
    evened : tuple of float
        Mean deviations, evened. [%]
    baseline : int
        So many of the first make the limits.
    single : Individuals
        Of the roots.
    average : Ewma
        Of the roots after the baseline.
    sums : Cusum
        Of the roots after the baseline, in standard deviations.
    reach : Reach
        How far the limits lie.
    signals : tuple of Signal
        What they tell, in the order of the builds.
    before : Level
        What the builds of the baseline are like.
    lately : Level or None
        The last ones after it; None with fewer than three.
    """

    builds: tuple[Build, ...]
    size: int
    evened: tuple[float, ...]
    baseline: int
    single: Individuals
    average: Ewma
    sums: Cusum
    reach: Reach
    signals: tuple[Signal, ...]
    before: Level
    lately: Level | None

    @property
    def upper(self) -> float:
        """A single build is expected to stay below it. [%]."""
        return self.single.upper**2

    @property
    def middle(self) -> float:
        """What the builds of the baseline are like. [%]."""
        return self.single.centre**2


def chart_builds(builds: Sequence[Build], baseline: int = BASELINE) -> Charted | None:
    """
    Chart builds.

    Parameters
    ----------
    builds : sequence of Build
        In the order of hand-over, each with at least `FEWEST_CYLINDERS`.
    baseline : int
        So many of the first make the limits, at least `FEWEST`; all of them where there are no more.

    Returns
    -------
    Charted or None
        None with fewer than `FEWEST`, or where the first are all the same to the last digit.
    """
    count = min(baseline, len(builds))
    if count < FEWEST:
        return None
    size = usual_size(builds)
    even = evened(builds, size)
    roots = [math.sqrt(each) for each in even]
    far = reach(count)
    single = individuals(roots, count, far.single)
    if single.sigma <= 0:
        return None
    later = roots[count:]
    average = ewma(later, single.centre, single.sigma, WEIGHT, far.average)
    sums = cusum([(each - single.centre) / single.sigma for each in later], 0.0, ALLOWANCE)
    coarser = _coarser(builds, count)
    singles = _singles(builds, roots, single)
    by_itself = {each.at for each in singles}
    signals = [
        *singles,
        # What one build has done by itself is told once.
        *(each for each in _runs(average, count, coarser) if each.lasts or each.at not in by_itself),
        *_sum_runs(sums, far.sums, count, coarser),
    ]
    return Charted(
        tuple(builds),
        size,
        even,
        count,
        single,
        average,
        sums,
        far,
        tuple(sorted(signals, key=lambda each: (each.at, list(Chart).index(each.chart)))),
        level(builds[:count], size),
        level(builds[count:][-LATELY:], size) if len(later) > 2 else None,  # noqa: PLR2004 - two are no level
    )


def _coarser(builds: Sequence[Build], baseline: int) -> Callable[[int, int], bool]:
    """Return what tells whether gauges read more coarsely between two builds than in the baseline."""

    def scatter(among: Sequence[Build]) -> float | None:
        known = [each.scatter**2 for each in among if each.scatter is not None]
        return mean(known) if known else None

    before = scatter(builds[:baseline])

    def coarser(first: int, last: int) -> bool:
        now = scatter(builds[first : last + 1])
        return before is not None and now is not None and now > 1.5 * before

    return coarser


def _singles(builds: Sequence[Build], roots: Sequence[float], single: Individuals) -> list[Signal]:
    """Tell of builds wider apart than expected; one that is more alike says nothing by itself."""
    return [
        Signal(Chart.SINGLE, at, wider=True, began=at, lasts=at == len(roots) - 1, may_be_gauge=of.may_be_the_gauge)
        for at, (of, root) in enumerate(zip(builds, roots, strict=True))
        if root > single.upper
    ]


def _firsts(beyond: Sequence[bool]) -> list[tuple[int, bool]]:
    """Return where each run begins, and whether it reaches the end; a few builds in between do not end one."""
    found: list[tuple[int, bool]] = []
    last = -math.inf
    for at, now in enumerate(beyond):
        if now:
            if at - last > _PAUSE:
                found.append((at, False))
            last = at
    if beyond and beyond[-1]:
        found[-1] = found[-1][0], True
    return found


def _runs(average: Ewma, count: int, coarser: Callable[[int, int], bool]) -> list[Signal]:
    signals = []
    for wider in (True, False):
        beyond = [
            value > upper if wider else value < lower
            for value, lower, upper in zip(average.values, average.lower, average.upper, strict=True)
        ]
        for at, lasts in _firsts(beyond):
            first = max(at - round(1 / WEIGHT) + 1, 0)
            signals.append(
                Signal(
                    Chart.AVERAGE, count + at, wider, count + first, lasts, wider and coarser(count + first, count + at)
                )
            )
    return signals


def _sum_runs(sums: Cusum, limit: float, count: int, coarser: Callable[[int, int], bool]) -> list[Signal]:
    signals = []
    for wider, side in ((True, sums.above), (False, sums.below)):
        for at, lasts in _firsts([each > limit for each in side]):
            first = began(side, at)
            signals.append(
                Signal(
                    Chart.SUMS, count + at, wider, count + first, lasts, wider and coarser(count + first, count + at)
                )
            )
    return signals
