"""
One cylinder being cranked, as the full equations: compiled, floats in SI, nothing of ringtrue but its gas.

One vector holds an engine, a gauge and a day; the constants below name its places. Angles are crank angles with
compression top dead centre at 0; a cycle runs from -2 pi to 2 pi. The equations are those of docs/theory/cranking.md.
"""

from __future__ import annotations

import math

import numpy as np
from numba.extending import register_jitable
from numpy.typing import NDArray

from ringtrue.physics import _gas
from ringtrue.physics._compiling import compiled, inlined

# fmt: off
(
    BORE, STROKE, ROD, CLEARANCE, ADAPTER, HOSE, OPENING, CHECK_AREA, HOSE_CONDUCTANCE,
    AMBIENT, MANIFOLD, INLET_AIR, WALL, SPEED, RUN_UP, START, HEAT_MODEL, HEAT_FACTOR,
    LEAK_RINGS, LEAK_INTAKE, LEAK_EXHAUST, LEAK_GASKET,
    INTAKE_OPENS, INTAKE_CLOSES, EXHAUST_OPENS, EXHAUST_CLOSES,
    INTAKE_LIFT, INTAKE_DIAMETER, INTAKE_CD, EXHAUST_LIFT, EXHAUST_DIAMETER, EXHAUST_CD, LIFT_EXPONENT,
    COUNT,
) = range(34)
# fmt: on

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Flags = NDArray[np.bool_]
State = tuple[float, float, float, float, float, float, float]
"""Mass and temperature of the cylinder and of the hose; work done, heat lost, enthalpy taken in."""
Held = tuple[float, float, float, float]
"""Mass and temperature of the cylinder and of the hose."""
Place = tuple[float, float]
Valve = tuple[float, float, float]
"""Effective area of a valve at the beginning, middle and end of a step. [m2]"""

# Plain functions, compiled into the kernels that call them.
for _each in (_gas.cp, _gas.enthalpy, _gas.viscosity, _gas.conductivity, _gas.heat_coefficient, _gas.critical_ratio):
    register_jitable(_each)
register_jitable(_gas.flow_function)

R = _gas.R_AIR
CYCLE = 4 * math.pi
DEGREE = math.pi / 180
HELD_BACK = 0.99
"""Share of the square of the final speed that is missing when the starter begins to turn. [-]"""
LONG_RUN = 18.0
"""Lengths of the run-up after which the speed is the final one, to 1e-8."""
STEEPEST = math.sqrt(2.0 / (1.0 - _gas.NEARLY_EQUAL))
ABOUT_TO_OPEN = 0.93
"""Pressure in the cylinder over that in the hose from which the check valve may open within a step. [-]"""
CAREFUL = 0.7
"""Longest substep of the full equations, times the fastest rate at which flow evens out pressures. [-]"""
MOST_SUBSTEPS = 1_000_000


@inlined
def travel_and_rate(q: Vector, angle: float) -> tuple[float, float]:
    """Piston below top dead centre [m], and how that changes with the crank angle [m/rad]."""
    throw = q[STROKE] / 2
    sine, cosine = math.sin(angle), math.cos(angle)
    side = throw * sine
    along = math.sqrt(q[ROD] * q[ROD] - side * side)
    return q[ROD] + throw - throw * cosine - along, side + side * throw * cosine / along


@inlined
def place_at(q: Vector, angle: float) -> Place:
    """Volume above the piston, the adapter's left out [m3], and how that grows with the crank angle [m3/rad]."""
    swept = math.pi / 4 * q[BORE] * q[BORE]
    below, growth = travel_and_rate(q, angle)
    return q[CLEARANCE] + swept * below, swept * growth


@inlined
def speed_after(q: Vector, turned: float) -> float:
    """Speed of the crank after the starter has turned it so far. [rad/s]."""
    if turned <= 0.0:
        return q[SPEED] * math.sqrt(1.0 - HELD_BACK)
    if turned > LONG_RUN * q[RUN_UP]:
        return q[SPEED]
    return q[SPEED] * math.sqrt(1.0 - HELD_BACK * math.exp(-turned / q[RUN_UP]))


