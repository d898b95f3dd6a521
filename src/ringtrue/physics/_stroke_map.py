"""
The working path: one compression worked out once, and for each stroke only what the check valve sees of it.

While the valves are wide open the cylinder follows the manifold; the full equations begin where the pressure that the
flow needs is no longer small. Where that is never so (a lobe with hardly any lift left), `readings` hands the cylinder
to the full equations whole.
"""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor
from functools import cache

import numpy as np

from ringtrue.physics import _gas
from ringtrue.physics import _kernels as k
from ringtrue.physics._compiling import compiled, inlined
from ringtrue.physics._kernels import Flags, Matrix, State, Vector

FINE = 1.8 * k.DEGREE
"""Step of compression and of the windows in which the check valve is open. [rad]"""
COARSE = 9.0 * k.DEGREE
"""Step of expansion, after which only a remainder is kept. [rad]"""
OPEN = 3.5 * k.DEGREE
"""Step while the valves are wide open. [rad]"""
EASY = 0.002
"""Pressure drop, over pressure, up to which an open valve is taken to hold the cylinder at its port's pressure. [-]"""
HARD = 0.02
"""Pressure drop in the intake stroke from which the map does not hold. [-]"""
ABRUPT = 0.06
"""The same where the valve has closed so far within one step. [-]"""
UNTHROTTLED = 0.005
"""
Share by which the manifold may differ from the surrounding air; beyond it the ports are no longer alike in the overlap,
and the map is good to 1 % only (a long overlap, a third of the pressure throttled away). [-]
"""
SAME_SPEED = 0.002
"""Speeds closer than this share make the same compression. [-]"""
BRISK = 2.3
"""Longest substep, times the fastest rate at which leaks and valves even out pressures. [-]"""
EAGER = 1.7
"""Fastest rate at which the check valve is taken to even out pressures, times the substep. [-]"""
FULL_STEP = 1.0
"""Step of the full equations where the map does not hold. [deg]"""
SAME_REMAINDER = 0.01
"""Temperatures of what stays in the cylinder, closer than this share, make the same compression. [-]"""
REMAINDERS = 2
"""Strokes whose remainder is worked out; after them it hardly changes."""
LONGEST = 800
"""Most points of one compression."""
CORES = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
"""Cores that this process may use."""
ROWS_WORTH_A_CORE = 16
"""Cylinders from which handing them to another core saves more than it takes."""


@inlined
def drop_needed(flow: float, area: float, pressure: float, temperature: float) -> float:
    """Pressure drop, over pressure, that drives a flow through an opening. [-]."""
    if area <= 0.0:
        return 1.0
    share = flow * math.sqrt(k.R * temperature) / (area * pressure)
    return 0.5 * share * share


@inlined
def held_flow(
    q: Vector, place: k.Place, omega: float, pressure: float, temp: float, outside_temp: float, film: float
) -> float:
    """Flow that holds the cylinder at one pressure while the piston moves; inwards is positive. [kg/s]."""
    volume, growth = place
    specific = _gas.cp(temp)
    heat = film * k.heat_area(q, volume) * (temp - q[k.WALL])
    wanted = pressure * growth * omega * specific / k.R + heat
    if wanted < 0.0:
        return wanted / (specific * temp)
    inner = _gas.enthalpy(temp) - k.R * temp
    return wanted / (_gas.enthalpy(outside_temp) - inner + (specific - k.R) * temp)


@inlined
def held_temperature(q: Vector, angle: float, pressure: float, mass: float) -> float:
    """Temperature of the mass that is in the cylinder. [K]."""
    return pressure * (k.place_at(q, angle)[0] + q[k.ADAPTER]) / (k.R * mass)


@inlined
def held_start(
    q: Vector, angle: float, omega: float, pressure: float, temp: float, outside_temp: float
) -> tuple[float, float]:
    """Flow at the beginning of a step [kg/s], and the heat transfer coefficient there [W/(m2 K)]."""
    place = k.place_at(q, angle)
    film = k.film(q, pressure, temp, place[0], omega)
    return held_flow(q, place, omega, pressure, temp, outside_temp, film), film


@inlined
def held_step(
    q: Vector,
    angle: float,
    step: float,
    omega: float,
    mass: float,
    pressure: float,
    outside_temp: float,
    start: tuple[float, float],
) -> float:
    """Carry the mass over one step at the port's pressure by the midpoint method, its start given. [kg]."""
    flow, film = start
    half = mass + flow * step / 2 / omega
    place = k.place_at(q, angle + step / 2)
    temp = pressure * (place[0] + q[k.ADAPTER]) / (k.R * half)
    return mass + held_flow(q, place, omega, pressure, temp, outside_temp, film) * step / omega


