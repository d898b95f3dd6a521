"""Leak-down: from what a cylinder holds to the area of its leak, and to another restrictor."""

from __future__ import annotations

import math

from ringtrue.errors import ReadingImpossible
from ringtrue.physics._gas import GAMMA, flow_function
from ringtrue.quantities import STANDARD_AIR, PaAbs, PaGauge, as_absolute

RESTRICTOR_COEFFICIENT = 0.8
"""Discharge coefficient of a restrictor where none is given. [-]"""

_CLOSE_ENOUGH = 1e-12
"""The share that is held is found to within this. [-]"""


def area_ratio(supply: PaGauge, held: PaGauge, barometer: PaAbs = STANDARD_AIR) -> float:
    r"""
    Area of a leak over that of the restrictor, at equal discharge coefficients.

    What comes in through the restrictor goes out through the leak, both isentropic and at one temperature:

    .. math:: \frac{A_l}{A_r} = \frac{p_s\,\psi(p_h / p_s)}{p_h\,\psi(p_a / p_h)}

    Parameters
    ----------
    supply, held : PaGauge
        Regulated supply and what the cylinder holds. [Pa gauge]
    barometer : PaAbs
        The surrounding air. [Pa]

    Returns
    -------
    float
        0 for a sealed cylinder. [-]

    Raises
    ------
    ReadingImpossible
        The supply is not above zero, or the cylinder holds more than it, or nothing: then the leak has no size.

    Notes
    -----
    Steady flow of air with constant properties. A leak path that is long and narrow, such as a ring gap, flows less
    than an orifice of its area at small pressures.

    References
    ----------
    .. [1] Isentropic nozzle: Heywood, Internal Combustion Engine Fundamentals, 1988, appendix C (from memory).

    Examples
    --------
    60 psi held of 80 psi at 14.7 psi of surrounding air; the unit cancels:

    >>> round(area_ratio(PaGauge(80.0), PaGauge(60.0), PaAbs(14.7)), 4)
    1.0585
    """
    if not 0 < held <= supply:
        raise ReadingImpossible.of(
            "a cylinder that holds nothing, or more than it is given",
            "the size of such a leak cannot be told from the pressures",
            "read both gauges again, with the air on",
        )
    inside, given = as_absolute(held, barometer), as_absolute(supply, barometer)
    return given * flow_function(inside / given, GAMMA) / (inside * flow_function(barometer / inside, GAMMA))


def effective_area(
    supply: PaGauge,
    held: PaGauge,
    restrictor: float,
    *,
    coefficient: float = RESTRICTOR_COEFFICIENT,
    barometer: PaAbs = STANDARD_AIR,
) -> float:
    """
    Effective area of a leak: its geometric area times its discharge coefficient.

    Parameters
    ----------
    supply, held : PaGauge
        Regulated supply and what the cylinder holds. [Pa gauge]
    restrictor : float
        Bore of the restrictor. [m]
    coefficient : float
        Discharge coefficient of the restrictor. [-]
    barometer : PaAbs
        The surrounding air. [Pa]

    Returns
    -------
    float
        Effective area. [m2]

    Raises
    ------
    ReadingImpossible
        As in `area_ratio`.

    Examples
    --------
    A fifth lost of 80 psi through 0.040 in is 0.60 mm2:

    >>> psi, inch = 6894.757293, 0.0254
    >>> round(1e6 * effective_area(PaGauge(80 * psi), PaGauge(64 * psi), 0.040 * inch), 2)
    0.6
    """
    return area_ratio(supply, held, barometer) * coefficient * math.pi / 4 * restrictor**2


def equivalent_loss(
    supply: PaGauge, held: PaGauge, used: float, wanted: float, barometer: PaAbs = STANDARD_AIR
) -> float | None:
    """
    Share of the supply that the same leak would lose through another restrictor.

    Parameters
    ----------
    supply, held : PaGauge
        Regulated supply and what the cylinder holds through the restrictor that was used. [Pa gauge]
    used, wanted : float
        Bores of the restrictor that was used, and of the other. [m]
    barometer : PaAbs
        The surrounding air. [Pa]

    Returns
    -------
    float or None
        0 for a sealed cylinder; None where nothing was held, for then the leak has no size. [-]

    Raises
    ------
    ReadingImpossible
        The cylinder holds more than it is given.

    Notes
    -----
    Both restrictors are taken to have the same discharge coefficient.

    Examples
    --------
    60 of 80 psi through 0.040 in; through 0.060 in the same leak holds more:

    >>> psi, inch = 6894.757293, 0.0254
    >>> round(equivalent_loss(PaGauge(80 * psi), PaGauge(60 * psi), 0.040 * inch, 0.060 * inch), 3)
    0.059
    """
    if held <= 0:
        return None
    if held == supply:
        return 0.0
    return _loss(area_ratio(supply, held, barometer) * (used / wanted) ** 2, supply, barometer)


def loss_through(
    area: float,
    restrictor: float,
    supply: PaGauge,
    *,
    coefficient: float = RESTRICTOR_COEFFICIENT,
    barometer: PaAbs = STANDARD_AIR,
) -> float:
    """
    Share of the supply that a leak of known size loses in a leak-down.

    Parameters
    ----------
    area : float
        Effective area of the leak. [m2]
    restrictor : float
        Bore of the restrictor. [m]
    supply : PaGauge
        Regulated supply. [Pa gauge]
    coefficient : float
        Discharge coefficient of the restrictor. [-]
    barometer : PaAbs
        The surrounding air. [Pa]

    Returns
    -------
    float
        From 0 to nearly 1. [-]

    Examples
    --------
    The inverse of `effective_area`:

    >>> psi, inch = 6894.757293, 0.0254
    >>> round(loss_through(0.6037e-6, 0.040 * inch, PaGauge(80 * psi)), 2)
    0.2
    """
    return _loss(area / (coefficient * math.pi / 4 * restrictor**2), supply, barometer)


def _loss(leak: float, supply: PaGauge, barometer: PaAbs) -> float:
    low, high = 0.0, float(supply)
    # What is held falls steadily as the leak grows, so halving finds it.
    while high - low > _CLOSE_ENOUGH * supply:
        middle = (low + high) / 2
        if area_ratio(supply, PaGauge(middle), barometer) > leak:
            low = middle
        else:
            high = middle
    return 1.0 - (low + high) / 2 / supply