@inlined
def lift_share(angle: float, opens: float, closes: float, exponent: float) -> float:
    """Share of the peak lift, the valve's angles on the axis of one cycle. [-]."""
    since = (angle - opens) % CYCLE
    open_for = closes - opens
    if since >= open_for or since <= 0.0:
        return 0.0
    return math.exp(exponent * math.log(math.sin(math.pi * since / open_for)))


@inlined
def valve_area(share: float, lift: float, diameter: float, coefficient: float) -> float:
    """Effective area of a valve: its curtain, no larger than its port. [m2]."""
    curtain = math.pi * diameter * lift * share
    return coefficient * min(curtain, math.pi / 4 * diameter * diameter)


@inlined
def intake_area(q: Vector, angle: float) -> float:
    """Effective area of the intake valve. [m2]."""
    share = lift_share(angle, q[INTAKE_OPENS], q[INTAKE_CLOSES], q[LIFT_EXPONENT])
    return valve_area(share, q[INTAKE_LIFT], q[INTAKE_DIAMETER], q[INTAKE_CD])


@inlined
def exhaust_area(q: Vector, angle: float) -> float:
    """Effective area of the exhaust valve. [m2]."""
    share = lift_share(angle, q[EXHAUST_OPENS], q[EXHAUST_CLOSES], q[LIFT_EXPONENT])
    return valve_area(share, q[EXHAUST_LIFT], q[EXHAUST_DIAMETER], q[EXHAUST_CD])


@inlined
def gamma_at(temperature: float) -> float:
    """Ratio of specific heats. [-]."""
    specific = _gas.cp(temperature)
    return specific / (specific - R)


@inlined
def straightened(ratio: float, gamma: float) -> float:
    """Flow function, a straight line where the pressures are nearly equal. [-]."""
    if ratio > _gas.NEARLY_EQUAL:
        nearly = _gas.flow_function(_gas.NEARLY_EQUAL, gamma)
        return nearly * (1.0 - ratio) / (1.0 - _gas.NEARLY_EQUAL)
    return _gas.flow_function(ratio, gamma)


@inlined
def flow_out(
    area: float, pressure: float, temperature: float, gamma: float, outside: float, outside_temperature: float
) -> float:
    """Flow from the cylinder through an opening; what comes in is negative. [kg/s]."""
    if area <= 0.0:
        return 0.0
    if pressure >= outside:
        return area * pressure * straightened(outside / pressure, gamma) / math.sqrt(R * temperature)
    back = gamma_at(outside_temperature)
    return -area * outside * straightened(pressure / outside, back) / math.sqrt(R * outside_temperature)


@inlined
def flow_into_hose(q: Vector, pressure: float, temperature: float, gamma: float, hose: float) -> float:
    """Flow through the check valve. [kg/s]."""
    driving = pressure - q[OPENING]
    if driving <= hose:
        return 0.0
    return q[CHECK_AREA] * driving * straightened(hose / driving, gamma) / math.sqrt(R * temperature)


@inlined
def heat_area(q: Vector, volume: float) -> float:
    """Walls that the gas touches, the adapter's left out. [m2]."""
    return math.pi / 2 * q[BORE] * q[BORE] + 4.0 * volume / q[BORE]


@inlined
def film(q: Vector, pressure: float, temperature: float, volume: float, omega: float) -> float:
    """Heat transfer coefficient with its factor. [W/(m2 K)]."""
    if q[HEAT_MODEL] == _gas.NO_HEAT:
        return 0.0
    piston = q[STROKE] * omega / math.pi
    return q[HEAT_FACTOR] * _gas.heat_coefficient(q[HEAT_MODEL], pressure, temperature, volume, q[BORE], piston)


