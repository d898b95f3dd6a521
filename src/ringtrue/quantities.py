"""
Quantities that must not be mixed up, and figures kept as they were written.

Inside, everything is SI. A pressure is either above the surrounding air (gauge) or above nothing (absolute), and the
two are different types, so that one cannot be handed in for the other unseen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NewType

PaGauge = NewType("PaGauge", float)
"""Pressure above the surrounding air. [Pa gauge]"""

PaAbs = NewType("PaAbs", float)
"""Pressure above vacuum. [Pa]"""

Radians = NewType("Radians", float)
"""Crank angle. [rad]"""

STANDARD_AIR = PaAbs(101_325.0)
"""The surrounding air where nobody read a barometer: the standard atmosphere at sea level (ISO 2533, memory). [Pa]"""


@dataclass(frozen=True, slots=True)
class Measured:
    """
    A figure in SI, beside the text that a person wrote.

    Parameters
    ----------
    value : float
        The figure in the SI unit of its kind: m, m3, K, V, rad/s, Pa.
    written : str
        The number as it was written, without its unit.
    unit : str
        The unit as it is spelled by the trade.
    """

    value: float
    written: str
    unit: str

    def __str__(self) -> str:
        """Return the figure as it was written, with its unit."""
        return f"{self.written} {self.unit}".strip()


def as_absolute(pressure: PaGauge, barometer: PaAbs) -> PaAbs:
    """
    Turn a gauge pressure into an absolute one.

    Parameters
    ----------
    pressure : PaGauge
        What the gauge shows. [Pa gauge]
    barometer : PaAbs
        The pressure of the surrounding air on that day at that place. [Pa]

    Returns
    -------
    PaAbs
        Their sum. [Pa]

    Examples
    --------
    >>> as_absolute(PaGauge(100_000.0), PaAbs(101_325.0))
    201325.0
    """
    return PaAbs(pressure + barometer)


def as_gauge(pressure: PaAbs, barometer: PaAbs) -> PaGauge:
    """
    Turn an absolute pressure into what a gauge would show.

    Parameters
    ----------
    pressure : PaAbs
        Pressure above vacuum. [Pa]
    barometer : PaAbs
        The pressure of the surrounding air on that day at that place. [Pa]

    Returns
    -------
    PaGauge
        Their difference. [Pa gauge]

    Examples
    --------
    >>> as_gauge(PaAbs(201_325.0), PaAbs(101_325.0))
    100000.0
    """
    return PaGauge(pressure - barometer)
