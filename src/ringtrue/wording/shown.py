"""Figures of one series, each on its own side of whatever is asked of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from ringtrue.measure import DEFAULT, RuleOutcome
from ringtrue.units import Unit, from_si
from ringtrue.wording.numbers import figure, nearest, percent, pressure, ratio

_ASKED_OF: Mapping[str, str] = MappingProxyType(
    {
        "mean_deviation_target": "mean deviation",
        "mean_deviation_limit": "mean deviation",
        "cylinder_deviation_limit": "deviation",
        "below_mean": "deviation",
        "first_stroke_half": "first over final",
        "lowest_over_highest": "lowest over highest",
        "sheet_lowest_over_highest": "lowest over highest",
        "sheet_minimum": "final",
    }
)


class Shown:
    """
    Writes the figures of one series so that none is rounded to the other side of a limit.

    Parameters
    ----------
    unit : Unit
        Unit of pressures.
    rules : iterable of RuleOutcome
        The rules that the series was held against; without them the general limits hold.
    """

    def __init__(self, unit: Unit, rules: Iterable[RuleOutcome] = ()) -> None:
        self.unit = unit
        self._limits: dict[str, list[float]] = {}
        for rule, limit in {**DEFAULT, **{r.rule: r.limit for r in rules if r.limit is not None}}.items():
            if rule in _ASKED_OF:
                self._limits.setdefault(_ASKED_OF[rule], []).append(limit)

    def _beside(self, what: str, value: float) -> float | None:
        return nearest(value, self._limits.get(what, ()))

    def final(self, value: float) -> str:
        """
        Write a final.

        Parameters
        ----------
        value : float
            [Pa gauge]

        Returns
        -------
        str
            Number and unit.
        """
        return pressure(value, self.unit, limit=self._beside("final", value))

    def final_number(self, value: float) -> str:
        """
        Write a final for a column whose head names the unit.

        Parameters
        ----------
        value : float
            [Pa gauge]

        Returns
        -------
        str
            The number alone.
        """
        limit = self._beside("final", value)
        edge = None if limit is None else from_si(limit, self.unit)
        return figure(from_si(value, self.unit), self.unit.decimals, limit=edge)

    def deviation_percent(self, value: float) -> str:
        """
        Write how far a cylinder is from the mean, without its sign.

        Parameters
        ----------
        value : float
            Of either sign. [%]

        Returns
        -------
        str
            Number and sign of per cent.
        """
        return percent(abs(value), limit=self._beside("deviation", abs(value)))

    def off_the_mean(self, value: float) -> str:
        """
        Say how far a cylinder is from the mean, and on which side.

        Parameters
        ----------
        value : float
            [%]

        Returns
        -------
        str
            For the inside of a sentence.
        """
        if value == 0:
            return "at the mean of all"
        return f"{self.deviation_percent(value)} {'below' if value < 0 else 'above'} the mean of all"

    def mean_deviation_percent(self, value: float) -> str:
        """
        Write the mean deviation of all cylinders.

        Parameters
        ----------
        value : float
            [%]

        Returns
        -------
        str
            Number and sign of per cent.
        """
        return percent(value, limit=self._beside("mean deviation", value))

    def mean_deviation(self, value: float, of_mean: float) -> str:
        """
        Write the mean deviation as a pressure and of the mean.

        Parameters
        ----------
        value : float
            [Pa]
        of_mean : float
            [%]

        Returns
        -------
        str
            For the inside of a sentence.
        """
        alone = pressure(value, self.unit, decimals=self.unit.decimals + 1)
        return f"mean deviation {alone} ({self.mean_deviation_percent(of_mean)} of the mean)"

    def first_over_final(self, value: float) -> str:
        """
        Write a first stroke over its final.

        Parameters
        ----------
        value : float
            [-]

        Returns
        -------
        str
            The fraction.
        """
        return ratio(value, limit=self._beside("first over final", value))

    def lowest_over_highest(self, value: float) -> str:
        """
        Write the lowest over the highest final.

        Parameters
        ----------
        value : float
            [-]

        Returns
        -------
        str
            The fraction.
        """
        return ratio(value, limit=self._beside("lowest over highest", value))
