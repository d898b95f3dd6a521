"""
Engines with a known fault, simulated with the full equations and read as a builder would read them.

For each engine the mean cylinder, the target as it is and the target with oil in it are cranked by the full equations
(1 deg), each from where the crank happened to stand. What makes siblings differ from the mean cylinder (clearance 1 %,
ring leak 25 %, speed 1 %, start of the pull) is small: its ratio is taken from the stroke map, which is within 0.2 % of
the full equations, and laid onto their result. The same ratio makes the neighbour behind a leaking gasket out of the
target. Where the map does not hold, the full equations are asked.

Everything is drawn from one generator per case, seeded by group, cause and number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from tests.cranked import DEGREE, Cranked
from tests.cranked_kernel import full, mapped
from tests.simulated.invented import RPM, Invented, between_logs, clipped, either_way, invent
from tests.simulated.library import PSI, RESTRICTOR, SUPPLY, Case, DryPull, Group, Leak, WetPull

NINE = (
    "sound",
    "rings",
    "intake_valve",
    "exhaust_valve",
    "gasket_neighbour",
    "not_filling",
    "late_closing",
    "carbon",
    "slow_cranking",
)
ENGINE_WIDE = (
    "cam_timing",
    "slow_or_cold_cranking",
    "throttle",
    "general_wear",
    "fuel_washed",
    "decompression",
    "chamber_volume",
    "gauge",
)
PATHS = {
    "rings": "leak_rings",
    "intake_valve": "leak_intake",
    "exhaust_valve": "leak_exhaust",
    "gasket_neighbour": "leak_gasket",
}
"""Causes by which air gets out, and where."""
HEARD_AT = {"leak_rings": "crankcase", "leak_intake": "intake", "leak_exhaust": "exhaust"}

SPOILED_BELOW = 130 * DEGREE
"""A pull that begins less than this before top dead centre spoils its first stroke: 18 % of random starts."""
HIGHEST, LOWEST = 290.0, 80.0
"""Readings that the gauge can show, and the least sound engine. [psi]"""
BLOW_BY_HEARD = 0.15
"""How often the blow-by of sound rings is heard."""

Readings = tuple[float, float]
"""Absolute pressure behind the check valve after the first stroke and at the end. [Pa]"""


@dataclass(slots=True)
class Bench:
    """An engine on the stand while it is pulled. Its gauge shows `shown` times a pressure; is speed `noted`?"""

    random: Random
    engine: Invented
    strokes: int
    shown: float
    noted: bool = True

    def start(self) -> float:
        """Return where the crank happened to stand: angle to the first compression top dead centre. [rad]."""
        return self.random.uniform(0.0, 4 * math.pi)

    def one(self, mean: Cranked) -> Cranked:
        """Return a cylinder of the engine, not quite the mean one, about to be pulled."""
        random = self.random
        return replace(
            mean,
            clearance=mean.clearance * (1 + clipped(random, 0.01)),
            leak_rings=mean.leak_rings * math.exp(clipped(random, 0.25)),
            speed=mean.speed * (1 + clipped(random, 0.01)),
            start=self.start(),
        )

    def pulled(self, cylinder: Cranked) -> Readings:
        """Return the readings of a cylinder by the full equations."""
        found, _ = full(cylinder, self.strokes)
        return float(found[0]), float(found[-1])

    def beside(self, cylinder: Cranked, other: Cranked, readings: Readings) -> Readings:
        """Return the readings of a cylinder from those of another that is nearly the same."""
        mine, held = mapped(cylinder, self.strokes)
        theirs, too = mapped(other, self.strokes)
        if not (held and too):
            return self.pulled(cylinder)
        return readings[0] * float(mine[0] / theirs[0]), readings[1] * float(mine[-1] / theirs[-1])

    def gauge(self, absolute: float) -> float:
        """Return what is read of a pressure behind the check valve: repeatability 0.6 %, 2 psi. [psi]."""
        above = max(absolute - self.engine.mean.ambient, 0.0) / PSI
        return 2.0 * round(above * self.shown * (1 + self.random.gauss(0.0, 0.006)) / 2.0)

    def dry(self, name: str, cylinder: Cranked, readings: Readings, oily: float) -> DryPull:
        """Return a dry pull as it was read."""
        final = self.gauge(readings[1])
        first = min(self.gauge(readings[0]), final)
        flagged = cylinder.start < SPOILED_BELOW and self.random.random() < 0.5
        plug = "oily" if self.random.random() < oily else "dry"
        return DryPull(name, first, final, flagged, self.rpm(cylinder), plug)

    def rpm(self, cylinder: Cranked) -> float | None:
        """Return the speed of a pull as it was read. [rpm]."""
        read = round(cylinder.speed / RPM * (1 + self.random.gauss(0.0, 0.015)))
        return float(read) if self.noted else None

    def leakdown(self, name: str, cylinder: Cranked, worn: float, coefficient: float, partner: str) -> Leak:
        """Return a leak-down reading of a cylinder at standstill, of whose ring leak so much is wear [m2]."""
        random = self.random
        still = math.exp(random.gauss(0.0, 0.25))
        leaks = {path: getattr(cylinder, path) * still for path in PATHS.values()}
        held = held_of(sum(leaks.values()), coefficient * math.pi / 4 * RESTRICTOR**2, cylinder.ambient)
        read = min(max(round(2 * random.gauss(held, 0.5)) / 2, 0.0), SUPPLY)
        return Leak(name, read, self._heard({**leaks, PATHS["rings"]: worn * still}, partner))

    def _heard(self, leaks: dict[str, float], partner: str) -> tuple[str, ...]:
        """
        Return where the air was heard.

        A leak is heard half the time at 0.2 mm2 and 19 times of 20 at 0.8 mm2; the blow-by of rings, worn or not, by
        itself 15 times of 100; one time of 50 a wrong place.
        """
        random = self.random
        places = {**HEARD_AT, "leak_gasket": f"cylinder {partner}"}
        heard = []
        for path, area in leaks.items():
            odds = (area / 0.2e-6) ** 2.124 if area > 0 else 0.0
            chance = odds / (1 + odds)
            if path == "leak_rings":
                chance = 1 - (1 - chance) * (1 - BLOW_BY_HEARD)
            if random.random() < chance:
                heard.append(places[path])
        wrong = [place for place in ("crankcase", "intake", "exhaust", "coolant") if place not in heard]
        if random.random() < 0.02:
            heard.append(random.choice(wrong))
        return tuple(heard) or ("nothing",)


def held_of(leak: float, restrictor: float, ambient: float) -> float:
    """Return what a cylinder holds of the supply: what comes in by the restrictor goes out by the leak. [psi]."""

    def flow(area: float, before: float, behind: float) -> float:
        ratio = max(behind / before, (2 / 2.4) ** 3.5)
        return area * before * math.sqrt(max(7.0 * (ratio ** (2 / 1.4) - ratio ** (2.4 / 1.4)), 0.0))

    supply = ambient + SUPPLY * PSI
    low, high = ambient, supply
    for _ in range(60):
        middle = (low + high) / 2
        if flow(restrictor, supply, middle) > flow(leak, middle, ambient):
            low = middle
        else:
            high = middle
    return (low - ambient) / PSI


def with_fault(random: Random, own: Cranked, cause: str) -> Cranked:
    """Return a cylinder with a cause, its size drawn."""
    if cause in PATHS:
        return replace(own, **{PATHS[cause]: getattr(own, PATHS[cause]) + between_logs(random, 0.3e-6, 6e-6)})
    if cause == "late_closing":
        return replace(own, intake_closes=own.intake_closes + random.uniform(8.0, 35.0) * DEGREE)
    if cause == "carbon":
        return replace(own, clearance=own.clearance * (1 - random.uniform(0.04, 0.15)))
    if cause == "slow_cranking":
        return replace(own, speed=own.speed * random.uniform(0.45, 0.85))
    if cause == "not_filling" and random.random() < 1 / 3:
        return replace(own, manifold=own.manifold * random.uniform(0.55, 0.95))
    return worn_lobe(random, own) if cause == "not_filling" else own


def worn_lobe(random: Random, own: Cranked) -> Cranked:
    """
    Return a cylinder whose intake lobe is worn so far that the charge drops by 4 to 80 %.

    Its valve leaves its seat up to 10 deg late and meets it up to 10 deg early.
    """
    shorter = random.uniform(0.0, 10.0) * DEGREE
    sound, _ = full(own, 3)
    while True:
        worn = replace(
            own,
            intake_lift=own.intake_lift * between_logs(random, 0.002, 0.1),
            intake_opens=own.intake_opens + shorter,
            intake_closes=own.intake_closes - shorter,
        )
        if 0.2 < full(worn, 3)[0][-1] / sound[-1] < 0.96:
            return worn


def oiled(random: Random, cylinder: Cranked, oil: float, sealed: float) -> Cranked:
    """Return a cylinder with oil in it, which takes up room and seals a share of the rings, little of a gasket."""
    return replace(
        cylinder,
        clearance=cylinder.clearance - oil,
        leak_rings=cylinder.leak_rings * (1 - sealed),
        leak_gasket=cylinder.leak_gasket * (1 - random.uniform(0.0, 0.1)),
    )


def whole_engine(random: Random, bench: Bench, cause: str) -> Cranked:
    """Return the mean cylinder of an engine with a cause of its own; a gauge that is off is changed on the bench."""
    mean = bench.engine.mean
    if cause == "gauge":
        bench.shown *= 1 + either_way(random, 0.08, 0.15)
        return mean
    changed: dict[str, Any] = {}
    if cause == "cam_timing":
        late = either_way(random, 6.0, 16.0) * DEGREE
        angles = ("intake_opens", "intake_closes", "exhaust_opens", "exhaust_closes")
        changed = {angle: getattr(mean, angle) + late for angle in angles}
    elif cause == "slow_or_cold_cranking":
        changed = {"speed": mean.speed * random.uniform(0.5, 0.75)}
    elif cause == "throttle":
        changed = {"manifold": mean.ambient * random.uniform(0.5, 0.85)}
    elif cause in {"general_wear", "fuel_washed"}:
        changed = {"leak_rings": mean.leak_rings + random.uniform(0.6e-6, 2.5e-6)}
    elif cause == "decompression":
        changed = {"leak_exhaust": random.uniform(3e-6, 8e-6)}
    elif cause == "chamber_volume":
        changed = {"clearance": mean.clearance * (1 + either_way(random, 0.08, 0.15))}
    return replace(mean, **changed)


def simulate(group: str, cause: str, number: int) -> Case:
    """Return the case of that seed: drawn anew, from the same stream, until the gauge can show it."""
    random = Random(f"{group}/{cause}/{number}")
    while True:
        case = _attempt(random, group, cause, number)
        finals = [row.final for row in case.dry]
        if max(*finals, case.wet.final) <= HIGHEST and (case.exact[0] / PSI - 14.7 >= LOWEST or group == Group.ENGINE):
            return case


def _attempt(random: Random, group: str, cause: str, number: int) -> Case:
    engine = invent(random, shared=cause == "gasket_neighbour", differs=group == Group.DIFFERS)
    bench = Bench(random, engine, random.choice((7, 8, 8, 9)), 1 + random.gauss(0.0, 0.015))
    wide = group == Group.ENGINE
    battery = None
    if wide and cause == "slow_or_cold_cranking":
        bench.noted = number % 2 == 0
        battery = round(random.uniform(10.0, 11.6), 1) if bench.noted else None
    mean = whole_engine(random, bench, cause) if wide else engine.mean
    sound = replace(mean, start=bench.start())
    level = bench.pulled(sound)

    target = random.choice(engine.cylinders)
    partner = random.choice(engine.neighbours(target)) if cause == "gasket_neighbour" else ""
    sibling = random.choice([name for name in engine.cylinders if name not in {target, partner}])
    own = {name: bench.one(mean) for name in engine.cylinders}
    faulty = own[target] if wide else with_fault(random, own[target], cause)
    readings = {name: bench.beside(each, sound, level) for name, each in own.items() if name not in {target, partner}}
    readings[target] = bench.pulled(faulty)
    now = {**own, target: faulty}
    if partner:
        now[partner] = replace(own[partner], leak_gasket=faulty.leak_gasket)
        readings[partner] = bench.beside(now[partner], faulty, readings[target])

    oil = round(1e6 * engine.clearance * 0.05 * random.uniform(0.7, 1.3), 1)
    seals = random.uniform(0.92, 0.99) if cause == "fuel_washed" else random.uniform(0.4, 0.95)
    wet = oiled(random, _pulled_again(bench, mean, faulty, cause), 1e-6 * oil, seals)
    wet_readings = bench.pulled(wet)
    coefficient = random.gauss(0.8, 0.04)
    worn = mean.leak_rings - engine.mean.leak_rings
    oily = {name: 0.4 if name == target and cause == "rings" else 0.1 for name in engine.cylinders}
    lost = (mean.intake_lift - faulty.intake_lift, 0.0)
    slow = wide and cause == "slow_or_cold_cranking"
    speed = float(round((mean.speed if slow else engine.speed) / RPM)) if bench.noted else None
    return Case(
        group=group,
        cause=cause,
        number=number,
        sheet=engine.sheet,
        target=target,
        sibling=sibling,
        partner=partner,
        area=round(1e6 * sum(getattr(faulty, path) for path in PATHS.values()), 4),
        day=(engine.air, engine.altitude, engine.inlet_air, engine.oil, speed, battery),
        strokes=bench.strokes,
        dry=tuple(bench.dry(name, now[name], readings[name], oily[name]) for name in engine.cylinders),
        wet=WetPull(bench.gauge(wet_readings[1]), oil, bench.rpm(wet)),
        leakdown=tuple(
            bench.leakdown(name, now[name], worn + now[name].leak_rings - own[name].leak_rings, coefficient, partner)
            for name in (target, sibling)
        ),
        lift=tuple(max(round(20 * random.gauss(1e3 * each, 0.1)) / 20, 0.0) for each in lost),
        exact=tuple(float(f"{each[1]:.9g}") for each in (level, readings[target], wet_readings)),
    )


def _pulled_again(bench: Bench, mean: Cranked, faulty: Cranked, cause: str) -> Cranked:
    """Return the target about to be pulled once more; what made one pull slow is there again half of the time."""
    slow = cause == "slow_cranking" and bench.random.random() < 0.5
    usual = faulty.speed if slow else mean.speed
    return replace(faulty, speed=usual * (1 + clipped(bench.random, 0.01)), start=bench.start())
