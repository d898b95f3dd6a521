"""
How closely and how fast the model of a cranked cylinder is solved, line by line beside its bar.

Run it as ``python -m benchmarks.physics`` from the top of the project: its references are those of the tests. Times are
processor time of one core, the best of several runs, all in this one run. Engines are invented, the same on every
machine. Exit 1 when a bar is broken.
"""

from __future__ import annotations

import sys

import numpy as np
from benchmarks.lines import Line, seconds, told
from numpy.typing import NDArray
from tests.cranked import DEGREE, Cranked, sealed
from tests.cranked_kernel import full, many, shut, trace
from tests.engines import draws
from tests.reference_cranking import readings, readings_by_odeint, readings_by_solve_ivp
from tests.reference_cylinder import closed_cycle

Floats = NDArray[np.float64]

STROKES, ENGINES = 10, 100
WORKING, CONVERGED = 1.0, 0.1
ANGLES = DEGREE * np.arange(-180.0, 181.0, 10.0)
TEN_TURNS = DEGREE * np.arange(-180.0, 3421.0, 360.0)
LEAKING = Cranked(leak_intake=0.2e-6, leak_exhaust=0.3e-6, leak_gasket=0.1e-6)


def apart(found: Floats, wanted: Floats) -> float:
    """Return the largest relative difference. [-]."""
    return float(np.max(np.abs(found / wanted - 1)))


def one_turn(engine: Cranked, step_deg: float) -> Floats:
    """Return pressures and temperatures of both volumes at the angles, valves shut, by the kernel."""
    rows = trace(
        shut(engine),
        (float(ANGLES[0]), float(ANGLES[-1])),
        step_deg,
        (engine.manifold, engine.inlet_air),
        (engine.ambient, engine.inlet_air),
    )
    return np.asarray(rows[:: round(10 / step_deg), 1:5])


def closeness() -> list[Line]:
    """Return how close the kernels come to energy balance, Cantera and LSODA."""
    engines = draws(ENGINES, 10e-6, seed=1)
    lines = [
        Line(f"energy residual over work, step {step:g} deg", max(full(e, STROKES, step)[1] for e in engines), bar)
        for step, bar in ((WORKING, 1e-5), (CONVERGED, 1e-8))
    ]
    lossless = sealed(LEAKING)
    lines.append(
        Line(
            "sealed cylinder, pressure beside Cantera",
            apart(one_turn(lossless, WORKING)[:, 0], closed_cycle(lossless, ANGLES, rtol=1e-12).pressure),
            1e-6,
        )
    )
    network = closed_cycle(LEAKING, ANGLES)
    theirs = np.column_stack([network.pressure, network.temperature, network.hose_pressure, network.hose_temperature])
    for step, bar in ((WORKING, 3e-4), (CONVERGED, 1e-5)):
        found = apart(one_turn(LEAKING, step), theirs)
        lines.append(Line(f"closed cylinder with losses and gauge beside Cantera, {step:g} deg", found, bar))
    some = engines[:10]
    for step in (WORKING, CONVERGED):
        found = max(apart(full(e, STROKES, step)[0], readings(e, STROKES)) for e in some)
        lines.append(Line(f"whole cycle beside LSODA, {step:g} deg", found))
    return lines


def stroke_map() -> list[Line]:
    """Return how close the working path comes to the full equations; engines it hands back to them count too."""
    lines = []
    for throttled in (1.0, 0.7):
        for leak, bar in ((2e-6, 2e-3), (10e-6, 6e-3)):
            engines = draws(ENGINES, leak, seed=1, throttled=throttled)
            found, held = many(engines, STROKES)
            off = np.array([apart(row, full(e, STROKES, CONVERGED)[0]) for row, e in zip(found, engines, strict=True)])
            of = f"leaks to {1e6 * leak:g} mm2" + ("" if throttled == 1.0 else f", manifold from {throttled:g}")
            lines.append(Line(f"stroke map beside full equations, {of}", float(off.max()), bar))
            lines.append(Line("    nine of ten within", float(np.quantile(off, 0.9))))
            lines.append(Line("    share handed to the full equations", float(1 - held.mean())))
    return lines


def speed() -> list[Line]:
    """Return how fast the working path is, and how much faster than what it is held against."""
    engines = draws(ENGINES, 2e-6, seed=1)
    each = seconds(lambda: many(engines, STROKES)) / ENGINES
    some = engines[:10]
    ivp = seconds(lambda: [readings_by_solve_ivp(e, STROKES) for e in some], 3) / len(some)
    once = seconds(lambda: [readings_by_odeint(e, STROKES) for e in some], 3) / len(some)
    tight = seconds(lambda: closed_cycle(LEAKING, TEN_TURNS), 1)
    loosened = seconds(lambda: closed_cycle(LEAKING, TEN_TURNS, rtol=1e-6, finest=1 * DEGREE, coarsest=5 * DEGREE), 3)
    return [
        Line(f"tests of {STROKES} strokes a second, one core", 1 / each, 5000, at_least=True),
        Line("times faster than Cantera's network, ten compressions", tight / each, 1000, at_least=True),
        Line("    than the same network loosened to 0.01 %", loosened / each),
        Line("times faster than LSODA (solve_ivp, 1e-6, compiled equations)", ivp / each, 150, at_least=True),
        Line("    than LSODA in one call of odeint", once / each),
    ]


def main() -> int:
    """Print every line; exit 1 when a bar is broken."""
    return 1 if told(line for part in (closeness, stroke_map, speed) for line in part()) else 0


if __name__ == "__main__":
    sys.exit(main())
