"""
A closed cylinder with its leaks, its walls and its gauge, as a network of Cantera's reactors.

Cylinder and hose are reactors, the piston is a moving wall, heat passes through walls, leaks and check valve are mass
flow controllers: mass, energy, gas and integration are Cantera's. From docs/theory/cranking.md come the law of flow and
the heat correlations alone, which its devices ask for. The valves stay shut, so that every turn compresses.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import cantera as ct
import numpy as np
from numpy.typing import NDArray
from tests.cranked import DEGREE, Cranked
from tests.reference_cranking import AIR, flow, heat_coefficient

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ClosedCycle:
    """What the network gives at the asked angles; energies and masses are sums over both volumes since the start."""

    angle: Floats
    pressure: Floats
    temperature: Floats
    mass: Floats
    hose_pressure: Floats
    hose_temperature: Floats
    hose_mass: Floats
    highest: Floats
    entropy: Floats
    volume: Floats


def air(temperature: float, pressure: float) -> ct.Solution:
    """Return dry air as a Cantera phase with three species and no reactions."""
    species = [one for one in ct.Species.list_from_file("air.yaml") if one.name in AIR]
    gas = ct.Solution(thermo="ideal-gas", species=species)
    gas.TPX = temperature, pressure, AIR
    return gas


class Network:
    """The reactors of one closed cylinder and its gauge."""

    def __init__(
        self,
        engine: Cranked,
        from_angle: float,
        cylinder: tuple[float, float],
        hose: tuple[float, float],
        *,
        rtol: float = 1e-10,
    ) -> None:
        """Build it; `cylinder` and `hose` are pressure and temperature at the first angle. [Pa], [K]"""
        self.engine, self.from_angle = engine, from_angle
        self.gas, self.hose_gas = air(cylinder[1], cylinder[0]), air(hose[1], hose[0])
        self.manifold_gas, self.outside_gas = air(engine.inlet_air, engine.manifold), air(engine.wall, engine.ambient)
        volume = engine.clearance + engine.adapter + engine.swept(from_angle)
        self.cylinder = ct.IdealGasReactor(self.gas, clone=False)
        self.cylinder.volume = volume
        self.hose = ct.IdealGasReactor(self.hose_gas, clone=False)
        self.hose.volume = engine.hose
        manifold = ct.Reservoir(self.manifold_gas, clone=False)
        outside = ct.Reservoir(self.outside_gas, clone=False)
        for reactor in (self.cylinder, self.hose):
            reactor.chemistry_enabled = False

        leaks = engine.leak_rings + engine.leak_exhaust + engine.leak_gasket
        self.parts: list[ct.Wall | ct.MassFlowController] = [
            ct.Wall(self.cylinder, outside, A=1.0, velocity=self._expanding),
            ct.Wall(self.cylinder, outside, A=1.0, Q=self._to_walls),
            ct.Wall(self.hose, manifold, A=1.0, Q=self._from_hose),
            ct.MassFlowController(self.cylinder, self.hose, mdot=self._checked),
            *self._leak(leaks, outside, self.outside_gas),
            *self._leak(engine.leak_intake, manifold, self.manifold_gas),
        ]
        self.net = ct.ReactorNet([self.cylinder, self.hose])
        self.net.rtol, self.net.atol = rtol, 1e-4 * rtol * min(self.hose.mass, self.cylinder.mass)
        self.net.max_steps = 100_000

    def _leak(self, area: float, side: ct.Reservoir, gas: ct.Solution) -> list[ct.MassFlowController]:
        """Return a leak as two devices, one for each direction."""
        if area <= 0.0:
            return []
        pressure, temperature, gamma = gas.P, gas.T, gas.cp / gas.cv

        def out(_: float) -> float:
            return flow(area, self.gas.P, self.gas.T, pressure, self.gas.cp / self.gas.cv)

        def back(_: float) -> float:
            return flow(area, pressure, temperature, self.gas.P, gamma)

        return [
            ct.MassFlowController(self.cylinder, side, mdot=out),
            ct.MassFlowController(side, self.cylinder, mdot=back),
        ]

    def _angle(self, time: float) -> float:
        return self.from_angle + self.engine.speed * time

    def _expanding(self, time: float) -> float:
        return self.engine.speed * self.engine.swept_rate(self._angle(time))

    def _to_walls(self, time: float) -> float:
        engine = self.engine
        chamber = engine.clearance + engine.swept(self._angle(time))
        speed = engine.stroke * engine.speed / math.pi
        alpha = heat_coefficient(engine.heat_model, self.gas.P, self.gas.T, chamber, engine.bore, speed)
        surface = math.pi / 2 * engine.bore**2 + 4 * chamber / engine.bore
        return engine.heat_factor * alpha * surface * (self.gas.T - engine.wall)

    def _from_hose(self, _: float) -> float:
        return self.engine.hose_conductance * (self.hose_gas.T - self.engine.inlet_air)

    def _checked(self, _: float) -> float:
        driving = self.gas.P - self.engine.opening
        return flow(self.engine.check_area, driving, self.gas.T, self.hose_gas.P, self.gas.cp / self.gas.cv)

    def run(self, angles: Floats, largest: Callable[[float], float]) -> ClosedCycle:
        """Integrate to each angle in turn, no step longer than `largest` says for where the crank stands. [rad]"""
        rows = []
        here, top = self.from_angle, self.hose_gas.P
        for angle in angles:
            while here < angle:
                step = largest(here)
                here = min(here + step, angle)
                self.net.max_time_step = step / self.engine.speed
                self.net.advance((here - self.from_angle) / self.engine.speed)
                top = max(top, self.hose.phase.P)
            gas, hose = self.cylinder.phase, self.hose.phase
            masses, volume = (self.cylinder.mass, self.hose.mass), self.cylinder.volume
            rows.append((angle, gas.P, gas.T, masses[0], hose.P, hose.T, masses[1], top, gas.s, volume))
        return ClosedCycle(*np.array(rows).T)


def closed_cycle(
    engine: Cranked,
    angles: Floats,
    *,
    cylinder: tuple[float, float] | None = None,
    hose: tuple[float, float] | None = None,
    rtol: float = 1e-10,
    finest: float = 0.02 * DEGREE,
    coarsest: float = 0.25 * DEGREE,
) -> ClosedCycle:
    """
    Return the closed cycle at the asked angles, the first of which is where it begins.

    Parameters
    ----------
    angles : array
        Rising. [rad]
    cylinder, hose : tuple of float, optional
        Pressure and temperature at the first angle; the manifold's and the barometer's if left out. [Pa], [K]
    rtol : float
        Relative tolerance of the integration. [-]
    finest, coarsest : float
        Longest step within 25 degrees of a top dead centre, where the needle's highest point is, and elsewhere. [rad]
    """
    network = Network(
        engine,
        float(angles[0]),
        cylinder or (engine.manifold, engine.inlet_air),
        hose or (engine.ambient, engine.inlet_air),
        rtol=rtol,
    )
    return network.run(angles, lambda angle: finest if math.cos(angle) > math.cos(25 * DEGREE) else coarsest)
