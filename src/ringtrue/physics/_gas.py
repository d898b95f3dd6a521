"""
Air, flow through openings and heat to walls: plain functions of floats in SI, nothing of ringtrue.

They are ordinary Python, for single figures; ``_kernels`` compiles the same functions for long runs.
"""

from __future__ import annotations

import math

GAMMA = 1.4
"""Ratio of specific heats of air at room temperature. [-]"""

R_AIR = 8.31446261815324 / 0.02897
"""Gas constant of dry air: 21 % oxygen, 78 % nitrogen, 1 % argon by mole. [J/(kg K)]"""

NEARLY_EQUAL = 0.9995
"""Pressure ratio above which flow falls to zero in a straight line; the exact form has no bounded slope at 1. [-]"""

NO_HEAT, ANNAND, WOSCHNI, HOHENBERG = 0, 1, 2, 3
"""Which correlation tells the heat to the walls."""

_ALWAYS_CHOKED, _NEVER_CHOKED = 0.48, 0.6
_NEAR = 0.95
"""Pressure ratio above which a power of it is summed as a series, within 1e-8 of the flow."""
_JOIN = 1000.0
# cp/R of the mixture: 0.21 O2 + 0.78 N2 + 0.01 Ar. GRI-Mech 3.0 set, as Cantera's air.yaml prints it (read).
_A1 = 0.21 * 3.78245636 + 0.78 * 3.298677 + 0.01 * 2.5
_A2 = 0.21 * -2.99673416e-03 + 0.78 * 1.4082404e-03
_A3 = 0.21 * 9.84730201e-06 + 0.78 * -3.963222e-06
_A4 = 0.21 * -9.68129509e-09 + 0.78 * 5.641515e-09
_A5 = 0.21 * 3.24372837e-12 + 0.78 * -2.444854e-12
_A6 = 0.21 * -1063.94356 + 0.78 * -1020.8999 + 0.01 * -745.375
_B1 = 0.21 * 3.28253784 + 0.78 * 2.92664 + 0.01 * 2.5
_B2 = 0.21 * 1.48308754e-03 + 0.78 * 1.4879768e-03
_B3 = 0.21 * -7.57966669e-07 + 0.78 * -5.68476e-07
_B4 = 0.21 * 2.09470555e-10 + 0.78 * 1.0097038e-10
_B5 = 0.21 * -2.16717794e-14 + 0.78 * -6.753351e-15
_B6 = 0.21 * -1088.45772 + 0.78 * -922.7977 + 0.01 * -745.375


def cp(temperature: float) -> float:
    """
    Specific heat of dry air at constant pressure.

    Parameters
    ----------
    temperature : float
        From 250 to 3500. [K]

    Returns
    -------
    float
        About 1004 at room temperature. [J/(kg K)]

    References
    ----------
    .. [1] GRI-Mech 3.0 seven-coefficient polynomials, as Cantera 3.2 prints them in ``air.yaml`` (read).
    """
    t = temperature
    if t < _JOIN:
        return R_AIR * (_A1 + t * (_A2 + t * (_A3 + t * (_A4 + t * _A5))))
    return R_AIR * (_B1 + t * (_B2 + t * (_B3 + t * (_B4 + t * _B5))))


def enthalpy(temperature: float) -> float:
    """
    Enthalpy of dry air.

    Parameters
    ----------
    temperature : float
        From 250 to 3500. [K]

    Returns
    -------
    float
        Above that of the elements at 298.15 K. [J/kg]

    References
    ----------
    .. [1] As `cp`.
    """
    t = temperature
    if t < _JOIN:
        return R_AIR * (_A6 + t * (_A1 + t * (_A2 / 2 + t * (_A3 / 3 + t * (_A4 / 4 + t * _A5 / 5)))))
    return R_AIR * (_B6 + t * (_B1 + t * (_B2 / 2 + t * (_B3 / 3 + t * (_B4 / 4 + t * _B5 / 5)))))


def viscosity(temperature: float) -> float:
    """
    Viscosity of air by Sutherland's law.

    Parameters
    ----------
    temperature : float
        From 250 to 900, within 4 % of CoolProp (3 % to 800). [K]

    Returns
    -------
    float
        Dynamic viscosity. [Pa s]

    References
    ----------
    .. [1] 1.716e-5 Pa s at 273.15 K, constant 110.4 K (from memory).
    """
    ratio = temperature / 273.15
    return 1.716e-5 * ratio * math.sqrt(ratio) * (273.15 + 110.4) / (temperature + 110.4)


