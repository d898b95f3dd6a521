"""Analysis of variance: between groups, and of a table of rows and columns with repeats in each cell."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ringtrue.measure.quantiles import f_beyond
from ringtrue.measure.statistics import mean


@dataclass(frozen=True, slots=True)
class Source:
    """
    One line of a table of variance.

    Parameters
    ----------
    freedom : int
        Degrees of freedom.
    squares : float
        Sum of squares. [unit squared]
    """

    freedom: int
    squares: float

    @property
    def mean_square(self) -> float:
        """Sum of squares over degrees of freedom. [unit squared]."""
        return self.squares / self.freedom

    def over(self, other: Source) -> float:
        """
        Return F.

        Parameters
        ----------
        other : Source
            What it is held against.

        Returns
        -------
        float
            Ratio of mean squares; infinite over one of zero, 0 where both are. [-]
        """
        if other.squares > 0:
            return self.mean_square / other.mean_square
        return math.inf if self.squares > 0 else 0.0

    def chance(self, other: Source) -> float:
        """
        Return the chance of an F as large, where nothing but the other is at work.

        Parameters
        ----------
        other : Source
            What it is held against.

        Returns
        -------
        float
            Between 0 and 1. [-]
        """
        ratio = self.over(other)
        return 0.0 if math.isinf(ratio) else f_beyond(ratio, self.freedom, other.freedom)

    def with_(self, other: Source) -> Source:
        """
        Pool two sources.

        Parameters
        ----------
        other : Source
            The other.

        Returns
        -------
        Source
            Sums of squares and degrees of freedom of both.
        """
        return Source(self.freedom + other.freedom, self.squares + other.squares)


def one_way(groups: Sequence[Sequence[float]]) -> tuple[Source, Source]:
    r"""
    Part the variance of groups into that between them and that within.

    .. math:: \sum n_i (\bar x_i - \bar x)^2, \quad \sum (x_{ij} - \bar x_i)^2

    Parameters
    ----------
    groups : sequence of sequence of float
        At least two, and more figures than groups.

    Returns
    -------
    tuple of Source
        Between, within.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.3.2, one-way ANOVA (from memory).
    """
    every = [value for group in groups for value in group]
    centre = mean(every)
    between = math.fsum(len(group) * (mean(group) - centre) ** 2 for group in groups)
    within = math.fsum((value - mean(group)) ** 2 for group in groups for value in group)
    return Source(len(groups) - 1, between), Source(len(every) - len(groups), within)


@dataclass(frozen=True, slots=True)
class TwoWay:
    """
    The variance of a table with repeats in each cell.

    Parameters
    ----------
    rows, columns, interaction, within : Source
        Between rows; between columns; what a cell has beyond its row and column; within cells.
    """

    rows: Source
    columns: Source
    interaction: Source
    within: Source


def two_way(table: Sequence[Sequence[Sequence[float]]]) -> TwoWay:
    """
    Part the variance of a table with as many repeats in every cell.

    Parameters
    ----------
    table : sequence of sequence of sequence of float
        Rows, of columns, of repeats; at least two of each.

    Returns
    -------
    TwoWay
        The four sources.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.3.7, two-way ANOVA (from memory).
    """
    high, wide, deep = len(table), len(table[0]), len(table[0][0])
    cells = [[mean(cell) for cell in row] for row in table]
    centre = mean([cell for row in cells for cell in row])
    by_row = [mean(row) for row in cells]
    by_column = [mean([row[column] for row in cells]) for column in range(wide)]
    rows = wide * deep * math.fsum((each - centre) ** 2 for each in by_row)
    columns = high * deep * math.fsum((each - centre) ** 2 for each in by_column)
    both = deep * math.fsum(
        (cells[i][j] - by_row[i] - by_column[j] + centre) ** 2 for i in range(high) for j in range(wide)
    )
    within = math.fsum((x - cells[i][j]) ** 2 for i in range(high) for j in range(wide) for x in table[i][j])
    return TwoWay(
        Source(high - 1, rows),
        Source(wide - 1, columns),
        Source((high - 1) * (wide - 1), both),
        Source(high * wide * (deep - 1), within),
    )
