"""Plain functions of floats in SI: no units, no names, nothing of ringtrue."""

from __future__ import annotations

import math

GAMMA = 1.4
"""Ratio of specific heats of air at room temperature. [-]"""

R_AIR = 287.055
"""Gas constant of dry air. [J/(kg K)]"""


def flow_function(ratio: float, gamma: float) -> float:
    r"""
    Dimensionless isentropic flow through an orifice.

    .. math::
        \psi(r) = \sqrt{\frac{2\gamma}{\gamma - 1} \left(r^{2/\gamma} - r^{(\gamma + 1)/\gamma}\right)}

    with r no smaller than the critical ratio, below which the flow is choked and no longer grows.

    Parameters
    ----------
    ratio : float
        Absolute pressure downstream over upstream; at 1 and above nothing flows. [-]
    gamma : float
        Ratio of specific heats. [-]

    Returns
    -------
    float
        Mass flow times sqrt(R T) over effective area and upstream pressure. [-]

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, 1988, appendix C (from memory).
    """
    if ratio >= 1.0:
        return 0.0
    r = max(ratio, critical_ratio(gamma))
    return math.sqrt(2.0 * gamma / (gamma - 1.0) * (math.pow(r, 2.0 / gamma) - math.pow(r, (gamma + 1.0) / gamma)))


def critical_ratio(gamma: float) -> float:
    r"""
    Pressure ratio at and below which an orifice is choked.

    .. math:: \left(\frac{2}{\gamma + 1}\right)^{\gamma / (\gamma - 1)}

    Parameters
    ----------
    gamma : float
        Ratio of specific heats. [-]

    Returns
    -------
    float
        0.528282 for air. [-]
    """
    return math.pow(2.0 / (gamma + 1.0), gamma / (gamma - 1.0))


def mass_flow(area: float, upstream: float, downstream: float, temperature: float, gamma: float, gas: float) -> float:
    """
    Isentropic mass flow through an orifice.

    Parameters
    ----------
    area : float
        Effective area: geometric area times discharge coefficient. [m2]
    upstream, downstream : float
        Absolute pressures. [Pa]
    temperature : float
        Of the gas upstream. [K]
    gamma : float
        Ratio of specific heats. [-]
    gas : float
        Gas constant. [J/(kg K)]

    Returns
    -------
    float
        Mass flow. [kg/s]
    """
    return area * upstream * flow_function(downstream / upstream, gamma) / math.sqrt(gas * temperature)
