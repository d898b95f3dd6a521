"""
The course of an engine: straight lines through its tests, with what the tests share and what each has for itself.

Everything is in natural logarithms of finals carried to one day: a straight line in them is a steady share lost for
every mile or hour.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from ringtrue.compression import Band, Gauge
from ringtrue.history.carrying import Carried, Figure, is_same_gauge, middles_of_others, of_middle
from ringtrue.history.changing import SELDOM, Says, corrected_alike, says_of, surely_for

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_WIDE = 1.959963984540054
_LINE = 2
"""Figures that make a straight line. [-]"""


class Axis(StrEnum):
    """Along what the course of an engine runs."""

    DISTANCE = "distance"
    RUNNING_TIME = "running time"
    DATE = "date"


@dataclass(frozen=True, slots=True)
class Rate:
    """
    How fast something changes.

    Parameters
    ----------
    rate : Band
        Change of the natural logarithm of the final, with its 95 % interval. [1/m or 1/s]
    says : Says
        What that says.
    """

    rate: Band
    says: Says


@dataclass(frozen=True, slots=True)
class Lines:
    """
    Straight lines through the course of every cylinder, with what is not known of them.

    Parameters
    ----------
    cylinders : tuple of str
        Cylinders that have a line: read above zero at every test.
    at : tuple of float
        Where each test stands. [m or s]
    levels : ndarray, shape (tests, cylinders)
        Natural logarithms of the finals, carried. [-, of Pa gauge]
    own : ndarray, shape (tests, cylinders)
        Standard deviations that each has for itself. [-]
    shared : ndarray, shape (tests, tests)
        Covariance of what all cylinders of a test share: its day, and the shift of its gauge. [-]
    """

    cylinders: tuple[str, ...]
    at: tuple[float, ...]
    levels: Floats
    own: Floats
    shared: Floats


@dataclass(frozen=True, slots=True)
class Trend:
    """
    Where an engine is going.

    Parameters
    ----------
    lines : Lines or None
        None where no straight line can be drawn: fewer than two places, or no cylinder with a course.
    engine : Rate or None
        Of the middle of the engine, by day, height, starter and gauge as uncertain as they are.
    cylinders : mapping of str to Rate
        Of each cylinder beside its siblings, which needs none of these.
    scatter : float
        Standard deviations of the cylinders' readings about their lines, over what the readings leave open; 1 where
        there are not three tests. [-]
    widened : bool
        They lie farther off their lines than the readings leave open: intervals are as much wider.
    """

    lines: Lines | None
    engine: Rate | None
    cylinders: Mapping[str, Rate]
    scatter: float
    widened: bool


def trend(tests: Sequence[Carried], logs: Floats, at: Sequence[float]) -> Trend:
    r"""
    Draw straight lines through the course of an engine.

    .. math:: \hat\beta = (X^T C^{-1} X)^{-1} X^T C^{-1} y

    with y the natural logarithms of carried finals, X a column of ones and one of places, and C their covariance.

    Parameters
    ----------
    tests : sequence of Carried
        From the baseline on, in their order.
    logs : ndarray, shape (draws, tests)
        Natural logarithms of their factors, as `ringtrue.physics.log_factors` gives them. [-]
    at : sequence of float
        Where each stands: distance [m], running time or date [s].

    Returns
    -------
    Trend
        Rates with 95 % intervals.

    Notes
    -----
    The whole engine: the median of its cylinders, with the days' factors and the gauges' shifts in C, so that what two
    tests share does not look like wear. A cylinder beside its siblings: its logarithm less the median of the others',
    from which day, height, starter and gauge drop out. What a cylinder was built with drops out of both: it is in the
    line's beginning. A cylinder that was missed or read zero in one of the tests has no line, and a test whose gauge is
    not known is on none.

    From three tests on the cylinders' readings are held against their lines: where they scatter more than the readings
    leave open, by a chi-squared test at 5 %, every interval of cylinders is widened by the Birge ratio. A gauge that
    is fitted anew at each test scatters more than one that is left in its hole.

    References
    ----------
    .. [1] Aitken, Proceedings of the Royal Society of Edinburgh 55 (1935), 42: generalised least squares (from memory).
    .. [2] Birge, Physical Review 40 (1932), 207: the ratio of external to internal consistency (from memory).
    """
    known = [place for place, test in enumerate(tests) if test.error is not None] if at else []
    tests, at = [tests[place] for place in known], [at[place] for place in known]
    lines = _lines(tests, logs[:, known], at)
    if lines is None:
        return Trend(None, None, {}, 1.0, widened=False)
    middles = [
        of_middle(Figure(*each) for each in zip(level, own, strict=True))
        for level, own in zip(lines.levels.tolist(), lines.own.tolist(), strict=True)
    ]
    engine = _rate(lines.at, [each.value for each in middles], _with(lines.shared, [each.own for each in middles]))
    beside, scatter, widened = _beside(lines)
    rates = {name: Rate(_wide(each, scatter), _says(each, scatter, len(beside))) for name, each in beside.items()}
    whole = Rate(_wide(engine, 1.0), says_of(engine.chance(1.0), engine.slope < 0, SELDOM / 2))
    return Trend(lines, whole, rates, scatter, widened)


@dataclass(frozen=True, slots=True)
class _Line:
    """A slope with its standard deviation, and how far the figures lie off the line."""

    slope: float
    spread: float
    chi_squared: float

    def chance(self, wider: float) -> float:
        """Return how often a course without slope has one as steep on that side."""
        return 0.5 * math.erfc(abs(self.slope) / max(self.spread * wider, 1e-300) / math.sqrt(2))


def _wide(line: _Line, wider: float) -> Band:
    half = _WIDE * line.spread * wider
    return Band(line.slope, line.slope - half, line.slope + half)


def _says(line: _Line, wider: float, compared: int) -> Says:
    return says_of(line.chance(wider), line.slope < 0, surely_for(compared))


def _lines(tests: Sequence[Carried], logs: Floats, at: Sequence[float]) -> Lines | None:
    import numpy as np

    if len(tests) < _LINE or len(set(at)) < _LINE:
        return None
    read = [{each.cylinder: each for each in test.cylinders if each.read} for test in tests]
    names = tuple(name for name in read[0] if all(name in each for each in read))
    if not names:
        return None
    finals = np.array([[each[name].read or 0.0 for name in names] for each in read])
    own = np.array([[each[name].own or 0.0 for name in names] for each in read]) / finals
    levels = np.log(finals) + logs.mean(axis=0)[:, None]
    return Lines(names, tuple(at), levels, own, shared_covariance(tests, logs))


def shared_covariance(tests: Sequence[Carried], logs: Floats) -> Floats:
    """
    Return the covariance of what all cylinders of a test share.

    Parameters
    ----------
    tests : sequence of Carried
        The tests.
    logs : ndarray, shape (draws, tests)
        Natural logarithms of their factors. [-]

    Returns
    -------
    ndarray, shape (tests, tests)
        Of the natural logarithm of their level: the factors, and the shift of each gauge, which is one for all tests
        that it read and a larger share of a lower level. [-]
    """
    import numpy as np

    found = np.atleast_2d(np.cov(logs, rowvar=False))
    for gauge in [test.gauge for at, test in enumerate(tests) if not any(_alike(test, each) for each in tests[:at])]:
        share = [
            test.error.tolerance(test.middle_read) / math.sqrt(3) / test.middle_read
            if _reads_like(gauge, test.gauge) and test.error is not None and test.middle_read > 0
            else 0.0
            for test in tests
        ]
        found = found + np.outer(share, share)
    return found


def _alike(one: Carried, other: Carried) -> bool:
    return _reads_like(one.gauge, other.gauge)


def _reads_like(one: Gauge | None, other: Gauge | None) -> bool:
    """Tell whether one shift, left by one correction, is in both."""
    return is_same_gauge(one, other) is True and corrected_alike(one, other)


def _with(shared: Floats, own: Sequence[float]) -> Floats:
    """Return a covariance with what each figure has for itself; never quite singular."""
    import numpy as np

    return shared + np.diag([max(each, 1e-9) ** 2 for each in own])


def weights(at: Sequence[float], covariance: Floats) -> tuple[Floats, Floats]:
    """
    Return what makes a straight line of figures.

    Parameters
    ----------
    at : sequence of float
        Where they stand, at least two places. [any unit]
    covariance : ndarray, shape (n, n)
        Of the figures.

    Returns
    -------
    ndarray of shape (2, n) and ndarray of shape (2, 2)
        Times the figures: the line at its middle, and its slope; and the covariance of the two. The middle is the mean
        of the places.
    """
    import numpy as np

    middle = sum(at) / len(at)
    reach = max(abs(each - middle) for each in at)
    columns = np.column_stack([np.ones(len(at)), [(each - middle) / reach for each in at]])
    inverse = np.linalg.inv(covariance)
    spread = np.linalg.inv(columns.T @ inverse @ columns)
    scale = np.array([1.0, 1.0 / reach])
    return scale[:, None] * (spread @ columns.T @ inverse), np.outer(scale, scale) * spread


def _rate(at: Sequence[float], figures: Sequence[float], covariance: Floats) -> _Line:
    import numpy as np

    makes, spread = weights(at, covariance)
    y = np.asarray(figures)
    level, slope = makes @ y
    off = y - level - slope * (np.asarray(at) - sum(at) / len(at))
    return _Line(float(slope), math.sqrt(float(spread[1, 1])), float(off @ np.linalg.solve(covariance, off)))


def _beside(lines: Lines) -> tuple[dict[str, _Line], float, bool]:
    """Return the line of each cylinder beside its siblings, and how much wider its interval has to be."""
    import numpy as np

    tests, count = lines.levels.shape
    if count < _LINE:
        return {}, 1.0, False
    beside = np.empty_like(lines.levels)
    spread = np.empty_like(lines.levels)
    for test in range(tests):
        row = [Figure(*each) for each in zip(lines.levels[test].tolist(), lines.own[test].tolist(), strict=True)]
        for place, others in enumerate(middles_of_others(row)):
            beside[test, place] = row[place].value - others.value
            spread[test, place] = math.hypot(row[place].own, others.own)
    found = {
        name: _rate(lines.at, beside[:, place].tolist(), np.diag(np.maximum(spread[:, place], 1e-9) ** 2))
        for place, name in enumerate(lines.cylinders)
    }
    free = (count - 1) * (tests - _LINE)
    if free == 0 or not lines.own.any():
        return found, 1.0, False
    # Beside their siblings n cylinders have n - 1 courses of their own.
    chi_squared = sum(each.chi_squared for each in found.values()) * (count - 1) / count
    ratio = math.sqrt(chi_squared / free)
    widened = chi_squared > chi_squared_limit(free)
    return found, max(ratio, 1.0) if widened else 1.0, widened


def chi_squared_limit(free: int) -> float:
    """
    Return what a chi-squared variable exceeds 1 time in 20.

    Parameters
    ----------
    free : int
        Degrees of freedom, at least one.

    Returns
    -------
    float
        To within 1 %. [-]

    References
    ----------
    .. [1] Wilson and Hilferty, Proceedings of the National Academy of Sciences 17 (1931), 684 (from memory).

    Examples
    --------
    Tables print 11.07 for five degrees of freedom:

    >>> round(chi_squared_limit(5), 2)
    11.04
    """
    part = 2 / (9 * free)
    return free * (1 - part + 1.6448536269514722 * math.sqrt(part)) ** 3
