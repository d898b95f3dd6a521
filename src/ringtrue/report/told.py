"""Figures of one series as they stand in a sheet's tables: in one unit, and never on the wrong side of a limit."""

from __future__ import annotations

from ringtrue.compression import CompressionTest, Reading
from ringtrue.measure import Interval
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit
from ringtrue.wording.numbers import figure
from ringtrue.wording.shown import Shown

_LONGEST_WRITTEN = 7
_MINUS = "\u2212"

NOT_SEEN = "not seen"
SPOILED = "spoiled"
FROM_FILM = "from film"


def unit_of(name: str) -> Unit:
    """
    Return the unit in which a sheet tells pressures.

    Parameters
    ----------
    name : str
        As it was written; empty for psi, where no pressure was written anywhere.

    Returns
    -------
    Unit
        A unit of gauge pressure.

    Examples
    --------
    >>> unit_of("kgf/cm²").name
    'kg/cm2'
    """
    return gauge_unit(find_unit(name or "psi", Dimension.PRESSURE))


def sentence(text: str) -> str:
    """
    Make a phrase a sentence.

    Parameters
    ----------
    text : str
        A phrase or a sentence; may be empty.

    Returns
    -------
    str
        With a capital and a full stop.

    Examples
    --------
    >>> sentence("gauge not known")
    'Gauge not known.'
    """
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def is_corrected(test: CompressionTest) -> bool:
    """
    Tell whether the figures of a test are not those that were written down.

    Parameters
    ----------
    test : CompressionTest
        The test, as read.

    Returns
    -------
    bool
        True where the gauge was calibrated.
    """
    return test.gauge is not None and test.gauge.calibration is not None


class Told(Shown):
    """
    Writes the figures of a series for the tables of a sheet, where the head of a column names the unit.

    Parameters
    ----------
    unit : Unit
        Unit of pressures.
    rules : iterable of RuleOutcome
        The rules that the series was held against, so that no figure is shown on the other side of a limit.
    """

    def as_read(self, readings: tuple[Reading, ...], mean: float | None) -> str:
        """
        Write what a gauge showed as it was written down, or the mean of several readings.

        Parameters
        ----------
        readings : tuple of Reading
            What was read.
        mean : float or None
            Their mean. [Pa gauge]

        Returns
        -------
        str
            A number without its unit; empty when nothing was read.
        """
        if len(readings) == 1 and self._is_mine(readings[0].unit) and len(readings[0].written) <= _LONGEST_WRITTEN:
            return readings[0].written
        return "" if mean is None else self.final_number(mean)

    def signed(self, difference: float | None) -> str:
        """
        Write a difference of pressures with its sign.

        Parameters
        ----------
        difference : float or None
            [Pa]

        Returns
        -------
        str
            Sign and number without a unit; empty for None.
        """
        if difference is None:
            return ""
        return _signed(difference, figure(abs(difference) / self.unit.factor, self.unit.decimals))

    def signed_percent(self, percent: float | None) -> str:
        """
        Write a cylinder's deviation from the mean with its sign.

        Parameters
        ----------
        percent : float or None
            [%]

        Returns
        -------
        str
            Sign, number and per cent; empty for None.
        """
        return "" if percent is None else _signed(percent, self.deviation_percent(percent))

    def between(self, found: Interval | None) -> str:
        """
        Write an interval of pressures without its unit.

        Parameters
        ----------
        found : Interval or None
            [Pa gauge]

        Returns
        -------
        str
            Both ends; empty for None.
        """
        return "" if found is None else f"{self.final_number(found.low)} to {self.final_number(found.high)}"

    def _is_mine(self, name: str) -> bool:
        return find_unit(name, Dimension.PRESSURE) == self.unit


def _signed(value: float, magnitude: str) -> str:
    if not any(digit in magnitude for digit in "123456789"):
        return magnitude
    return f"{_MINUS if value < 0 else '+'}{magnitude}"
