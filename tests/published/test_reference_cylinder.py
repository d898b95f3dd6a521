"""
The kernels beside other people's solvers: a network of Cantera's reactors, and LSODA on equations written apart.

Nothing here is printed anywhere: the expected values are what Cantera 3.2 and ODEPACK's LSODA (in scipy) give for the
equations of docs/theory/cranking.md. The bands are the project's own: 0.03 % at the working step of one degree, 0.001 %
at a tenth of a degree, 1e-6 for a cylinder that loses nothing.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.cranked import ANNAND, DEGREE, HOHENBERG, NO_HEAT, WOSCHNI, Cranked, ratio_of, sealed
from tests.cranked_kernel import full, mapped, shut, trace
from tests.engines import draws
from tests.reference_cranking import integrate, readings, state_of
from tests.reference_cylinder import ClosedCycle, closed_cycle

Floats = NDArray[np.float64]

ONE_TURN = DEGREE * np.arange(-180.0, 181.0, 10.0)
THREE_TURNS = DEGREE * np.arange(-180.0, 901.0, 30.0)
WORKING, CONVERGED = 1.0, 0.1

LEAKING = Cranked(leak_intake=0.2e-6, leak_exhaust=0.3e-6, leak_gasket=0.1e-6)
CLOSED = {
    "sound": Cranked(leak_rings=0.05e-6),
    "leaking": LEAKING,
    "leaking badly": Cranked(leak_rings=2e-6, leak_exhaust=3e-6, heat_model=WOSCHNI),
    "slow and cold": Cranked(speed=8.0, wall=280.0, inlet_air=270.0, heat_model=HOHENBERG),
    "throttled": Cranked(manifold=70e3, leak_intake=1e-6),
    "small hose, stiff valve": Cranked(hose=5e-6, opening=20e3, check_area=6e-6),
    "no heat": Cranked(heat_model=NO_HEAT, hose_conductance=0.0),
}


def by_kernel(engine: Cranked, angles: Floats, step_deg: float) -> Floats:
    """Return the rows of the kernel's trace at the angles, from the same state as the network's."""
    rows = trace(
        shut(engine),
        (float(angles[0]), float(angles[-1])),
        step_deg,
        (engine.manifold, engine.inlet_air),
        (engine.ambient, engine.inlet_air),
    )
    at: NDArray[np.int64] = np.rint((angles - angles[0]) / (step_deg * DEGREE)).astype(np.int64)
    assert rows[at, 0] == pytest.approx(angles, abs=1e-9)
    return np.asarray(rows[at])


def apart(rows: Floats, cycle: ClosedCycle) -> float:
    """Return the largest relative difference of pressures and temperatures in both volumes."""
    theirs = np.column_stack([cycle.pressure, cycle.temperature, cycle.hose_pressure, cycle.hose_temperature])
    return float(np.abs(rows[:, 1:5] / theirs - 1).max())


# If this failed, the network would not be a sealed cylinder: it would lose mass, or gain entropy, or another volume.
def test_network_sealed_keeps_mass_and_entropy() -> None:
    engine = sealed(Cranked())
    cycle = closed_cycle(engine, ONE_TURN)
    exact = engine.clearance + engine.adapter + np.array([engine.swept(angle) for angle in ONE_TURN])
    assert cycle.mass == pytest.approx(np.full(len(ONE_TURN), cycle.mass[0]), rel=1e-12)
    assert cycle.volume == pytest.approx(exact, rel=1e-6)
    assert np.ptp(cycle.entropy) < 1e-3  # of about 7000 J/(kg K)


# If this failed, the network would not compress air as its own library does (GA-05: Cantera at constant entropy).
@pytest.mark.parametrize(
    ("temperature", "pressure", "ratio", "ends_with"),
    [(300.0, 100e3, 9.5, 2268.22e3), (300.0, 101.325e3, 10.0, 2464.68e3), (293.15, 101.325e3, 9.0, 2139.16e3)],
)
def test_network_sealed_ga05(temperature: float, pressure: float, ratio: float, ends_with: float) -> None:
    engine = ratio_of(sealed(Cranked()), ratio)
    cycle = closed_cycle(
        engine,
        np.array([-math.pi, 0.0]),
        cylinder=(pressure, temperature),
        hose=(pressure, temperature),
    )
    assert cycle.pressure[-1] == pytest.approx(ends_with, rel=5e-6)


# If this failed, the network would make or lose mass between cylinder and hose, or answer by the size of its steps.
def test_network_balances_and_does_not_depend_on_its_steps() -> None:
    tight = closed_cycle(replace(LEAKING, leak_rings=0.0, leak_intake=0.0, leak_exhaust=0.0, leak_gasket=0.0), ONE_TURN)
    assert tight.hose_mass[-1] > 1.5 * tight.hose_mass[0]
    both = tight.mass + tight.hose_mass
    assert both == pytest.approx(np.full(len(both), both[0]), rel=1e-9)
    once = closed_cycle(LEAKING, ONE_TURN)
    again = closed_cycle(LEAKING, ONE_TURN, rtol=1e-11, finest=0.01 * DEGREE, coarsest=0.1 * DEGREE)
    assert once.pressure == pytest.approx(again.pressure, rel=2e-7)
    assert once.highest == pytest.approx(again.highest, rel=2e-7)


# If this failed, the two references would not be the same cylinder, and neither could be held against the kernels.
@pytest.mark.parametrize("engine", CLOSED.values(), ids=CLOSED)
def test_references_agree(engine: Cranked) -> None:
    cycle = closed_cycle(engine, ONE_TURN)
    begin = state_of(engine, cycle.volume[0], (engine.manifold, engine.inlet_air), (engine.ambient, engine.inlet_air))
    states, highest = integrate(shut(engine), begin, ONE_TURN, steady=True)
    theirs = np.column_stack([cycle.mass, cycle.temperature, cycle.hose_mass, cycle.hose_temperature])
    assert states == pytest.approx(theirs, rel=1e-6)
    assert highest == pytest.approx(cycle.highest, rel=1e-6)


# If this failed, the first law or the gas in the kernels would be wrong, whatever leaks and walls do.
@pytest.mark.parametrize("step", [WORKING, CONVERGED])
@pytest.mark.parametrize("ratio", [8.0, 11.0, 21.0])
def test_kernel_sealed_beside_cantera(ratio: float, step: float) -> None:
    engine = ratio_of(sealed(Cranked()), ratio)
    cycle = closed_cycle(engine, ONE_TURN, rtol=1e-12)
    rows = by_kernel(engine, ONE_TURN, step)
    assert rows[:, 1] == pytest.approx(cycle.pressure, rel=1e-6)
    assert rows[:, 2] == pytest.approx(cycle.temperature, rel=1e-6)


# If this failed, a leak, a wall, a check valve or a hose would not do in the kernels what the page says of it.
@pytest.mark.parametrize(("step", "band"), [(WORKING, 3e-4), (CONVERGED, 1e-5)])
@pytest.mark.parametrize("engine", CLOSED.values(), ids=CLOSED)
def test_kernel_beside_cantera(engine: Cranked, step: float, band: float) -> None:
    assert apart(by_kernel(engine, ONE_TURN, step), closed_cycle(engine, ONE_TURN)) < band


# If this failed, what the hose keeps from one compression to the next would drift away from the network's.
def test_kernel_beside_cantera_over_three_turns() -> None:
    cycle = closed_cycle(LEAKING, THREE_TURNS)
    assert apart(by_kernel(LEAKING, THREE_TURNS, WORKING), cycle) < 3e-4
    assert apart(by_kernel(LEAKING, THREE_TURNS, CONVERGED), cycle) < 1e-5


# If this failed, valves, starter or the needle would differ from the page: the whole cycle, from standstill, by LSODA.
@pytest.mark.in_part(2)
@pytest.mark.parametrize("number", range(6))
def test_kernel_beside_lsoda(number: int) -> None:
    engine = draws(6, 10e-6, seed=11, throttled=0.7)[number]
    theirs = readings(engine, 4)
    assert full(engine, 4, WORKING)[0] == pytest.approx(theirs, rel=5e-4)
    assert full(engine, 4, CONVERGED)[0] == pytest.approx(theirs, rel=3e-5)


# If this failed, energy would come from nowhere: what stays in the gas, went to the walls and came by work and by flow.
@pytest.mark.in_part(2)
@pytest.mark.parametrize("number", range(6))
def test_kernel_keeps_the_energy_balance(number: int) -> None:
    wide_open = draws(6, 10e-6, seed=11)[number]
    assert full(wide_open, 10, WORKING)[1] < 1e-5
    assert full(wide_open, 10, CONVERGED)[1] < 1e-8
    throttled = draws(6, 10e-6, seed=11, throttled=0.7)[number]
    assert full(throttled, 10, WORKING)[1] < 1e-5


# If this failed, LSODA itself would not have settled, and the test above would compare with a guess.
def test_lsoda_does_not_depend_on_its_steps() -> None:
    engine = draws(1, 2e-6, seed=11)[0]
    finer = readings(engine, 3, rtol=1e-11, largest=0.1 * DEGREE)
    assert readings(engine, 3) == pytest.approx(finer, rel=2e-7)


# If this failed, the working path would tell another story than the equations it stands for.
@pytest.mark.parametrize("model", [ANNAND, WOSCHNI, HOHENBERG])
def test_stroke_map_beside_lsoda(model: int) -> None:
    for leak in (0.05e-6, 2e-6):
        engine = Cranked(heat_model=model, leak_rings=leak)
        found, held = mapped(engine, 6)
        assert held
        assert found == pytest.approx(readings(engine, 6), rel=2e-3)