@inlined
def omega_at(q: Vector, stroke: int, angle: float) -> float:
    """Speed at an angle of that stroke. [rad/s]."""
    return k.speed_after(q, q[k.START] + stroke * k.CYCLE + angle)


@compiled
def trapped(q: Vector, stroke: int, begins: float, residual_temp: float) -> tuple[float, float, float, bool]:
    """
    Fill the cylinder from the end of exhaust to where the intake valve no longer holds it at the manifold's pressure.

    Returns the angle there, mass, temperature, and whether the map holds.
    """
    angle = begins
    pressure = q[k.MANIFOLD]
    mass = pressure * (k.place_at(q, angle)[0] + q[k.ADAPTER]) / (k.R * residual_temp)
    bottom = -math.pi
    while angle < q[k.INTAKE_CLOSES]:
        omega = omega_at(q, stroke, angle)
        step = OPEN if angle < bottom - OPEN else OPEN / 3
        temp = held_temperature(q, angle, pressure, mass)
        intake, exhaust = k.intake_area(q, angle + step / 2), k.exhaust_area(q, angle + step / 2)
        # While both valves are open the piston draws from both ports.
        drawn = q[k.INLET_AIR]
        if exhaust > 0.0:
            drawn = (intake * q[k.INLET_AIR] + exhaust * q[k.WALL]) / (intake + exhaust)
        start = held_start(q, angle, omega, pressure, temp, drawn)
        needed = drop_needed(start[0], intake + exhaust, pressure, temp)
        if angle < bottom and needed > HARD and angle > -2 * math.pi + 0.5:
            return angle, mass, temp, False
        if angle >= bottom and needed > EASY:
            # The pressure that drives the flow out has already compressed what stays.
            gamma = k.gamma_at(temp)
            return angle, mass * (1.0 + needed / gamma), temp * (1.0 + needed * (gamma - 1.0) / gamma), needed < ABRUPT
        mass = held_step(q, angle, step, omega, mass, pressure, drawn, start)
        angle += step
    return angle, mass, held_temperature(q, angle, pressure, mass), True


@inlined
def step_at(angle: float) -> float:
    """Step of compression: longer where little happens. [rad]."""
    if angle > -30 * k.DEGREE:
        return FINE
    return 1.5 * FINE if angle > -60 * k.DEGREE else 3 * FINE


@inlined
def window_step_at(stroke: int, angle: float) -> float:
    """Step while the check valve may be open: shorter where the needle comes to rest. [rad]."""
    if angle > -6 * k.DEGREE:
        return 0.8 * FINE
    return FINE if stroke == 0 else 1.5 * FINE


@compiled
def compression(q: Vector, stroke: int, angle: float, mass: float, temp: float, path: Matrix) -> int:
    """
    Compress without a gauge behind the check valve, from an angle to a little past the highest pressure.

    Fills rows of ``path`` with angle, mass, temperature, pressure; returns how many.
    """
    state = (mass, temp, 1.0, 300.0, 0.0, 0.0, 0.0)
    place = k.place_at(q, angle)
    count, highest = 0, 0.0
    while count < LONGEST:
        pressure = state[0] * k.R * state[1] / (place[0] + q[k.ADAPTER])
        path[count, 0], path[count, 1], path[count, 2], path[count, 3] = angle, state[0], state[1], pressure
        count += 1
        highest = max(highest, pressure)
        # Where a leak lets it all out there is no peak to wait for.
        if angle > 2 * k.DEGREE and (pressure < 0.995 * highest or angle > 60 * k.DEGREE):
            break
        step = step_at(angle)
        turned = q[k.START] + stroke * k.CYCLE + angle
        state, _, place = k.carry(q, angle, step, turned, place, state, angle < q[k.INTAKE_CLOSES], False, BRISK, 0.0)
        angle += step
    return count