def conductivity(temperature: float) -> float:
    """
    Thermal conductivity of air by Sutherland's law.

    Parameters
    ----------
    temperature : float
        From 250 to 900, within 2 % of CoolProp. [K]

    Returns
    -------
    float
        Conductivity. [W/(m K)]

    References
    ----------
    .. [1] 0.0241 W/(m K) at 273.15 K, constant 194 K (from memory).
    """
    ratio = temperature / 273.15
    return 0.0241 * ratio * math.sqrt(ratio) * (273.15 + 194.0) / (temperature + 194.0)


def heat_coefficient(
    model: float, pressure: float, temperature: float, volume: float, bore: float, speed: float
) -> float:
    r"""
    Heat transfer coefficient from the gas to the walls of the cylinder.

    .. math::
        \alpha_A = 0.575\,\frac{\lambda}{B} Re^{0.7}, \quad
        \alpha_W = 3.26\,B^{-0.2} p_{kPa}^{0.8} T^{-0.53} (2.28 S_p)^{0.8}, \quad
        \alpha_H = 130\,V^{-0.06} p_{bar}^{0.8} T^{-0.4} (S_p + 1.4)^{0.8}

    Parameters
    ----------
    model : float
        `NO_HEAT`, `ANNAND`, `WOSCHNI` or `HOHENBERG`. [-]
    pressure : float
        Of the gas. [Pa]
    temperature : float
        Of the gas. [K]
    volume : float
        Of the cylinder. [m3]
    bore : float
        Diameter. [m]
    speed : float
        Mean piston speed. [m/s]

    Returns
    -------
    float
        Heat transfer coefficient. [W/(m2 K)]

    Notes
    -----
    All three were made for running engines; at cranking speed they differ by a factor of three.

    References
    ----------
    .. [1] Annand 1963: coefficient 0.575 and exponent 0.7 as in a public Modelica library (read).
    .. [2] Woschni 1967: as in a public engine code (read); some texts print T^-0.55.
    .. [3] Hohenberg 1979: as in several public engine codes (read).

    Examples
    --------
    12 bar, 600 K, piston speed 0.625 m/s:

    >>> round(heat_coefficient(HOHENBERG, 12e5, 600.0, 5e-5, 0.086, 0.625), 2)
    234.01
    >>> round(heat_coefficient(WOSCHNI, 12e5, 600.0, 5e-5, 0.086, 0.625), 2)
    69.23
    """
    if model == HOHENBERG:
        power = 1e-5 * pressure * (speed + 1.4) / math.sqrt(temperature)
        return 130.0 * math.exp(0.8 * math.log(power) - 0.06 * math.log(volume))
    if model == WOSCHNI:
        power = 2.28e-3 * pressure * speed / math.sqrt(math.sqrt(bore))
        return 3.26 * math.exp(0.8 * math.log(power) - 0.53 * math.log(temperature))
    if model == ANNAND:
        reynolds = pressure / (R_AIR * temperature) * speed * bore / viscosity(temperature)
        return 0.575 * conductivity(temperature) / bore * math.exp(0.7 * math.log(reynolds))
    return 0.0


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
    # Of gases between gamma 1.1 and 1.67 each is choked below 0.48 and none above 0.6: dearer questions only between.
    if ratio < _ALWAYS_CHOKED:
        return math.sqrt(gamma) * math.exp(0.5 * (gamma + 1.0) / (gamma - 1.0) * math.log(2.0 / (gamma + 1.0)))
    r = ratio if ratio > _NEVER_CHOKED else max(ratio, critical_ratio(gamma))
    if r > _NEAR:
        d, x = 1.0 - r, 1.0 / gamma
        tail = 1.0 - d * (x - 3.0) / 4.0 * (1.0 - d * (x - 4.0) / 5.0 * (1.0 - d * (x - 5.0) / 6.0))
        first = 1.0 - d * x * (1.0 - d * (x - 1.0) / 2.0 * (1.0 - d * (x - 2.0) / 3.0 * tail))
    else:
        first = math.exp(math.log(r) / gamma)
    return first * math.sqrt(2.0 * gamma / (gamma - 1.0) * (1.0 - r / first))


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
    return math.exp(gamma / (gamma - 1.0) * math.log(2.0 / (gamma + 1.0)))


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