@inlined
def rates(
    q: Vector,
    place: Place,
    omega: float,
    held: Held,
    intake: float,
    exhaust: float,
    coefficient: float,
    gauge: bool,
    eager: float,
) -> State:
    """
    Change of masses, temperatures, work, heat and enthalpy, each for one radian; the hose's only with a gauge.

    ``eager``, where it is not 0, is the fastest rate at which the check valve evens out pressures. [1/rad]
    """
    volume, growth = place
    mass, temp, hose_mass, hose_temp = held
    pressure = mass * R * temp / (volume + q[ADAPTER])
    specific = _gas.cp(temp)
    gamma = specific / (specific - R)
    to_walls = q[LEAK_RINGS] + q[LEAK_EXHAUST] + q[LEAK_GASKET] + exhaust
    to_manifold = q[LEAK_INTAKE] + intake
    warm = flow_out(to_walls, pressure, temp, gamma, q[AMBIENT], q[WALL])
    fresh = flow_out(to_manifold, pressure, temp, gamma, q[MANIFOLD], q[INLET_AIR])
    inner = _gas.enthalpy(temp)
    from_walls = inner if warm >= 0.0 else _gas.enthalpy(q[WALL])
    from_manifold = inner if fresh >= 0.0 else _gas.enthalpy(q[INLET_AIR])
    heat = coefficient * heat_area(q, volume) * (temp - q[WALL])
    work = pressure * growth
    energy = inner - R * temp
    gained = -warm * (from_walls - energy) - fresh * (from_manifold - energy) - heat - work * omega
    capacity = mass * (specific - R)
    hose, cooled, hose_rise = 0.0, 0.0, 0.0
    if gauge:
        hose_pressure = hose_mass * R * hose_temp / q[HOSE]
        cooled = q[HOSE_CONDUCTANCE] * (hose_temp - q[INLET_AIR])
        hose_capacity = hose_mass * (_gas.cp(hose_temp) - R)
        brought = inner - (_gas.enthalpy(hose_temp) - R * hose_temp)
        hose = flow_into_hose(q, pressure, temp, gamma, hose_pressure)
        if eager > 0.0 and hose > 0.0:
            # What the flow would have to be for the gap to close at that rate.
            gap = pressure - q[OPENING] - hose_pressure
            parting = pressure * (gained / (capacity * temp) - (warm + fresh) / mass)
            parting -= work * omega / (volume + q[ADAPTER])
            parting += R * cooled / q[HOSE] * hose_mass / hose_capacity
            joining = gamma * pressure / mass + R / q[HOSE] * (hose_temp + brought * hose_mass / hose_capacity)
            hose = min(hose, (max(parting, 0.0) + eager * omega * gap) / joining)
        hose_rise = (hose * brought - cooled) / hose_capacity
    rise = (gained - hose * R * temp) / capacity
    each = 1.0 / omega
    return (
        -(warm + fresh + hose) * each,
        rise * each,
        hose * each,
        hose_rise * each,
        work,
        (heat + cooled) * each,
        -(warm * from_walls + fresh * from_manifold) * each,
    )


@inlined
def fastest(
    q: Vector,
    place: Place,
    omega: float,
    held: Held,
    valves: float,
    gauge: bool,
) -> float:
    """Return the fastest rate at which flow evens out pressures, for one radian. [1/rad]."""
    mass, temp, hose_mass, hose_temp = held
    volume = place[0] + q[ADAPTER]
    pressure = mass * R * temp / volume
    root = 1.4 * math.sqrt(R * temp)
    leaks = q[LEAK_RINGS] + q[LEAK_EXHAUST] + q[LEAK_GASKET] + q[LEAK_INTAKE]
    outside = min(pressure, q[AMBIENT]) / max(pressure, q[AMBIENT])
    inlet = min(pressure, q[MANIFOLD]) / max(pressure, q[MANIFOLD])
    fast = (leaks + valves) * slope(max(outside, inlet)) / volume
    if gauge:
        driving = pressure - q[OPENING]
        hose = hose_mass * R * hose_temp / q[HOSE]
        # A check valve about to open counts as open, or the step in which it opens is too long.
        if driving > ABOUT_TO_OPEN * hose:
            fast += q[CHECK_AREA] * slope(hose / driving) * (1.0 / volume + 1.0 / q[HOSE])
    return fast * root / omega


