"""An engine's cylinder, gauge and day, as plain numbers for the reference models of the tests."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

DEGREE = math.pi / 180
NO_HEAT, ANNAND, WOSCHNI, HOHENBERG = 0, 1, 2, 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Cranked:
    """
    What the equations of docs/theory/cranking.md need, in SI; the symbol of that page stands behind each.

    Angles are of the crank, 0 at top dead centre of compression; seat angles of the valves lie on -2 pi to 2 pi and may
    reach over its ends. The invented engine of the defaults is a 0.65-litre cylinder with a soft gauge.
    """

    bore: float = 0.092  # B
    stroke: float = 0.098  # S
    rod: float = 0.175  # l
    clearance: float = 88e-6  # V_c
    adapter: float = 2e-6  # V_a
    hose: float = 20e-6  # V_h
    opening: float = 5e3  # p_v
    check_area: float = 3e-6  # A_v
    hose_conductance: float = 0.02  # G_h
    ambient: float = 100e3  # p_0
    manifold: float = 100e3  # p_m
    inlet_air: float = 293.15  # T_i
    wall: float = 350.0  # T_w
    speed: float = 20.0  # omega_infinity
    run_up: float = 1.0  # phi_r
    start: float = 3.5 * math.pi  # angle turned from standstill to the first compression top dead centre
    heat_model: int = ANNAND
    heat_factor: float = 1.0  # k
    leak_rings: float = 0.3e-6  # A_r
    leak_intake: float = 0.0  # A_i
    leak_exhaust: float = 0.0  # A_e
    leak_gasket: float = 0.0  # A_g
    intake_opens: float = -2 * math.pi - 8 * DEGREE
    intake_closes: float = -math.pi + 44 * DEGREE
    exhaust_opens: float = math.pi - 46 * DEGREE
    exhaust_closes: float = 2 * math.pi + 6 * DEGREE
    intake_lift: float = 0.0105
    intake_diameter: float = 0.044
    intake_cd: float = 0.6
    exhaust_lift: float = 0.0100
    exhaust_diameter: float = 0.037
    exhaust_cd: float = 0.6
    lift_exponent: float = 1.35  # q

    def vector(self) -> NDArray[np.float64]:
        """Return the fields in their order, for compiled code."""
        return np.array([float(getattr(self, field.name)) for field in fields(self)])

    @property
    def piston_area(self) -> float:
        """Area of the piston. [m2]"""
        return math.pi / 4 * self.bore**2

    def swept(self, angle: float) -> float:
        """Return what the piston has uncovered at a crank angle. [m3]"""
        crank = self.stroke / 2
        reach = crank * math.cos(angle) + math.sqrt(self.rod**2 - (crank * math.sin(angle)) ** 2)
        return self.piston_area * (crank + self.rod - reach)

    def swept_rate(self, angle: float) -> float:
        """Return how fast the piston uncovers volume, per angle turned. [m3/rad]"""
        crank = self.stroke / 2
        sine, cosine = math.sin(angle), math.cos(angle)
        return self.piston_area * crank * sine * (1 + crank * cosine / math.sqrt(self.rod**2 - (crank * sine) ** 2))


def ratio_of(engine: Cranked, ratio: float) -> Cranked:
    """Return the engine with the clearance that makes a compression ratio, its adapter counted in."""
    return replace(engine, clearance=engine.swept(math.pi) / (ratio - 1) - engine.adapter)


def sealed(engine: Cranked) -> Cranked:
    """Return the engine with nothing lost: no leak, no heat, a gauge that never opens."""
    return replace(
        engine,
        heat_model=NO_HEAT,
        hose_conductance=0.0,
        leak_rings=0.0,
        leak_intake=0.0,
        leak_exhaust=0.0,
        leak_gasket=0.0,
        check_area=0.0,
    )
