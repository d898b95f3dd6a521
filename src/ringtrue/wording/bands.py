"""Figures that are not known exactly, rounded so that their intervals stay honest."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringtrue.compression import Band


@dataclass(frozen=True, slots=True)
class BandWords:
    """
    A figure and its 90 % interval, rounded together: the interval outwards, so that it holds what it promises.

    Parameters
    ----------
    median, low, high : str
        Numbers with the same digits.
    unit : str
        Their unit; empty for a ratio.
    """

    median: str
    low: str
    high: str
    unit: str = ""

    @property
    def interval(self) -> str:
        """Both ends with one unit."""
        return f"{self.low} to {self.high} {self.unit}".strip()

    @property
    def width(self) -> str:
        """From end to end, as they are written."""
        digits = len(self.high.partition(".")[2])
        return f"{float(self.high) - float(self.low):.{digits}f} {self.unit}".strip()

    @property
    def whole(self) -> str:
        """The median with its interval behind it."""
        return f"{f'{self.median} {self.unit}'.strip()} ({self.interval})"


def ratio_words(band: Band) -> BandWords:
    """
    Write a ratio with its interval.

    Parameters
    ----------
    band : Band
        [-]

    Returns
    -------
    BandWords
        Two to four digits after the point, as the interval is worth.

    Examples
    --------
    >>> ratio_words(Band(1.1249, 1.1171, 1.1329)).whole
    '1.125 (1.117 to 1.133)'
    """
    return band_words(band, min(max(digits_for(band.high - band.low), 2), 4), "")


def band_words(band: Band, digits: int, unit: str) -> BandWords:
    """
    Write a figure with its interval.

    Parameters
    ----------
    band : Band
        [in the unit]
    digits : int
        Digits after the point; negative for whole tens or hundreds.
    unit : str
        Its unit.

    Returns
    -------
    BandWords
        Its interval rounded outwards.
    """
    return BandWords(
        f"{round(band.median, digits):z.{max(digits, 0)}f}",
        outward(band.low, digits, up=False),
        outward(band.high, digits, up=True),
        unit,
    )


def outward(value: float, digits: int, *, up: bool) -> str:
    """
    Round the end of an interval so that the interval grows, if at all.

    Parameters
    ----------
    value : float
        The end.
    digits : int
        Digits after the point; negative for whole tens or hundreds.
    up : bool
        It is the upper end.

    Returns
    -------
    str
        The number.

    Examples
    --------
    >>> outward(157.2, 0, up=False), outward(204.1, 0, up=True), outward(812.0, -1, up=True)
    ('157', '205', '820')
    """
    step = 10.0**-digits
    steps = value / step
    whole = math.ceil(steps - 1e-6) if up else math.floor(steps + 1e-6)
    return f"{whole * step:z.{max(digits, 0)}f}"


def digits_for(width: float) -> int:
    """
    Choose how many digits the ends of a range are worth.

    Parameters
    ----------
    width : float
        From end to end. [any unit]

    Returns
    -------
    int
        Digits after the point, so that a step is between a tenth and a hundredth of the width; negative where whole
        tens or hundreds do. 0 for no width.

    Examples
    --------
    >>> digits_for(48.0), digits_for(330.0), digits_for(0.016)
    (0, -1, 3)
    """
    return -math.floor(math.log10(width / 10)) if width > 0 else 0
