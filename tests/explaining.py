"""An invented six, and what may be read of it, for tests of the diagnosis."""

from __future__ import annotations

from dataclasses import replace

from tests.pulled import measured, pulled, pulls, reading

from ringtrue.compression import CompressionTest, Kind, LeakdownReading, Pull
from ringtrue.diagnosis import Cause, CylinderExplanation, Explanation
from ringtrue.engine import BuildSheet, Camshaft, Cooling, Geometry, Ignition, Layout
from ringtrue.quantities import Radians
from ringtrue.units import Dimension

SIX = BuildSheet(
    name="invented six",
    layout=Layout.INLINE,
    cylinders=tuple("123456"),
    banks=(tuple("123456"),),
    ignition=Ignition.SPARK,
    cooling=Cooling.LIQUID,
    geometry=Geometry(bore=0.092, stroke=0.098, compression_ratio=8.6),
    camshaft=Camshaft(intake_closes=Radians(0.87)),
)
FINE = (152.0, 154.0, 151.0, 152.0, 153.0, 154.0)
FIRSTS = (110.0, 112.0, 109.0, 111.0, 110.0, 112.0)


def finals(*given: float, **low: float) -> dict[str, float | None]:
    """Return finals of the six, some of them as said: ``c5=120``."""
    found: dict[str, float | None] = {str(number): final for number, final in enumerate(given or FINE, start=1)}
    return found | {name.removeprefix("c"): final for name, final in low.items()}


def wet(cc: float = 4.5, **figures: float) -> tuple[Pull, ...]:
    """Return wet pulls, ``c5=140``, with that much oil."""
    rows = pulls({name.removeprefix("c"): final for name, final in figures.items()}, kind=Kind.WET)
    return tuple(replace(row, oil=measured(cc, "cc", Dimension.VOLUME)) for row in rows)


def leakdown(cylinder: str, held: float, *heard: str, supply: float = 80.0) -> LeakdownReading:
    """Return a leak-down through 0.040 in, and where its air was heard."""
    bore = measured(0.040, "in", Dimension.LENGTH)
    return LeakdownReading(
        cylinder=cylinder, supply=reading(supply, "psi"), held=reading(held, "psi"), restrictor=bore, heard=heard
    )


def taken(dry: dict[str, float | None], *more: Pull | LeakdownReading, firsts: bool = True) -> CompressionTest:
    """Return a test of the six; first strokes are seven tenths of what a sound final is."""
    first = {str(number): each for number, each in enumerate(FIRSTS, start=1)} if firsts else {}
    seen = {name: min(each, 0.75 * (dry[name] or 0.0)) for name, each in first.items() if dry.get(name) is not None}
    return pulled(*pulls(dry, seen), *more)


def of(explained: Explanation, cylinder: str) -> CylinderExplanation:
    """Return what is said of one cylinder."""
    return next(each for each in explained.cylinders if each.cylinder == cylinder)


def odds(explained: Explanation, cylinder: str) -> dict[Cause, float]:
    """Return the odds of one cylinder."""
    return {each.cause: each.probability for each in of(explained, cylinder).causes}
