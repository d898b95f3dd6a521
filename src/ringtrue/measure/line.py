"""A straight line through points, by least squares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.measure.statistics import mean


@dataclass(frozen=True, slots=True)
class Line:
    """
    A straight line, and how well the points know it.

    Parameters
    ----------
    at : float
        Where the intercept is taken. [unit of x]
    intercept, slope : float
        Height there, and rise a unit of x.
    scatter : float
        Standard deviation of the points about the line.
    count : int
        How many points.
    centre, across : float
        Mean of their x, and the sum of the squares of their distances from it.
    """

    at: float
    intercept: float
    slope: float
    scatter: float
    count: int
    centre: float
    across: float

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the scatter."""
        return self.count - 2

    @property
    def u_intercept(self) -> float:
        """Standard uncertainty of the intercept."""
        return self.uncertainty(self.at)

    @property
    def u_slope(self) -> float:
        """Standard uncertainty of the slope."""
        return self.scatter / math.sqrt(self.across)

    @property
    def correlation(self) -> float:
        """Correlation of intercept and slope. [-]."""
        away = self.at - self.centre
        return away / math.sqrt(self.across * (1 / self.count + away**2 / self.across))

    def height(self, x: float) -> float:
        """
        Return the line at a place.

        Parameters
        ----------
        x : float
            The place.

        Returns
        -------
        float
            Its height.
        """
        return self.intercept + self.slope * (x - self.at)

    def uncertainty(self, x: float, scatter: float | None = None) -> float:
        r"""
        Return the standard uncertainty of the line at a place.

        .. math:: s \sqrt{\frac{1}{n} + \frac{(x - \bar x)^2}{\sum (x_i - \bar x)^2}}

        Parameters
        ----------
        x : float
            The place.
        scatter : float or None
            Standard deviation of a point, where it is known better than from the points themselves.

        Returns
        -------
        float
            In the unit of the height.

        References
        ----------
        .. [1] JCGM 100:2008, H.3.4 (from memory).
        """
        return (self.scatter if scatter is None else scatter) * math.sqrt(
            1 / self.count + (x - self.centre) ** 2 / self.across
        )


def fit_line(x: Sequence[float], y: Sequence[float], at: float = 0.0) -> Line:
    r"""
    Fit a straight line by least squares.

    .. math:: y = y_1 + y_2 (x - x_0), \quad y_2 = \frac{\sum (x-\bar x)(y-\bar y)}{\sum (x-\bar x)^2}

    Parameters
    ----------
    x, y : sequence of float
        At least three points, not all at the same x.
    at : float
        Where the intercept is taken. [unit of x]

    Returns
    -------
    Line
        The line.

    References
    ----------
    .. [1] JCGM 100:2008, H.3.2 (from memory).
    .. [2] NIST/SEMATECH e-Handbook of Statistical Methods, 4.4.3.1, least squares (from memory).
    """
    centre, level = mean(x), mean(y)
    across = math.fsum((each - centre) ** 2 for each in x)
    slope = math.fsum((a - centre) * (b - level) for a, b in zip(x, y, strict=True)) / across
    left = math.fsum((b - level - slope * (a - centre)) ** 2 for a, b in zip(x, y, strict=True))
    return Line(
        at=at,
        intercept=level + slope * (at - centre),
        slope=slope,
        scatter=math.sqrt(left / (len(x) - 2)),
        count=len(x),
        centre=centre,
        across=across,
    )
