"""The air outside: pressure and temperature of the standard atmosphere at a height."""

from __future__ import annotations

from ringtrue.errors import InputRefused
from ringtrue.quantities import STANDARD_AIR, PaAbs

SEA_LEVEL_TEMPERATURE = 288.15
"""Of the standard atmosphere. [K]"""
LOWEST, HIGHEST = -430.0, 6_000.0
"""Heights at which engines are built and run: the shore of the lowest lake, and the highest roads. [m]"""
_LAPSE = 0.0065
_EXPONENT = 5.25588
_EARTH = 6_356_766.0


def standard_temperature(height: float) -> float:
    """
    Temperature of the standard atmosphere.

    Parameters
    ----------
    height : float
        Geometric height above the sea, in the troposphere. [m]

    Returns
    -------
    float
        288.15 at the sea. [K]
    """
    geopotential = _EARTH * height / (_EARTH + height)
    return SEA_LEVEL_TEMPERATURE - _LAPSE * geopotential


def standard_pressure(height: float) -> PaAbs:
    r"""
    Pressure of the standard atmosphere.

    .. math:: p = 101325\,(T / 288.15)^{5.25588}, \quad T = 288.15 - 0.0065 H, \quad H = \frac{r h}{r + h}

    Parameters
    ----------
    height : float
        Geometric height above the sea. [m]

    Returns
    -------
    PaAbs
        Pressure. [Pa]

    Raises
    ------
    InputRefused
        The height is not one at which engines are cranked.

    Notes
    -----
    A barometer on a given day is within about 2 kPa of it in nine of ten cases (own assumption).

    References
    ----------
    .. [1] ISO 2533 and US Standard Atmosphere 1976, troposphere (from memory; checked against the libraries ambiance
           and fluids).

    Examples
    --------
    >>> round(standard_pressure(1500.0), 1)
    84559.7
    """
    if not LOWEST <= height <= HIGHEST:
        raise InputRefused.of(
            f"a height of {height:g} m",
            f"engines are cranked between {LOWEST:g} and {HIGHEST:g} m above the sea",
            'check the number and its unit, for example "1500 m" or "4900 ft"',
        )
    return PaAbs(STANDARD_AIR * (standard_temperature(height) / SEA_LEVEL_TEMPERATURE) ** _EXPONENT)
