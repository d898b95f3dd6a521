"""
The equations of docs/theory/cranking.md through the whole cycle, solved by other people's solvers.

Written from that page alone, to hold the kernels against. The right-hand side is compiled, the integration is LSODA of
ODEPACK as scipy carries it: step by step and tight (`readings`), or quicker, to be raced against
(`readings_by_solve_ivp`, `readings_by_odeint`). The gas is built from the coefficients of Cantera's air.yaml, so that
nothing is copied by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import fields
from typing import Any, ParamSpec, TypeVar, cast

import cantera as ct
import numba
import numpy as np
from numpy.typing import NDArray
from scipy.integrate import LSODA, odeint, solve_ivp
from scipy.optimize import brentq
from tests.cranked import ANNAND, DEGREE, NO_HEAT, WOSCHNI, Cranked

Floats = NDArray[np.float64]
P = ParamSpec("P")
R = TypeVar("R")

AIR = {"O2": 0.21, "N2": 0.78, "AR": 0.01}
"""Dry air by mole, as the page has it."""

LINEAR_ABOVE = 0.9995
"""Pressure ratio above which the flow function is a straight line to zero."""

RUN_UP = [field.name for field in fields(Cranked)].index("run_up")
CYCLE = 4 * math.pi


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a function, kept from run to run."""
    return cast("Callable[P, R]", numba.njit(cache=True)(function))


def _gas() -> tuple[float, float, Floats, Floats]:
    """Return gas constant [J/(kg K)], temperature that parts the ranges [K], coefficients below and above it."""
    species = {one.name: one for one in ct.Species.list_from_file("air.yaml")}
    rows = {name: np.asarray(species[name].thermo.coeffs, dtype=np.float64) for name in AIR}
    middles = {float(row[0]) for row in rows.values()}
    if len(middles) != 1:
        message = f"species of air change range at different temperatures: {middles}"
        raise ValueError(message)
    high = sum((share * rows[name][1:7] for name, share in AIR.items()), np.zeros(6))
    low = sum((share * rows[name][8:14] for name, share in AIR.items()), np.zeros(6))
    weight = sum(share * species[name].molecular_weight for name, share in AIR.items())
    return ct.gas_constant / weight, middles.pop(), low, high


GAS, MIDDLE, LOW, HIGH = _gas()


@compiled
def cp(temperature: float) -> float:
    """Return the heat capacity at constant pressure. [J/(kg K)]"""
    a = LOW if temperature < MIDDLE else HIGH
    t = temperature
    return float(GAS * (a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * a[4])))))


@compiled
def enthalpy(temperature: float) -> float:
    """Return the enthalpy, zero as in the polynomials. [J/kg]"""
    a = LOW if temperature < MIDDLE else HIGH
    t = temperature
    return float(GAS * (a[5] + t * (a[0] + t * (a[1] / 2 + t * (a[2] / 3 + t * (a[3] / 4 + t * a[4] / 5))))))


@compiled
def flow(area: float, upstream: float, temperature: float, downstream: float, gamma: float) -> float:
    """Return the flow through an effective area, zero where nothing drives it. [kg/s]"""
    if area <= 0.0 or downstream >= upstream:
        return 0.0
    ratio = max(downstream / upstream, (2 / (gamma + 1)) ** (gamma / (gamma - 1)))
    share = 1.0
    if ratio > LINEAR_ABOVE:
        share = (1 - ratio) / (1 - LINEAR_ABOVE)
        ratio = LINEAR_ABOVE
    psi = math.sqrt(2 * gamma / (gamma - 1) * (ratio ** (2 / gamma) - ratio ** ((gamma + 1) / gamma)))
    return area * upstream / math.sqrt(GAS * temperature) * psi * share


@compiled
def heat_coefficient(
    model: float, pressure: float, temperature: float, volume: float, bore: float, piston_speed: float
) -> float:
    """Return what passes to the walls per area and kelvin. [W/(m2 K)]"""
    if model == NO_HEAT:
        return 0.0
    if model == ANNAND:
        warmth = (temperature / 273.15) ** 1.5
        viscosity = 1.716e-5 * warmth * (273.15 + 110.4) / (temperature + 110.4)
        conductivity = 0.0241 * warmth * (273.15 + 194.0) / (temperature + 194.0)
        reynolds = pressure / (GAS * temperature) * piston_speed * bore / viscosity
        return float(0.575 * conductivity / bore * reynolds**0.7)
    if model == WOSCHNI:
        return float(3.26 * bore**-0.2 * (pressure / 1e3) ** 0.8 * temperature**-0.53 * (2.28 * piston_speed) ** 0.8)
    return float(130 * volume**-0.06 * (pressure / 1e5) ** 0.8 * temperature**-0.4 * (piston_speed + 1.4) ** 0.8)


