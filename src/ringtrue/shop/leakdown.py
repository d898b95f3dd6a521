"""One leak-down reading: read as it was typed, judged, and sized."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeVar

from ringtrue.compression import Band, CompressionTest, Conditions, Gauge, LeakdownReading
from ringtrue.engine import BuildSheet
from ringtrue.errors import InputRefused, ReadingImpossible
from ringtrue.intake import Day, leakdown_faults, places_heard
from ringtrue.physics import RESTRICTOR_COEFFICIENT
from ringtrue.quantities import PaAbs
from ringtrue.shop.as_json import leak_sizes
from ringtrue.shop.judging import Judged, judge_test
from ringtrue.shop.leaks import Leak, air_of, leak_of
from ringtrue.shop.typed import cylinder_typed, reading_typed
from ringtrue.units import DecimalMark, Dimension, Unit, from_si, parse_measured, parse_number

if TYPE_CHECKING:
    from ringtrue.measure import LeakdownFigures
    from ringtrue.shop.leakdown_kept import Kept

_Figure = TypeVar("_Figure")

LEAST_COEFFICIENT, MOST_COEFFICIENT = 0.3, 1.0
"""Discharge coefficients that a hole can have: a ragged one, and a perfect nozzle. [-]"""


LARGEST_LEAK = 100e-6
"""With a leak as large as this next to no pressure is left on the starter, and a larger one costs no more. [m2]"""

MOST_SUPPLY = 20e5
"""Shop air is 7 to 8 bar (DT-05: 100 to 120 psi); far above it a unit was mistaken for another. [Pa gauge]"""


CrankingCost = Callable[[BuildSheet, Gauge | None, Conditions, float], Band]
"""(sheet, gauge, day, effective area [m2]) -> what such a leak costs of the final [Pa]; may refuse what it cannot."""


@dataclass(frozen=True, slots=True)
class Asked:
    """
    A leak-down reading as it was typed.

    Parameters
    ----------
    supply, held : str
        With their units, or in the usual one.
    restrictor : str
        Its bore; empty when not known.
    cylinder : str
        Its name; empty when not said.
    heard : sequence of str
        Where the air was heard, as typed.
    coefficient : str
        Discharge coefficient of the restrictor; empty for `RESTRICTOR_COEFFICIENT`.
    """

    supply: str
    held: str
    restrictor: str = ""
    cylinder: str = ""
    heard: Sequence[str] = ()
    coefficient: str = ""


@dataclass(frozen=True, slots=True)
class Engine:
    """
    What a leak-down reading is held against.

    Parameters
    ----------
    sheet : BuildSheet or None
        The engine, when it is known.
    cylinders : tuple of str
        Those it has; empty when not known.
    day : Day
        The day, the gauge, the conditions.
    """

    sheet: BuildSheet | None = None
    cylinders: tuple[str, ...] = ()
    day: Day = field(default_factory=Day)


@dataclass(frozen=True, slots=True)
class Weighed:
    """
    A leak-down reading, judged and sized.

    Parameters
    ----------
    reading : LeakdownReading
        As it was read.
    judged : Judged
        The reading as a test of its own.
    leak : Leak
        Its size.
    cost : Band or None
        What it should cost of the cranking pressure; None when that cannot be told. [Pa]
    why_no_cost : str
        Why it cannot; empty when it can.
    """

    reading: LeakdownReading
    judged: Judged
    leak: Leak
    cost: Band | None
    why_no_cost: str

    @property
    def figures(self) -> LeakdownFigures:
        """The loss, and what became of it."""
        return self.judged.judgement.leakdown[0]

    @property
    def unit(self) -> Unit:
        """The unit of the supply, above the surrounding air."""
        return self.judged.unit


def read_asked(asked: Asked, engine: Engine, usual: Unit | None, mark: DecimalMark) -> LeakdownReading:
    """
    Read a leak-down reading that was typed.

    Parameters
    ----------
    asked : Asked
        As typed.
    engine : Engine
        The engine, whose cylinders are known or not.
    usual : Unit or None
        Unit of pressures where none is typed.
    mark : DecimalMark
        What the decimal mark is.

    Returns
    -------
    LeakdownReading
        The reading.

    Raises
    ------
    InputRefused
        Something of it cannot be used; all of it is told at once.
    """
    refused: list[InputRefused] = []

    def read(name: str, text: str, how: Callable[[str], _Figure]) -> _Figure | None:
        try:
            return how(text) if text else None
        except InputRefused as error:
            refused.append(error.at(name))
            return None

    barometer = engine.day.conditions.barometer
    air = None if barometer is None else PaAbs(barometer.value)
    heard, unheard = places_heard(_in_a_row(asked.heard))
    cylinder = read("--cylinder", asked.cylinder, lambda text: one_cylinder(text, engine.cylinders)) or ""
    refused += [InputRefused(fault).at("--heard") for fault in unheard]
    named = [read("--heard", place, lambda text: _other(text, cylinder, engine.cylinders)) or place for place in heard]
    reading = LeakdownReading(
        cylinder=cylinder,
        supply=read("--supply", asked.supply, lambda text: reading_typed(text, usual, air, mark)),
        held=read("--held", asked.held, lambda text: reading_typed(text, usual, air, mark)),
        restrictor=read(
            "--restrictor", asked.restrictor, lambda text: parse_measured(text, Dimension.LENGTH, mark=mark)
        ),
        heard=tuple(named),
    )
    refused += [ReadingImpossible(fault).at(f"--{name}") for name, fault in leakdown_faults(reading)]
    if reading.supply is not None and reading.supply.pressure > MOST_SUPPLY:
        why = f"no leak-down tester is given more than {MOST_SUPPLY / 1e5:g} bar"
        refused.append(
            ReadingImpossible.of(str(reading.supply), why, "check figure and unit; often it is 80 psi", "--supply")
        )
    if refused:
        raise InputRefused(*(fault for each in refused for fault in each.faults))
    return reading


def coefficient_of(text: str, mark: DecimalMark = DecimalMark.ASK) -> float:
    """
    Read the discharge coefficient of a restrictor.

    Parameters
    ----------
    text : str
        As typed; empty for the usual one.
    mark : DecimalMark
        What the decimal mark is.

    Returns
    -------
    float
        [-]

    Raises
    ------
    InputRefused
        It is no number, or no hole has such a one.
    """
    if not text:
        return RESTRICTOR_COEFFICIENT
    try:
        value = parse_number(text, mark=mark)
    except InputRefused as error:
        raise error.at("--cd") from None
    if LEAST_COEFFICIENT <= value <= MOST_COEFFICIENT:
        return value
    why = f"a discharge coefficient is between {LEAST_COEFFICIENT:g} and {MOST_COEFFICIENT:g}"
    raise InputRefused.of(f"--cd {text}", why, f"leave it out for the usual {RESTRICTOR_COEFFICIENT:g}")


def weigh(
    reading: LeakdownReading,
    engine: Engine,
    limits: Mapping[str, float],
    coefficient: float = RESTRICTOR_COEFFICIENT,
    cost: CrankingCost | None = None,
) -> Weighed:
    """
    Judge one leak-down reading, and work out how large the leak is and what it should cost.

    Parameters
    ----------
    reading : LeakdownReading
        As it was read.
    engine : Engine
        What it is held against.
    limits : mapping of str to float
        Thresholds that the shop has changed.
    coefficient : float
        Discharge coefficient of the restrictor. [-]
    cost : CrankingCost or None
        Works out what the leak should cost of the cranking pressure, as `ringtrue.physics.cranking_loss` does; without
        it that is not told.

    Returns
    -------
    Weighed
        What was found.
    """
    day = engine.day
    test = CompressionTest((reading,), gauge=day.gauge, conditions=day.conditions)
    judged = judge_test(test, engine.sheet, limits)
    leak = leak_of(judged.judgement.leakdown[0], air_of(day.conditions), coefficient)
    return Weighed(reading, judged, leak, *_cost(engine, leak, reading, cost))


def as_json(weighed: Weighed, kept: Kept | None = None) -> dict[str, object]:
    """
    Put a leak-down reading into the form of ``ringtrue leakdown --json``.

    Parameters
    ----------
    weighed : Weighed
        What was found.
    kept : Kept or None
        Where it is in the book; None when it is in none.

    Returns
    -------
    dict
        Of text, numbers, lists and dicts; pressures in the unit of the supply.
    """
    found, unit, cost = weighed.figures, weighed.unit, weighed.cost
    return {
        "cylinder": found.cylinder or None,
        "unit": unit.name,
        "supply": None if found.supply is None else from_si(found.supply, unit),
        "held": None if found.held is None else from_si(found.held, unit),
        "restrictor_mm": None if found.restrictor is None else found.restrictor * 1e3,
        "coefficient": weighed.leak.coefficient,
        "heard": list(found.heard),
        "loss": found.loss,
        "outcome": found.outcome.value,
        "rule": found.rule,
        "limit": found.limit,
        "source": found.source,
        "reason": found.reason,
        **leak_sizes(weighed.leak),
        "cranking_loss": None
        if cost is None
        else {
            "unit": unit.name,
            "median": cost.median / unit.factor,
            "low": cost.low / unit.factor,
            "high": cost.high / unit.factor,
        },
        "test": None if kept is None else kept.test_id,
        "entry": None if kept is None else kept.seq,
        "head": None if kept is None else kept.head,
        "repeat": None if kept is None else kept.repeat,
    }


def _cost(engine: Engine, leak: Leak, reading: LeakdownReading, cost: CrankingCost | None) -> tuple[Band | None, str]:
    """Return what a leak costs of the cranking pressure, and why it is not known."""
    sheet, day = engine.sheet, engine.day
    lacks = [
        *([] if reading.restrictor else ["the restrictor's bore"]),
        *([] if sheet else ["a build sheet with bore, stroke, compression ratio and cam"]),
    ]
    if cost is None or sheet is None or leak.area is None:
        return None, f"it takes {' and '.join(lacks)}" if lacks else "it was not asked for"
    try:
        return cost(sheet, day.gauge, day.conditions, min(leak.area, LARGEST_LEAK)), ""
    except InputRefused as error:
        # The reading stands by itself: what the model cannot do is told, and stops nothing.
        return None, "; ".join(f"{fault.given}: {fault.why}" for fault in error.faults)


def _in_a_row(heard: Sequence[str]) -> str:
    """Put what was typed behind --heard into one text, as a readings file has it: “cylinder 4” may be two words."""
    return re.sub(r"(?i)\b(cylinder)\s*;\s*", r"\1 ", "; ".join(heard))


def one_cylinder(text: str, cylinders: Sequence[str]) -> str:
    """
    Read which cylinder a reading is of.

    Parameters
    ----------
    text : str
        As typed.
    cylinders : sequence of str
        Those the engine has; empty when not known.

    Returns
    -------
    str
        Its name.

    Raises
    ------
    InputRefused
        The engine does not have it, or more than one is named.
    """
    if not cylinders:
        return " ".join(text.split())
    name, rest = cylinder_typed(text, cylinders)
    if rest:
        raise InputRefused.of(f"“{text}”", "one reading is of one cylinder", f"type one of {', '.join(cylinders)}")
    return name


def _other(place: str, cylinder: str, cylinders: Sequence[str]) -> str:
    if not place.startswith("cylinder "):
        return place
    name = one_cylinder(place.removeprefix("cylinder "), cylinders)
    if cylinder and name == cylinder:
        raise InputRefused.of(f"“{place}”", "that is where the air is let in", "name another cylinder, or leave it out")
    return f"cylinder {name}"