@inlined
def slope(ratio: float) -> float:
    """Bound of the slope of the flow function: that of a liquid, and of the straight line near 1. [-]."""
    drop = 1.0 - ratio
    return math.sqrt(0.5 / drop) if drop > 2.0 * (1.0 - _gas.NEARLY_EQUAL) else STEEPEST


@inlined
def film_of(q: Vector, place: Place, omega: float, held: Held) -> float:
    """Heat transfer coefficient of what the cylinder holds. [W/(m2 K)]."""
    return film(q, held[0] * R * held[1] / (place[0] + q[ADAPTER]), held[1], place[0], omega)


@inlined
def moved(held: Held, each: State, step: float) -> Held:
    """Return what the volumes hold a step further on."""
    return (held[0] + step * each[0], held[1] + step * each[1], held[2] + step * each[2], held[3] + step * each[3])


@inlined
def advance(
    q: Vector,
    places: tuple[Place, Place, Place],
    step: float,
    omega: float,
    state: State,
    intake: Valve,
    exhaust: Valve,
    gauge: bool,
    eager: float,
) -> State:
    """One step of the classical fourth-order Runge-Kutta method; places and valves at beginning, middle and end."""
    m, t, hm, ht, w, h, e = state
    half = step / 2
    begin, middle, end = places
    i0, i1, i2 = intake
    o0, o1, o2 = exhaust
    now = (m, t, hm, ht)
    f0 = film_of(q, begin, omega, now)
    a = rates(q, begin, omega, now, i0, o0, f0, gauge, eager)
    ahead = moved(now, a, half)
    f1 = film_of(q, middle, omega, ahead)
    b = rates(q, middle, omega, ahead, i1, o1, f1, gauge, eager)
    c = rates(q, middle, omega, moved(now, b, half), i1, o1, f1, gauge, eager)
    f2 = f1 * f1 / f0 if f0 > 0.0 else 0.0
    d = rates(q, end, omega, moved(now, c, step), i2, o2, f2, gauge, eager)
    six = step / 6
    return (
        m + six * (a[0] + 2 * b[0] + 2 * c[0] + d[0]),
        t + six * (a[1] + 2 * b[1] + 2 * c[1] + d[1]),
        hm + six * (a[2] + 2 * b[2] + 2 * c[2] + d[2]),
        ht + six * (a[3] + 2 * b[3] + 2 * c[3] + d[3]),
        w + six * (a[4] + 2 * b[4] + 2 * c[4] + d[4]),
        h + six * (a[5] + 2 * b[5] + 2 * c[5] + d[5]),
        e + six * (a[6] + 2 * b[6] + 2 * c[6] + d[6]),
    )


@compiled
def carry(
    q: Vector,
    angle: float,
    step: float,
    turned: float,
    place: Place,
    state: State,
    valves: bool,
    gauge: bool,
    care: float,
    eager: float,
) -> tuple[State, float, Place]:
    """
    Carry the full equations over one step, as many substeps in it as the flow asks for.

    ``turned`` is what the starter had turned at ``angle``; below zero the speed is the final one throughout. ``place``
    is `place_at` that angle. Without ``valves`` both are shut, without ``gauge`` the hose stands still. ``care`` is the
    longest substep, times the fastest rate at which flow evens out pressures; the check valve, as it is where ``eager``
    is 0, else evens them out no faster than that over the substep. Returns state, highest hose pressure, and place.
    """
    done, top, pieces = 0.0, 0.0, 0
    intake = exhaust = (0.0, 0.0, 0.0)
    while done < step * (1.0 - 1e-12):
        here, left = angle + done, step - done
        omega = q[SPEED] if turned < 0.0 else speed_after(q, turned + done)
        begin_in, begin_out, wide = 0.0, 0.0, 0.0
        if valves:
            begin_in, begin_out = intake_area(q, here), exhaust_area(q, here)
            wide = max(begin_in + begin_out, intake_area(q, angle + step) + exhaust_area(q, angle + step))
        piece = left
        if pieces < MOST_SUBSTEPS:
            rate = fastest(q, place, omega, state[:4], wide, gauge and eager == 0.0)
            piece = left / math.ceil(max(left * rate / care, 1.0))
        middle, end = here + piece / 2, here + piece
        if turned >= 0.0:
            omega = speed_after(q, turned + done + piece / 2)
        if valves:
            intake = (begin_in, intake_area(q, middle), intake_area(q, end))
            exhaust = (begin_out, exhaust_area(q, middle), exhaust_area(q, end))
        places = (place, place_at(q, middle), place_at(q, end))
        state = advance(q, places, piece, omega, state, intake, exhaust, gauge, eager / piece)
        place = places[2]
        if gauge:
            top = max(top, state[2] * R * state[3] / q[HOSE])
        done += piece
        pieces += 1
    return state, top, place