@compiled
def lift_area(
    angle: float, opens: float, closes: float, lift: float, diameter: float, cd: float, power: float
) -> float:
    """Return the effective area of a valve, its lobe coming round every two turns. [m2]"""
    if lift <= 0.0:
        return 0.0
    past = (angle - opens) % CYCLE
    if past >= closes - opens:
        return 0.0
    risen = lift * math.sin(math.pi * past / (closes - opens)) ** power
    return float(cd * min(math.pi * diameter * risen, math.pi / 4 * diameter * diameter))


@compiled
def rates(state: Floats, angle: float, q: Floats, turned: float) -> Floats:
    """Return d(state)/d(angle) of mass and temperature of the cylinder, mass and temperature of the hose."""
    (bore, stroke, rod, clearance, adapter, hose, opening, check_area, conductance) = q[:9]
    (ambient, manifold, inlet_air, wall, speed, run_up) = q[9:15]
    model, factor, rings, leak_intake, leak_exhaust, gasket = q[16:22]
    mass, temperature, hose_mass, hose_temperature = state
    omega = speed
    if run_up > 0.0:
        omega = speed * math.sqrt(1 - 0.99 * math.exp(-(angle + turned) / run_up))

    crank = stroke / 2
    piston = math.pi / 4 * bore * bore
    sine, cosine = math.sin(angle), math.cos(angle)
    root = math.sqrt(rod * rod - (crank * sine) ** 2)
    chamber = clearance + piston * (crank + rod - crank * cosine - root)
    expanding = omega * piston * crank * sine * (1 + crank * cosine / root)

    pressure = mass * GAS * temperature / (chamber + adapter)
    hose_pressure = hose_mass * GAS * hose_temperature / hose
    capacity = cp(temperature)
    gamma = capacity / (capacity - GAS)
    here = enthalpy(temperature) - GAS * temperature
    wall_cp, inlet_cp = cp(wall), cp(inlet_air)
    wall_gamma, inlet_gamma = wall_cp / (wall_cp - GAS), inlet_cp / (inlet_cp - GAS)

    intake = leak_intake + lift_area(angle, q[22], q[23], q[26], q[27], q[28], q[32])
    outlet = rings + gasket + leak_exhaust + lift_area(angle, q[24], q[25], q[29], q[30], q[31], q[32])
    from_manifold = flow(intake, manifold, inlet_air, pressure, inlet_gamma)
    from_outside = flow(outlet, ambient, wall, pressure, wall_gamma)
    checked = flow(check_area, pressure - opening, temperature, hose_pressure, gamma)
    leaving = (
        flow(intake, pressure, temperature, manifold, gamma)
        + flow(outlet, pressure, temperature, ambient, gamma)
        + checked
    )
    alpha = heat_coefficient(model, pressure, temperature, chamber, bore, stroke * omega / math.pi)
    lost = factor * alpha * (math.pi / 2 * bore * bore + 4 * chamber / bore) * (temperature - wall)

    heating = (
        -pressure * expanding
        - lost
        + from_manifold * (enthalpy(inlet_air) - here)
        + from_outside * (enthalpy(wall) - here)
        - leaving * GAS * temperature
    )
    hose_heating = checked * (
        enthalpy(temperature) - enthalpy(hose_temperature) + GAS * hose_temperature
    ) - conductance * (hose_temperature - inlet_air)

    out = np.empty(4)
    out[0] = (from_manifold + from_outside - leaving) / omega
    out[1] = heating / (mass * (capacity - GAS)) / omega
    out[2] = checked / omega
    out[3] = hose_heating / (hose_mass * (cp(hose_temperature) - GAS)) / omega
    return out


def at_rest(engine: Cranked, angle: float) -> Floats:
    """Return the state of an engine that stands: both volumes at the barometer, the cylinder warm, the hose cold."""
    volume = engine.clearance + engine.adapter + engine.swept(angle)
    return state_of(engine, volume, (engine.ambient, engine.wall), (engine.ambient, engine.inlet_air))


def state_of(engine: Cranked, volume: float, cylinder: tuple[float, float], hose: tuple[float, float]) -> Floats:
    """Return the state for pressure and temperature of both volumes."""
    masses = (cylinder[0] * volume / (GAS * cylinder[1]), hose[0] * engine.hose / (GAS * hose[1]))
    return np.array([masses[0], cylinder[1], masses[1], hose[1]])


def steps(solver: LSODA) -> Iterator[Callable[[float], Floats]]:
    """Take steps to the end; yield the course within each."""
    while solver.status == "running":
        failed = solver.step()
        if failed is not None:
            raise ArithmeticError(failed)
        yield solver.dense_output()