@compiled
def remainder(q: Vector, stroke: int, angle: float, mass: float, temp: float) -> float:
    """Expand and blow out; returns the temperature of what is left at the end of exhaust. [K]."""
    state = (mass, temp, 1.0, 300.0, 0.0, 0.0, 0.0)
    # The exhaust valve is open at once, a little after it leaves its seat.
    opened = min(q[k.EXHAUST_OPENS] + 15 * k.DEGREE, math.pi)
    place = k.place_at(q, angle)
    while angle < opened:
        step = min(COARSE, opened - angle)
        turned = q[k.START] + stroke * k.CYCLE + angle
        state, _, place = k.carry(q, angle, step, turned, place, state, False, False, BRISK, 0.0)
        angle += max(step, 1e-9)
    volume = place[0] + q[k.ADAPTER]
    mass, temp = state[0], state[1]
    pressure = mass * k.R * temp / volume
    outside = q[k.AMBIENT]
    if pressure > outside:
        # What leaves first expands what stays.
        gamma = k.gamma_at(temp)
        temp *= math.exp((gamma - 1) / gamma * math.log(outside / pressure))
        mass = outside * volume / (k.R * temp)
    else:
        # Air flows back until the pressures are equal: the energy of both, at constant volume.
        gamma = k.gamma_at(temp)
        came = (outside - pressure) * volume / (gamma * k.R * q[k.WALL])
        mass += came
        temp = outside * volume / (k.R * mass)
    end = 2 * math.pi + min(q[k.INTAKE_OPENS] + 2 * math.pi, 0.0)
    while angle < end:
        step = min(3 * OPEN, end - angle)
        omega = omega_at(q, stroke, angle)
        temp = held_temperature(q, angle, outside, mass)
        start = held_start(q, angle, omega, outside, temp, q[k.WALL])
        mass = held_step(q, angle, step, omega, mass, outside, q[k.WALL], start)
        angle += max(step, 1e-9)
    return held_temperature(q, angle, outside, mass)


@compiled
def opening(path: Matrix, count: int, wanted: float) -> int:
    """Return the row after which the cylinder passes a pressure for the first time; -1 where it never does."""
    for row in range(count - 1):
        if path[row + 1, 3] > wanted:
            return row
    return -1


@compiled
def summit(path: Matrix, count: int) -> float:
    """Angle of the highest pressure: of the parabola through the highest row and its neighbours. [rad]."""
    top = 1
    while top < count - 2 and path[top + 1, 3] > path[top, 3]:
        top += 1
    before, after = path[top, 0] - path[top - 1, 0], path[top + 1, 0] - path[top, 0]
    rise, fall = (path[top, 3] - path[top - 1, 3]) / before, (path[top + 1, 3] - path[top, 3]) / after
    return path[top, 0] + (rise * after + fall * before) / (2.0 * (rise - fall)) if rise > fall else path[top, 0]


@compiled
def rested(
    q: Vector, stroke: int, path: Matrix, count: int, shut_at: float, hose_mass: float, hose_temp: float
) -> float:
    """Temperature of the hose when the check valve opens in this stroke, after it shut in the last one. [K]."""
    opens = -20 * k.DEGREE
    cooled = hose_temp
    for _ in range(2):
        rest = (k.CYCLE - shut_at + opens) / omega_at(q, stroke, -k.CYCLE / 2)
        specific = _gas.cp((hose_temp + cooled) / 2) - k.R
        share = math.exp(-q[k.HOSE_CONDUCTANCE] * rest / (hose_mass * specific))
        cooled = q[k.INLET_AIR] + (hose_temp - q[k.INLET_AIR]) * share
        row = opening(path, count, hose_mass * k.R * cooled / q[k.HOSE] + q[k.OPENING])
        if row >= 0:
            opens = path[row, 0]
    return cooled


@compiled
def window(
    q: Vector, stroke: int, path: Matrix, count: int, highest_at: float, hose_mass: float, hose_temp: float
) -> tuple[State, float, float]:
    """
    Carry one stroke through the angles in which the check valve is open.

    Returns the state when it shuts, the highest pressure in the hose, and the angle where it shuts.
    """
    pressure = hose_mass * k.R * hose_temp / q[k.HOSE]
    wanted = pressure + q[k.OPENING]
    row = opening(path, count, wanted)
    if row < 0:
        last = count - 1
        still = (path[last, 1], path[last, 2], hose_mass, hose_temp, 0.0, 0.0, 0.0)
        return still, pressure, path[last, 0]
    angle = path[row, 0]
    state = (path[row, 1], path[row, 2], hose_mass, hose_temp, 0.0, 0.0, 0.0)
    below, above = path[row, 3], path[row + 1, 3]
    step = (path[row + 1, 0] - angle) * max(wanted - below, 0.0) / (above - below)
    start = q[k.START] + stroke * k.CYCLE
    place = k.place_at(q, angle)
    lifted = angle < q[k.INTAKE_CLOSES]
    if step > 0.0:
        state, _, place = k.carry(q, angle, step, start + angle, place, state, lifted, False, BRISK, 0.0)
    angle += step
    highest = pressure
    while angle < math.pi / 2:
        step = window_step_at(stroke, angle)
        if angle < highest_at:
            step = (highest_at - angle) / math.ceil((highest_at - angle) / step)
        lifted = angle < q[k.INTAKE_CLOSES]
        state, top, place = k.carry(q, angle, step, start + angle, place, state, lifted, True, BRISK, EAGER)
        angle += step
        highest = max(highest, top)
        inside = state[0] * k.R * state[1] / (place[0] + q[k.ADAPTER])
        if angle > 0.0 and inside - q[k.OPENING] <= state[2] * k.R * state[3] / q[k.HOSE]:
            break
    return state, highest, angle