@inlined
def at_rest(q: Vector, angle: float) -> State:
    """Cylinder and hose before the starter turns: both at the surrounding pressure, the cylinder warm."""
    mass = q[AMBIENT] * (place_at(q, angle)[0] + q[ADAPTER]) / (R * q[WALL])
    hose = q[AMBIENT] * q[HOSE] / (R * q[INLET_AIR])
    return (mass, q[WALL], hose, q[INLET_AIR], 0.0, 0.0, 0.0)


@inlined
def inner_energy(state: State) -> float:
    """Inner energy of both volumes. [J]."""
    return state[0] * (_gas.enthalpy(state[1]) - R * state[1]) + state[2] * (_gas.enthalpy(state[3]) - R * state[3])


@compiled
def full(q: Vector, strokes: int, step_deg: float) -> tuple[Vector, float]:
    """
    Crank the cylinder by the full equations.

    Returns the highest absolute pressure in the hose after each compression stroke [Pa], and what is left of the energy
    balance over all the work that was done, both ways counted [-].
    """
    readings = np.empty(strokes)
    angle = -q[START]
    state = at_rest(q, angle)
    began = inner_energy(state)
    needle, worked, turned = q[AMBIENT], 0.0, 0.0
    for stroke in range(strokes):
        end = stroke * CYCLE + math.pi / 2
        count = math.ceil((end - angle) / (step_deg * DEGREE) - 1e-9)
        step = (end - angle) / count
        first, place = angle, place_at(q, angle)
        for number in range(count):
            before = state[4]
            state, top, place = carry(
                q, first + number * step, step, turned + number * step, place, state, True, True, CAREFUL, 0.0
            )
            worked += abs(state[4] - before)
            needle = max(needle, top)
        turned += end - first
        angle = end
        readings[stroke] = needle
    residual = inner_energy(state) - began - (state[6] - state[5] - state[4])
    return readings, abs(residual) / worked


@compiled
def trace(
    q: Vector,
    start: float,
    end: float,
    step_deg: float,
    pressure: float,
    temperature: float,
    hose_pressure: float,
    hose_temperature: float,
) -> Matrix:
    """
    Follow cylinder and hose from one angle to another at constant speed by the full equations.

    Returns rows of angle [rad], pressure [Pa], temperature [K], hose pressure [Pa], hose temperature [K].
    """
    count = math.ceil((end - start) / (step_deg * DEGREE) - 1e-9)
    step = (end - start) / count
    rows = np.empty((count + 1, 5))
    place = place_at(q, start)
    volume = place[0] + q[ADAPTER]
    mass, hose_mass = pressure * volume / (R * temperature), hose_pressure * q[HOSE] / (R * hose_temperature)
    state = (mass, temperature, hose_mass, hose_temperature, 0.0, 0.0, 0.0)
    for number in range(count + 1):
        here = start + number * step
        volume = place[0] + q[ADAPTER]
        rows[number, 0] = here
        rows[number, 1] = state[0] * R * state[1] / volume
        rows[number, 2] = state[1]
        rows[number, 3] = state[2] * R * state[3] / q[HOSE]
        rows[number, 4] = state[3]
        if number < count:
            state, _, place = carry(q, here, step, -1.0, place, state, True, True, CAREFUL, 0.0)
    return rows