def integrate(
    engine: Cranked,
    state: Floats,
    angles: Floats,
    *,
    steady: bool = False,
    rtol: float = 1e-10,
    largest: float = 0.25 * DEGREE,
) -> tuple[Floats, Floats]:
    """
    Return states at the asked angles, and the highest hose pressure up to each.

    Parameters
    ----------
    angles : array
        From where to where, rising; the first is where the state holds. [rad]
    steady : bool
        Turn at constant speed; otherwise the starter begins `engine.start` before angle 0.
    rtol, largest : float
        Relative tolerance, and the longest step, which must not pass over the check valve's opening. [-], [rad]
    """
    q = engine.vector()
    if steady:
        q[RUN_UP] = 0.0

    def derivatives(angle: float, now: Floats) -> Floats:
        return rates(now, angle, q, engine.start)

    def hose_pressure(now: Floats) -> float:
        return float(now[2] * GAS * now[3] / engine.hose)

    def hose_slope(angle: float, now: Floats) -> float:
        slopes = derivatives(angle, now)
        return float(slopes[2] * now[3] + now[2] * slopes[3])

    def highest_within(begin: float, end: float, within: Callable[[float], Floats]) -> tuple[float, float]:
        """Return where the hose stands highest in a step that begins rising and ends falling, and how high."""

        def slope(angle: float) -> float:
            return hose_slope(angle, within(angle))

        crosses = slope(begin) > 0.0 > slope(end)
        angle = float(brentq(slope, begin, end, xtol=1e-12)) if crosses else end
        return angle, hose_pressure(within(angle))

    states, highest = np.empty((len(angles), 4)), np.empty(len(angles))
    top = hose_pressure(state)
    states[0], highest[0] = state, top
    solver = LSODA(derivatives, angles[0], state, angles[-1], rtol=rtol, atol=1e-4 * rtol * state, max_step=largest)
    at, rising = 1, False
    for within in steps(solver):
        peak, high = solver.t, hose_pressure(solver.y)
        rose, rising = rising, hose_slope(solver.t, solver.y) > 0.0
        if rose and not rising:
            peak, high = highest_within(solver.t_old, solver.t, within)
        while at < len(angles) and angles[at] <= solver.t:
            states[at] = within(angles[at])
            highest[at] = max(top, hose_pressure(states[at]), high if peak <= angles[at] else 0.0)
            at += 1
        top = max(top, high)
    return states, highest


def readings(
    engine: Cranked, strokes: int, state: Floats | None = None, *, rtol: float = 1e-9, largest: float = 0.25 * DEGREE
) -> Floats:
    """Return the highest hose pressure after each compression stroke, slowly and surely. [Pa absolute]"""
    first = state if state is not None else at_rest(engine, -engine.start)
    angles = np.concatenate([[-engine.start], CYCLE * np.arange(strokes) + math.pi])
    return integrate(engine, first, angles, rtol=rtol, largest=largest)[1][1:]


def readings_by_solve_ivp(engine: Cranked, strokes: int, rtol: float = 1e-6) -> Floats:
    """Return readings by scipy's `solve_ivp` with LSODA and the highest point of every degree. [Pa absolute]"""
    q, first, angles = engine.vector(), at_rest(engine, -engine.start), every_degree(engine, strokes)
    found = solve_ivp(
        lambda angle, state: rates(state, angle, q, engine.start),
        (angles[0], angles[-1]),
        first,
        method="LSODA",
        t_eval=angles,
        rtol=rtol,
        atol=1e-3 * rtol * first,
        max_step=2 * DEGREE,
    )
    return needle(engine, strokes, angles, found.y.T)


def readings_by_odeint(engine: Cranked, strokes: int, rtol: float = 1e-6) -> Floats:
    """Return readings by one call into ODEPACK and the highest point of every degree: LSODA as fast as it goes."""
    first, angles = at_rest(engine, -engine.start), every_degree(engine, strokes)
    solve: Any = odeint  # its stubs know a state as a list alone
    states = solve(
        rates,
        first,
        angles,
        args=(engine.vector(), engine.start),
        rtol=rtol,
        atol=1e-3 * rtol * first,
        hmax=2 * DEGREE,
        mxstep=100_000,
    )
    return needle(engine, strokes, angles, states)


def every_degree(engine: Cranked, strokes: int) -> Floats:
    """Return angles from standstill to bottom dead centre after the last compression, a degree apart. [rad]"""
    end = CYCLE * (strokes - 1) + math.pi
    return np.linspace(-engine.start, end, 1 + math.ceil((end + engine.start) / DEGREE))


def needle(engine: Cranked, strokes: int, angles: Floats, states: Floats) -> Floats:
    """Return the highest hose pressure after each compression stroke. [Pa absolute]"""
    hose = np.maximum.accumulate(states[:, 2] * GAS * states[:, 3] / engine.hose)
    ends = np.searchsorted(angles, CYCLE * np.arange(strokes) + math.pi - 1e-9)
    return np.asarray(hose[np.minimum(ends, len(angles) - 1)])
