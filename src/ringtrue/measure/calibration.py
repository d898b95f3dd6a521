"""A gauge held against a reference: its correction, what that leaves open, and whether it still meets its grade."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from ringtrue.compression import Approach, Calibration, CalibrationPoint
from ringtrue.measure.line import Line, fit_line
from ringtrue.measure.quantiles import chi2_quantile
from ringtrue.measure.statistics import mean

ENOUGH = 0.95
"""Chance below which the scatter about a line is taken for what reading the points explains. [-]"""

FEWEST_LEVELS = 3
"""With two, a curve passes through whatever was read, and nothing tells a misread point. [-]"""

_SQRT12, _SQRT3 = math.sqrt(12), math.sqrt(3)
_SAME = 1e-9


class Form(StrEnum):
    """What the correction is made of."""

    LINE = "a straight line"
    POINTS = "straight from point to point"


@dataclass(frozen=True, slots=True)
class Part:
    """
    One line of the budget of a correction.

    Parameters
    ----------
    name : str
        What is not known.
    standard : float
        Its standard uncertainty. [Pa]
    how : str
        Where the figure comes from.
    source : str
        Key of `ringtrue.sources.SOURCES`.
    """

    name: str
    standard: float
    how: str
    source: str


@dataclass(frozen=True, slots=True)
class Curve:
    """
    The correction of a gauge, and its uncertainty.

    Parameters
    ----------
    form : Form
        A line where one is enough, else from point to point.
    nodes : tuple of (float, float)
        What the gauge shows at a level, halfway between rising and falling, and what has to be added. [Pa gauge, Pa]
    line : Line or None
        Correction over what is shown, for a line.
    hysteresis : float or None
        Largest difference between falling and rising; None where nothing was taken falling. [Pa]
    reading : float
        Standard uncertainty of a node from reading the gauge at it. [Pa]
    lack_of_fit : float
        Half width of what the form may miss between or at the points. [Pa]
    reference : float or None
        Standard uncertainty of the reference; None where it was not said. [Pa]
    """

    form: Form
    nodes: tuple[tuple[float, float], ...]
    line: Line | None
    hysteresis: float | None
    reading: float
    lack_of_fit: float
    reference: float | None

    @property
    def low(self) -> float:
        """Least reading that the calibration covers. [Pa gauge]."""
        return self.nodes[0][0]

    @property
    def high(self) -> float:
        """Largest reading that the calibration covers. [Pa gauge]."""
        return self.nodes[-1][0]

    def correction(self, shown: float) -> float:
        """
        Return what has to be added to a reading.

        Parameters
        ----------
        shown : float
            What the gauge shows. [Pa gauge]

        Returns
        -------
        float
            Beyond the ends of the calibration, that at the end: nothing is carried on. [Pa]
        """
        shown = min(max(shown, self.low), self.high)
        if self.line is not None:
            return self.line.height(shown)
        after = min(max(bisect_left(self.nodes, (shown, -math.inf)), 1), len(self.nodes) - 1)
        (left, low), (right, high) = self.nodes[after - 1], self.nodes[after]
        return low + (high - low) * (shown - left) / (right - left)

    def covers(self, shown: float, step: float = 0.0) -> bool:
        """
        Tell whether a reading lies between the ends of the calibration.

        Parameters
        ----------
        shown : float
            What the gauge shows. [Pa gauge]
        step : float
            Half of it beyond an end is still at the end. [Pa]

        Returns
        -------
        bool
            True for one at an end.
        """
        slack = step / 2 + _SAME * self.high
        return self.low - slack <= shown <= self.high + slack

    def budget(self, shown: float) -> tuple[Part, ...]:
        """
        Tell what is not known of the correction at a reading.

        Parameters
        ----------
        shown : float
            What the gauge shows. [Pa gauge]

        Returns
        -------
        tuple of Part
            Independent of one another; what was not said has no line.
        """
        parts = []
        if self.reference is not None:
            how = "half of its expanded uncertainty (k = 2)"
            parts.append(Part("the reference", self.reference, how, "JCGM 100"))
        if self.line is not None:
            scatter = max(self.line.scatter, self.reading)
            at = self.line.uncertainty(min(max(shown, self.low), self.high), scatter)
            parts.append(Part("the line through the points", at, "scatter about the line, and reading", "JCGM 100 H.3"))
        else:
            parts.append(Part("reading the points", self.reading, "step / sqrt 12, or repeated runs", "JCGM 100"))
        if self.hysteresis is not None:
            how = "anywhere between rising and falling: largest difference / sqrt 12"
            parts.append(Part("hysteresis", self.hysteresis / _SQRT12, how, "JCGM 100"))
        how = "largest distance from the line / sqrt 3" if self.line is not None else "bend between points / sqrt 3"
        parts.append(Part("lack of fit", self.lack_of_fit / _SQRT3, how, "JCGM 100"))
        return tuple(parts)

    def uncertainty(self, shown: float) -> float:
        """
        Return the standard uncertainty of the correction at a reading.

        Parameters
        ----------
        shown : float
            What the gauge shows. [Pa gauge]

        Returns
        -------
        float
            Root of the sum of the squares of the budget. [Pa]

        References
        ----------
        .. [1] JCGM 100:2008, 5.1.2 (from memory).
        """
        return math.hypot(*(part.standard for part in self.budget(shown)))


@lru_cache(maxsize=256)
def curve_of(calibration: Calibration, resolution: float = 0.0) -> Curve:
    r"""
    Make the correction of a gauge from its calibration.

    At each level taken rising, the needle's middle place is that of the rise plus half of the hysteresis there; the
    correction is reference less that. A straight line is enough where

    .. math:: s^2 \le u^2 \, \chi^2_{0.95}(\nu) / \nu

    with s the scatter of the corrections about it and u what reading one of them explains (step over the root of 12, or
    the scatter of repeated runs); else it goes straight from point to point.

    Parameters
    ----------
    calibration : Calibration
        At least `FEWEST_LEVELS` levels taken rising; the gauge shows more at a higher level.
    resolution : float
        The smallest step that can be read on the gauge; 0 where it is not known. [Pa]

    Returns
    -------
    Curve
        The correction.

    Notes
    -----
    Whether a needle comes to rest from below or, having overshot, from above, nobody sees at a pull: so the middle is
    taken and the difference is in the budget. Between points, a smooth curve leaves a straight piece by at most a
    quarter of what it leaves one twice as long by (the error goes with the square of the length): a quarter of how far
    each point lies off its neighbours' connection is taken.

    References
    ----------
    .. [1] JCGM 100:2008, H.3, calibration of a thermometer by a line (from memory).
    .. [2] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.8, chi-squared test of a variance (from memory).
    .. [3] Abramowitz and Stegun, Handbook of Mathematical Functions, 25.2, error of linear interpolation (from memory).
    """
    rising = _levels(calibration.points, Approach.RISING)
    falling = _levels(calibration.points, Approach.FALLING)
    apart = _apart(rising, falling)
    nodes = []
    for level, shown, _ in rising:
        middle = shown + (_between(apart, level) / 2 if apart else 0.0)
        nodes.append((middle, level - middle))
    read = _reading(rising, falling, resolution)
    line = fit_line([x for x, _ in nodes], [y for _, y in nodes], at=mean([x for x, _ in nodes]))
    expanded = calibration.reference_uncertainty
    enough = read**2 * chi2_quantile(ENOUGH, line.freedom) / line.freedom
    alike = _SAME * max(abs(x) for x, _ in nodes)
    fits = line.scatter**2 <= max(enough, alike**2)
    return Curve(
        form=Form.LINE if fits else Form.POINTS,
        nodes=tuple(nodes),
        line=line if fits else None,
        hysteresis=max(abs(by) for _, by in apart) if apart else None,
        reading=read,
        lack_of_fit=max(abs(y - line.height(x)) for x, y in nodes) if fits else _bend(nodes) / 4,
        reference=None if expanded is None else expanded.value / 2,
    )


_Level = tuple[float, float, tuple[float, ...]]


def _levels(points: Sequence[CalibrationPoint], approach: Approach) -> list[_Level]:
    """Return the levels taken from one side: reference, mean of what was shown, and all of it."""
    shown: dict[float, list[float]] = {}
    for point in points:
        if point.approach is approach:
            shown.setdefault(point.reference.pressure, []).append(point.shown.pressure)
    return [(level, mean(read), tuple(read)) for level, read in sorted(shown.items())]


def _apart(rising: Sequence[_Level], falling: Sequence[_Level]) -> list[tuple[float, float]]:
    """Return by how much the gauge shows more falling than rising, by level."""
    going_up = [(level, shown) for level, shown, _ in rising]
    top = going_up[-1][0]
    found = [
        (level, shown - _between(going_up, level))
        for level, shown, _ in falling
        if going_up[0][0] <= level <= top * (1 + _SAME)
    ]
    # Where it was not taken falling the needle turned, or set out: there both are one.
    if found and found[-1][0] < top * (1 - _SAME):
        found.append((top, 0.0))
    if found and found[0][0] > going_up[0][0] + _SAME * top:
        found.insert(0, (going_up[0][0], 0.0))
    return found


def _between(row: Sequence[tuple[float, float]], x: float) -> float:
    """Return the height of a broken line; beyond an end, that at the end."""
    if x <= row[0][0]:
        return row[0][1]
    for (left, low), (right, high) in itertools.pairwise(row):
        if x <= right:
            return low + (high - low) * (x - left) / (right - left)
    return row[-1][1]


def _reading(rising: Sequence[_Level], falling: Sequence[_Level], resolution: float) -> float:
    """Return the standard uncertainty of one level from reading the gauge at it."""
    repeated = [read for _, _, read in (*rising, *falling) if len(read) > 1]
    left = math.fsum((each - mean(read)) ** 2 for read in repeated for each in read)
    freedom = sum(len(read) - 1 for read in repeated)
    own = math.sqrt(left / freedom) if freedom else 0.0
    runs = min(len(read) for _, _, read in rising)
    return max(resolution / _SQRT12, own / math.sqrt(runs))


def _bend(nodes: Sequence[tuple[float, float]]) -> float:
    """Return how far a point lies off the connection of its neighbours, at most."""
    off = [
        abs(y - _between([left, right], x)) for left, (x, y), right in zip(nodes, nodes[1:], nodes[2:], strict=False)
    ]
    return max(off, default=0.0)