@compiled
def readings(q: Vector, strokes: int) -> tuple[Vector, bool]:
    """
    Crank the cylinder by the stroke map.

    Returns the highest absolute pressure in the hose after each compression stroke [Pa], and whether the map holds.
    Where it does not, the pressures are not numbers; behind a throttle (`UNTHROTTLED`) they are good to 1 %.
    """
    found = np.full(strokes, np.nan)
    path = np.empty((LONGEST, 4))
    hose_temp = q[k.INLET_AIR]
    hose_mass = q[k.AMBIENT] * q[k.HOSE] / (k.R * hose_temp)
    needle = q[k.AMBIENT]
    residual, made_at, made_with, shut_at = q[k.WALL], 1.0, 1.0, 0.0
    count, highest_at = 0, 0.0
    alike = abs(q[k.MANIFOLD] / q[k.AMBIENT] - 1.0) <= UNTHROTTLED
    for stroke in range(strokes):
        omega = omega_at(q, stroke, -math.pi / 2)
        if stroke == 0 or abs(omega / made_at - 1.0) > SAME_SPEED or abs(residual / made_with - 1.0) > SAME_REMAINDER:
            begins = q[k.INTAKE_OPENS]
            if stroke == 0 and -q[k.START] > begins:
                begins = -q[k.START]
            if stroke == 0 and begins >= q[k.INTAKE_CLOSES]:
                # It stood part-way up compression, at the pressure of its surroundings.
                angle, temp = begins, q[k.WALL]
                volume = k.place_at(q, angle)[0] + q[k.ADAPTER]
                mass, held = q[k.AMBIENT] * volume / (k.R * temp), True
            else:
                filled_with = residual
                if begins > q[k.INTAKE_OPENS]:
                    # It stood with the intake open: what was in it has gone over to the manifold's pressure.
                    gamma = k.gamma_at(residual)
                    filled_with *= math.exp((gamma - 1) / gamma * math.log(q[k.MANIFOLD] / q[k.AMBIENT]))
                angle, mass, temp, held = trapped(q, stroke, begins, filled_with)
            if not held:
                return found, False
            count = compression(q, stroke, angle, mass, temp, path)
            highest_at = summit(path, count)
            made_at, made_with = omega, residual
        if stroke > 0:
            hose_temp = rested(q, stroke, path, count, shut_at, hose_mass, hose_temp)
        state, top, shut_at = window(q, stroke, path, count, highest_at, hose_mass, hose_temp)
        hose_mass, hose_temp = state[2], state[3]
        if stroke < REMAINDERS:
            residual = remainder(q, stroke, shut_at, state[0], state[1])
        needle = max(needle, top)
        found[stroke] = needle
    return found, alike


@compiled
def mapped(engines: Matrix, strokes: int) -> tuple[Matrix, Flags]:
    """Crank many cylinders by the stroke map, a row each; returns readings [Pa] and for which the map holds."""
    found = np.empty((engines.shape[0], strokes))
    held = np.empty(engines.shape[0], dtype=np.bool_)
    for row in range(engines.shape[0]):
        found[row], held[row] = readings(engines[row], strokes)
    return found, held


def on_all_cores(engines: Matrix, strokes: int) -> tuple[Matrix, Flags]:
    """Crank many cylinders as `mapped` does, a share of the rows on each core; which core changes no figure."""
    parts = min(CORES, engines.shape[0] // ROWS_WORTH_A_CORE)
    if parts < 2:  # noqa: PLR2004 - one alone is no sharing
        return mapped(engines, strokes)
    shares = cores().map(mapped, np.array_split(engines, parts), [strokes] * parts)
    found, held = zip(*shares, strict=True)
    return np.concatenate(found), np.concatenate(held)


@cache
def cores() -> ThreadPoolExecutor:
    """Return the threads on which kernels run side by side; they hold no lock of Python's while they do."""
    return ThreadPoolExecutor(CORES, thread_name_prefix="ringtrue-physics")


def many(engines: Matrix, strokes: int, *, loosely: bool = False) -> Matrix:
    """
    Crank many cylinders, a row each: by the stroke map, and by the full equations where it does not hold.

    With ``loosely`` what the map found behind a throttle, good to 1 %, is enough.
    """
    found, held = on_all_cores(engines, strokes)
    good = np.isfinite(found).all(axis=1) if loosely else held
    for row in np.flatnonzero(~good):
        found[row], _ = k.full(engines[row], strokes, FULL_STEP)
    return found
