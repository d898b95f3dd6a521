"""
Engines that nobody built: layout, truth, and what their builder wrote on the sheet.

Drawn with the standard library's generator, whose stream is the same on every machine. Every range here is common
practice or our own choice; none was taken from the program that is tested with them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random

from tests.cranked import ANNAND, DEGREE, HOHENBERG, WOSCHNI, Cranked

RPM = math.pi / 30
TAPPET_LIFT = 1.27e-3
"""0.050 in, at which most cam cards quote their angles: common practice. [m]"""
STATED_ADAPTER, STATED_HOSE = 2e-6, 20e-6
"""What the gauge's owner says of it. [m3]"""
FLAT, VEE, INLINE = "flat", "V", "inline"
LAYOUTS = ((INLINE, 3), (INLINE, 4), (INLINE, 4), (INLINE, 6), (VEE, 6), (VEE, 8), (VEE, 8), (FLAT, 4), (FLAT, 6))
"""Layouts with a bank of at least two."""
AIR_COOLED = {FLAT: 0.5, VEE: 0.0, INLINE: 0.1}
"""Share of a layout that is cooled by air, a head to each cylinder. [-]"""


@dataclass(frozen=True, slots=True)
class Invented:
    """
    An engine on its day, as it is and as its builder knows it.

    `mean` is its mean cylinder, sound; angles and volumes in SI. `sheet` is the build sheet's text. What the builder
    noted of the day: `air` [Pa] or `altitude` [m], `inlet_air` and `oil` [K], `speed` [rad/s].
    """

    layout: str
    cylinders: tuple[str, ...]
    banks: tuple[tuple[str, ...], ...]
    shared: bool
    mean: Cranked
    sheet: str
    clearance: float
    air: float | None
    altitude: float | None
    inlet_air: float
    oil: float
    speed: float

    def neighbours(self, cylinder: str) -> tuple[str, ...]:
        """Return the cylinders beside one, in its bank."""
        bank = next(each for each in self.banks if cylinder in each)
        place = bank.index(cylinder)
        return bank[max(place - 1, 0) : place] + bank[place + 1 : place + 2]


def clipped(random: Random, spread: float) -> float:
    """Return a normal error that no careful person's exceeds: at most two and a half times its spread."""
    return max(-2.5, min(2.5, random.gauss(0.0, 1.0))) * spread


def between_logs(random: Random, low: float, high: float) -> float:
    """Return a figure even in its logarithm."""
    return math.exp(random.uniform(math.log(low), math.log(high)))


def either_way(random: Random, low: float, high: float) -> float:
    """Return a figure between two, of either sign."""
    return random.choice((-1.0, 1.0)) * random.uniform(low, high)


def standard_air(altitude: float) -> float:
    """Return the pressure of the standard atmosphere, troposphere only (ISO 2533, from memory). [Pa]."""
    return 101325.0 * math.pow(1.0 - 2.25577e-5 * altitude, 5.25588)


def invent(random: Random, *, shared: bool = False, differs: bool = False) -> Invented:
    """
    Draw an engine.

    `shared` asks for a head that neighbours share. `differs` makes an engine that is not the one of its sheet: heat
    transfer 1.5 to 2.2 times too large or too small, dead volume 2.5 to 5 cc, compression ratio 0.3 to 0.6 and intake
    closing 5 to 10 deg away.
    """
    layout, count = random.choice(LAYOUTS)
    air_cooled = random.random() < AIR_COOLED[layout] and not shared
    names = tuple(str(number + 1) for number in range(count))
    banks = (names,) if layout == INLINE else (names[0::2], names[1::2])
    ratio = random.uniform(7.5, 12.0)
    bore = random.uniform(0.070, 0.105)
    truth = _truth(random, bore, bore * random.uniform(0.8, 1.15), ratio)
    truth, day = _day(random, truth)
    said_ratio = ratio + (either_way(random, 0.3, 0.6) if differs else clipped(random, 0.15))
    late = either_way(random, 5.0, 10.0) if differs else clipped(random, 3.0)
    if differs:
        truth = _unlike(random, truth)
    heads = ('heads = "separate"', 'cooling = "air"') if air_cooled else ('heads = "shared"', 'cooling = "liquid"')
    sheet = "\n".join([
        "[engine]",
        'name = "Invented"',
        f'layout = "{layout}"',
        f"cylinders = {_listed(names)}",
        f"banks = [{', '.join(_listed(bank) for bank in banks)}]",
        *heads,
        "[geometry]",
        f'bore = "{1e3 * bore:.2f} mm"',
        f'stroke = "{1e3 * truth.stroke:.2f} mm"',
        f'rod = "{1e3 * truth.rod:.1f} mm"',
        f"compression_ratio = {said_ratio:.2f}",
        *_cam_card(random, truth, late),
        "",
    ])  # fmt: skip
    clearance = truth.swept(math.pi) / (said_ratio - 1)
    return Invented(layout, names, banks, not air_cooled, truth, sheet, clearance, *day)


def _listed(names: tuple[str, ...]) -> str:
    return "[" + ", ".join(f'"{name}"' for name in names) + "]"


