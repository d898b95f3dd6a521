"""Volumes and piston travel: plain formulas on floats in SI."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ringtrue.quantities import Radians

if TYPE_CHECKING:
    from ringtrue.engine.parts import Geometry

PARTS = ("chamber", "deck_clearance", "gasket_thickness", "piston_dish")
"""The parts of the clearance volume, as a build sheet names them."""


def swept_volume(bore: float, stroke: float) -> float:
    r"""
    Volume that one piston sweeps.

    .. math:: V_s = \frac{\pi}{4} B^2 S

    Parameters
    ----------
    bore, stroke : float
        Diameter and stroke. [m]

    Returns
    -------
    float
        Swept volume. [m3]

    References
    ----------
    .. [1] J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, section 2.2 (from memory).

    Examples
    --------
    Six cylinders of 4.00 in by 3.50 in sweep 263.894 in3, worked by hand:

    >>> round(6 * swept_volume(4.00 * 0.0254, 3.50 * 0.0254) / 0.0254**3, 3)
    263.894
    """
    return math.pi / 4 * bore**2 * stroke


def piston_travel(stroke: float, rod: float, angle: Radians) -> float:
    r"""
    How far the piston is below top dead centre.

    .. math:: l + a - a \cos\theta - \sqrt{l^2 - a^2 \sin^2\theta}, \quad a = S / 2

    Parameters
    ----------
    stroke, rod : float
        Stroke, and length of the rod between centres; the rod is longer than half the stroke. [m]
    angle : Radians
        Crank angle after top dead centre. [rad]

    Returns
    -------
    float
        Travel. [m]

    Notes
    -----
    Without pin offset.

    References
    ----------
    .. [1] J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, section 2.2 (from memory).

    Examples
    --------
    >>> round(piston_travel(0.075, 0.118, Radians(math.pi)), 6)
    0.075
    """
    throw = stroke / 2
    return rod + throw - throw * math.cos(angle) - math.sqrt(rod**2 - (throw * math.sin(angle)) ** 2)


def volume(clearance: float, bore: float, stroke: float, rod: float, angle: Radians) -> float:
    """
    Volume above the piston at a crank angle.

    Parameters
    ----------
    clearance : float
        Volume at top dead centre. [m3]
    bore, stroke, rod : float
        As in `piston_travel`. [m]
    angle : Radians
        Crank angle after top dead centre. [rad]

    Returns
    -------
    float
        Clearance plus what the piston has uncovered. [m3]

    References
    ----------
    .. [1] J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, section 2.2 (from memory).
    """
    return clearance + math.pi / 4 * bore**2 * piston_travel(stroke, rod, angle)


def clearance_from_ratio(swept: float | None, ratio: float | None) -> float | None:
    r"""
    Clearance volume that a compression ratio asks for.

    .. math:: V_c = V_s / (r - 1)

    Parameters
    ----------
    swept : float or None
        Swept volume. [m3]
    ratio : float or None
        Compression ratio, above 1. [-]

    Returns
    -------
    float or None
        None when either is not known. [m3]

    Examples
    --------
    >>> round(clearance_from_ratio(900.0, 10.0), 6)
    100.0
    """
    if swept is None or ratio is None:
        return None
    return swept / (ratio - 1.0)


def part_volume(part: str, size: float, of: Geometry) -> float:
    """
    Volume that one part of the clearance takes up.

    Parameters
    ----------
    part : str
        One of `PARTS`.
    size : float
        A volume for chamber and dish [m3], a height for deck and gasket [m]; may be a difference.
    of : Geometry
        Where bore and gasket bore come from; the gasket bore is the bore when not known.

    Returns
    -------
    float
        Volume. [m3]
    """
    diameter = {"deck_clearance": of.bore, "gasket_thickness": of.gasket_bore or of.bore}.get(part)
    return size if diameter is None else math.pi / 4 * diameter**2 * size


def clearance_from_parts(size: Geometry) -> float | None:
    """
    Clearance volume as the sum of its parts.

    Parameters
    ----------
    size : Geometry
        Bore, chamber, deck clearance and gasket thickness are needed; a piston without dish or dome is flat.

    Returns
    -------
    float or None
        None when a part is not known. [m3]

    Notes
    -----
    Leaves out the crevices beside the piston, as the trade does.
    """
    if size.bore is None or size.chamber is None or size.deck_clearance is None or size.gasket_thickness is None:
        return None
    return (
        size.chamber
        + part_volume("deck_clearance", size.deck_clearance, size)
        + part_volume("gasket_thickness", size.gasket_thickness, size)
        + (size.piston_dish or 0.0)
    )
