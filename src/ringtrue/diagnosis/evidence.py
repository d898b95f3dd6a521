"""What was read of each cylinder, as numbers that a cause can be held against. In SI, areas in mm2."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import mean, median

from ringtrue.compression import CompressionTest, Kind, LeakdownReading, Pull
from ringtrue.diagnosis.explanation import Contradiction, Item, Slip
from ringtrue.engine import BuildSheet
from ringtrue.errors import GaugeRefused
from ringtrue.measure.correcting import corrected
from ringtrue.measure.figures import two_claim_to_be_one
from ringtrue.measure.gauges import ASSUMED_REPEATABILITY, gauge_error
from ringtrue.measure.oil import wet_over_dry
from ringtrue.physics import effective_area, standard_pressure
from ringtrue.physics.atmosphere import HIGHEST, LOWEST
from ringtrue.quantities import STANDARD_AIR, PaAbs, PaGauge

SMALL_RESTRICTOR = 1.016e-3
"""Taken where a restrictor was not noted, and known to be no more than a guess. [m]"""

LEAST_AREA = 0.03
"""A leak that no gauge shows. [mm2]"""

LARGEST_AREA = 30.0
"""A leak that holds nothing has no size; it is taken as this. [mm2]"""

NO_LOSS = 0.005
"""Leak-down loss that no gauge tells from none, so that no hiss belongs to it: common practice. [-]"""

LARGE_LOSS = 0.20
"""Loss through 0.040 in from which air must be heard somewhere: common practice. [-]"""

LEAST_FINAL = 3e3
"""What a gauge that did not move is taken to show. [Pa gauge]"""
_UNKNOWN_SCATTER = 0.01
"""Relative scatter of a reading where the gauge is not known: assumed. [-]"""
READ_TO = 3.4e3
"""Half a psi: how closely a leak-down gauge is read (common practice). [Pa]"""
FLOWS_TO = 0.1
"""How closely it is known what a restrictor of known bore lets through (common practice), as a share. [-]"""
_SLOWEST, _FASTEST = 2.0, 60.0


@dataclass(frozen=True, slots=True)
class Leaked:
    """
    A leak-down reading.

    Parameters
    ----------
    loss : float
        Share of the supply. [-]
    area : float
        Effective area of the leak. [mm2]
    spread : float
        Standard deviation of its logarithm, from the reading and the restrictor. [-]
    """

    loss: float
    area: float
    spread: float


@dataclass(frozen=True, slots=True)
class Read:
    """
    What was read of one cylinder; None or empty where it was not.

    Parameters
    ----------
    cylinder : str
        Its name.
    final : float or None
        Dry final, mean of its pulls. [Pa gauge]
    spread : float
        Standard deviation of its logarithm, from gauge and reader. [-]
    apart : float or None
        Standard deviation of the logarithms of repeated finals; None for one pull. [-]
    strokes : int or None
        Compression strokes of the dry final.
    first : float or None
        First over final, mean of unspoiled pulls. [-]
    wet : float or None
        Wet over dry. [-]
    net : float or None
        The same with the oil's volume taken out, where that is known. [-]
    oil : float or None
        How much. [m3]
    leaked : Leaked or None
        The last leak-down.
    heard : tuple of str
        Where its air was heard; empty where nobody listened.
    rpm : float or None
        Cranking speed. [rad/s]
    lift_lost : float or None
        Measured. [m]
    plug : str
        Look of the plug.
    earlier : float or None
        Logarithm of its final over the middle of all, in an earlier test of this engine. [-]
    """

    cylinder: str
    final: float | None = None
    spread: float = _UNKNOWN_SCATTER
    apart: float | None = None
    strokes: int | None = None
    first: float | None = None
    wet: float | None = None
    net: float | None = None
    oil: float | None = None
    leaked: Leaked | None = None
    heard: tuple[str, ...] = ()
    rpm: float | None = None
    lift_lost: float | None = None
    plug: str = ""
    earlier: float | None = None

    @property
    def items(self) -> tuple[Item, ...]:
        """What evidence there is, in the order of `Item`."""
        there: Mapping[Item, bool] = {
            Item.FINAL: self.final is not None,
            Item.REPEATS: self.apart is not None,
            Item.EARLIER: self.earlier is not None and self.final is not None,
            Item.FIRST: self.first is not None,
            Item.SPEED: self.rpm is not None,
            Item.PLUG: bool(self.plug),
            Item.WET: self.wet is not None,
            Item.LEAKDOWN: self.leaked is not None,
            Item.HEARD: bool(self.heard),
            Item.LIFT: self.lift_lost is not None,
        }
        return tuple(item for item in Item if there[item])


def gather(
    test: CompressionTest, sheet: BuildSheet | None, earlier: Sequence[CompressionTest] = ()
) -> tuple[tuple[Read, ...], tuple[Contradiction, ...]]:
    """
    Lay out what was read, and set aside what contradicts itself.

    Parameters
    ----------
    test : CompressionTest
        What was taken, in any order.
    sheet : BuildSheet or None
        The engine; without one, the cylinders are those that were read.
    earlier : sequence of CompressionTest
        Earlier tests of the same engine.

    Returns
    -------
    tuple of (tuple of Read, tuple of Contradiction)
        A row for every cylinder in the order of the engine (without a sheet, of their names), and what was set aside.
    """
    if sheet is not None:
        names = sheet.cylinders
    else:
        rows = {row.cylinder for row in test.taken if row.cylinder and not (isinstance(row, Pull) and row.drift)}
        names = tuple(sorted(rows, key=lambda name: (len(name), name)))
    test = corrected(test)
    net = {each.cylinder: each for each in wet_over_dry(test, sheet)}
    before = _earlier(names, [corrected(each) for each in earlier])
    reads, contradictions = [], []
    for name in names:
        one = _read(name, test)
        found = net.get(name)
        one = replace(one, net=None if found is None else found.net_ratio, earlier=before.get(name))
        one, wrong = _set_aside(one)
        if two_claim_to_be_one(test, name, Kind.DRY):
            one = replace(one, final=None, apart=None, first=None, wet=None, net=None, earlier=None)
            wrong.append(Contradiction(name, (Item.FINAL,), Slip.TWO_READINGS))
        reads.append(one)
        contradictions += wrong
    return tuple(reads), tuple(contradictions)


def _read(name: str, test: CompressionTest) -> Read:
    pulls = [row for row in test.taken if isinstance(row, Pull) and row.cylinder == name and not row.drift]
    dry = [pull for pull in pulls if pull.kind is Kind.DRY and pull.final is not None]
    wet = [pull.final.pressure for pull in pulls if pull.kind is Kind.WET and pull.final is not None]
    leakdowns = [row for row in test.leakdowns if row.cylinder == name and row.supply and row.held]
    mine = [row for row in test.taken if row.cylinder == name]
    finals = sorted(max(float(pull.final.pressure), LEAST_FINAL) for pull in dry if pull.final)
    final = math.fsum(finals) / len(finals) if finals else None
    firsts = sorted(
        max(pull.first.pressure / pull.final.pressure, 1e-3)
        for pull in dry
        if pull.first and pull.final and pull.final.pressure > 0 and not pull.first_spoiled
    )
    oil = sorted(pull.oil.value for pull in pulls if pull.kind is Kind.WET and pull.oil)
    last = leakdowns[-1] if leakdowns else None
    speeds = sorted(pull.rpm.value for pull in dry if pull.rpm and _SLOWEST < pull.rpm.value < _FASTEST)
    lifts = [row.lift_loss.value for row in mine if row.lift_loss]
    counted = [pull.strokes for pull in dry if pull.strokes]
    return Read(
        name,
        final=final,
        spread=_spread(test, final, len(finals)),
        apart=_apart(finals),
        strokes=max(counted) if counted else None,
        first=math.fsum(firsts) / len(firsts) if firsts else None,
        wet=None if not wet or final is None else max(math.fsum(sorted(wet)) / len(wet), LEAST_FINAL) / final,
        oil=math.fsum(oil) / len(oil) if oil else None,
        leaked=None if last is None else _leaked(last, test),
        heard=tuple(dict.fromkeys(sorted(last.heard))) if last else (),
        rpm=mean(speeds) if speeds else None,
        lift_lost=max(lifts) if lifts else None,
        plug=min((row.plug for row in mine if row.plug), default=""),
    )


def _spread(test: CompressionTest, final: float | None, pulls: int) -> float:
    if final is None:
        return _UNKNOWN_SCATTER
    try:
        error = gauge_error(test.gauge, test.date)
    except GaugeRefused:
        error = None
    if error is None:
        return _UNKNOWN_SCATTER / math.sqrt(pulls)
    scatter = error.repeatability or ASSUMED_REPEATABILITY
    return math.hypot(error.resolution / math.sqrt(12) / final, scatter / math.sqrt(pulls))


def _apart(finals: Sequence[float]) -> float | None:
    if len(finals) < 2:  # noqa: PLR2004 - repeats
        return None
    logs = [math.log(final) for final in finals]
    middle = math.fsum(logs) / len(logs)
    return math.sqrt(math.fsum((each - middle) ** 2 for each in logs) / (len(logs) - 1))


def _leaked(row: LeakdownReading, test: CompressionTest) -> Leaked | None:
    if row.supply is None or row.held is None or row.supply.pressure <= 0:
        return None
    supply, held = float(row.supply.pressure), min(float(row.held.pressure), float(row.supply.pressure))
    known = row.restrictor is not None
    bore = row.restrictor.value if row.restrictor else SMALL_RESTRICTOR
    conditions = test.conditions
    air = PaAbs(STANDARD_AIR)
    if conditions.barometer is not None:
        air = PaAbs(conditions.barometer.value)
    elif conditions.altitude is not None:
        air = standard_pressure(min(max(conditions.altitude.value, LOWEST), HIGHEST))

    def area(at: float) -> float:
        if at <= 0.0:
            return LARGEST_AREA
        found = 1e6 * effective_area(PaGauge(supply), PaGauge(min(at, supply)), bore, barometer=air)
        return min(max(found, LEAST_AREA), LARGEST_AREA)

    by_reading = math.log(area(held - READ_TO) / area(min(held + READ_TO, supply))) / 2
    return Leaked(1.0 - held / supply, area(held), math.hypot(by_reading, FLOWS_TO if known else 0.4))


def _earlier(names: Sequence[str], tests: Sequence[CompressionTest]) -> dict[str, float]:
    found: dict[str, list[float]] = {}
    for test in tests:
        finals = {name: _read(name, test).final for name in names}
        logs = {name: math.log(final) for name, final in finals.items() if final is not None}
        if len(logs) > 2:  # noqa: PLR2004 - with two there is no telling which is off
            middle = median(logs.values())
            for name, level in logs.items():
                found.setdefault(name, []).append(level - middle)
    return {name: median(off) for name, off in found.items()}


def _set_aside(one: Read) -> tuple[Read, list[Contradiction]]:
    """Take out a leak-down that contradicts what was heard: one of them has to be read again."""
    if one.leaked is None or not one.heard:
        return one, []
    hiss = tuple(place for place in one.heard if place != "nothing")
    silent = "nothing" in one.heard
    if hiss and silent:
        slip = Slip.NOT_LISTENED
    elif hiss and one.leaked.loss <= NO_LOSS:
        slip = Slip.HEARD_ELSEWHERE
    elif silent and one.leaked.loss > LARGE_LOSS:
        slip = Slip.FITTING_LEAKS
    else:
        return one, []
    wrong = Contradiction(one.cylinder, (Item.LEAKDOWN, Item.HEARD), slip, one.leaked.loss, one.heard)
    return replace(one, leaked=None, heard=()), [wrong]