def _truth(random: Random, bore: float, stroke: float, ratio: float) -> Cranked:
    hose = STATED_HOSE * random.uniform(0.9, 1.1)
    valve = bore * random.uniform(0.42, 0.5)
    closes = 45.0 + 5.0 * (ratio - 7.5) + random.uniform(-8.0, 10.0)
    coefficient = random.uniform(0.55, 0.75)
    lift = bore * random.uniform(0.09, 0.125)
    bare = Cranked(
        bore=bore,
        stroke=stroke,
        rod=stroke * random.uniform(1.55, 2.0),
        adapter=STATED_ADAPTER * random.uniform(0.9, 1.1),
        hose=hose,
        opening=between_logs(random, 2e3, 20e3),
        check_area=min(2.5e-6 * math.exp(random.gauss(0.0, 0.5)), hose / 3),
        hose_conductance=between_logs(random, 0.05, 0.8),
        speed=random.uniform(150.0, 250.0) * RPM,
        run_up=between_logs(random, 0.5, 5.0),
        heat_model=random.choice((ANNAND, WOSCHNI, HOHENBERG)),
        heat_factor=math.exp(random.gauss(0.0, 0.25)),
        leak_rings=0.3e-6 * bore / 0.1 * math.exp(random.gauss(0.0, 0.42)),
        intake_opens=-2 * math.pi - random.uniform(5.0, 30.0) * DEGREE,
        intake_closes=-math.pi + closes * DEGREE,
        exhaust_opens=math.pi - random.uniform(45.0, 70.0) * DEGREE,
        exhaust_closes=2 * math.pi + random.uniform(8.0, 30.0) * DEGREE,
        intake_lift=lift,
        intake_diameter=valve,
        intake_cd=coefficient,
        exhaust_lift=lift * random.uniform(0.92, 1.0),
        exhaust_diameter=valve * random.uniform(0.8, 0.88),
        exhaust_cd=coefficient,
        lift_exponent=1.35 + clipped(random, 0.12),
    )
    return replace(bare, clearance=bare.swept(math.pi) / (ratio - 1))


def _day(random: Random, truth: Cranked) -> tuple[Cranked, tuple[float | None, float | None, float, float, float]]:
    """Return the engine on its day, and what was noted of it."""
    height = random.uniform(0.0, 1800.0)
    air = standard_air(height) * (1 + clipped(random, 0.01))
    read = random.random() < 0.5
    inlet = 273.15 + round(random.uniform(4.0, 32.0))
    cold = random.random() < 0.15
    oil = inlet if cold else 273.15 + round(random.uniform(55.0, 95.0))
    day = (
        round(air + clipped(random, 150.0), -2) if read else None,
        None if read else round(height, -1),
        inlet,
        oil,
        round(truth.speed / RPM * (1 + clipped(random, 0.04))) * RPM,
    )
    on_it = replace(
        truth,
        ambient=air,
        manifold=air,
        inlet_air=inlet + clipped(random, 2.0),
        wall=oil + clipped(random, 2.0 if cold else 7.0),
    )
    return on_it, day


def _unlike(random: Random, truth: Cranked) -> Cranked:
    """Return the engine with heat transfer and dead volume that nobody would guess."""
    dead = either_way(random, 2.5e-6, 5e-6)
    adapter = max(truth.adapter + dead, 0.3e-6)
    return replace(
        truth,
        heat_factor=math.exp(either_way(random, math.log(1.5), math.log(2.2))),
        adapter=adapter,
        clearance=truth.clearance + dead - (adapter - truth.adapter),
    )


def _cam_card(random: Random, truth: Cranked, late: float) -> list[str]:
    """Return the camshaft's table; the intake closing is off by `late` [deg], the rest as cards usually are."""
    rocker = round(random.choice((1.0, random.uniform(1.3, 1.7))), 2)
    at_tappet = random.random() < 0.7
    quoted = TAPPET_LIFT * rocker if at_tappet else 1e-3
    q = truth.lift_exponent

    def shown(opens: float, closes: float, lift: float) -> tuple[float, float]:
        ramp = (closes - opens) * math.asin((quoted / lift) ** (1 / q)) / math.pi
        return (opens + ramp) / DEGREE, (closes - ramp) / DEGREE

    intake = shown(truth.intake_opens, truth.intake_closes, truth.intake_lift)
    exhaust = shown(truth.exhaust_opens, truth.exhaust_closes, truth.exhaust_lift)

    def said(degrees: float, positive: str, negative: str) -> str:
        return f"{abs(degrees):.1f} deg {positive if degrees >= 0 else negative}"

    return [
        "[camshaft]",
        *(['quoted_at_lift = "0.050 in"', 'quoted_at = "tappet"', f"rocker_ratio = {rocker}"] if at_tappet else []),
        *([] if at_tappet else ['quoted_at_lift = "1 mm"', 'quoted_at = "valve"']),
        f'intake_opens = "{said(-360 - intake[0] + clipped(random, 3.0), "before TDC", "after TDC")}"',
        f'intake_closes = "{said(intake[1] + 180 + late, "after BDC", "before BDC")}"',
        f'exhaust_opens = "{said(180 - exhaust[0] + clipped(random, 3.0), "before BDC", "after BDC")}"',
        f'exhaust_closes = "{said(exhaust[1] - 360 + clipped(random, 3.0), "after TDC", "before TDC")}"',
        f'intake_lift = "{1e3 * truth.intake_lift * (1 + clipped(random, 0.015)):.2f} mm"',
        f'intake_valve_diameter = "{1e3 * truth.intake_diameter * (1 + clipped(random, 0.008)):.1f} mm"',
    ]
