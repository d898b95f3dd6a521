"""Figures that no engine shows on the starter: mostly a unit that was mistaken for another."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence

from ringtrue.compression import Gauge, Kind, LeakdownReading, Pull, Reading
from ringtrue.engine import Ignition
from ringtrue.errors import Fault
from ringtrue.quantities import Measured
from ringtrue.units import Dimension, find_unit, from_si, gauge_unit, to_si

PLAUSIBLE_MEDIAN = {
    Ignition.SPARK: (40.0, 400.0),
    Ignition.COMPRESSION: (150.0, 800.0),
    None: (40.0, 800.0),
}
"""Between these a median dry final is believed [psi]; common practice."""

LARGEST_FINAL = 1500.0
"""Above it no single figure is believed [psi]; common practice."""

BEYOND_BELIEF = f"that is more than {LARGEST_FINAL:g} psi, which no engine shows on the starter"
"""What is said of such a figure."""

DAY_BELIEVED = {
    "cranking_speed": (50.0, 600.0, "rpm", "a starter turns an engine at"),
    "battery": (4.0, 32.0, "V", "a battery that turns a starter shows"),
    "inlet_air": (-40.0, 60.0, "C", "the air where an engine is cranked is at"),
    "oil": (-40.0, 150.0, "C", "the oil of an engine is at"),
}
"""Between these the day's figures are believed, each with its unit; common practice, from memory."""

_ENGINES = {Ignition.SPARK: "a spark-ignition", Ignition.COMPRESSION: "a compression-ignition", None: "an"}
_OF_DAY = {
    "cranking_speed": Dimension.ROTATION,
    "battery": Dimension.VOLTAGE,
    "inlet_air": Dimension.TEMPERATURE,
    "oil": Dimension.TEMPERATURE,
}
_SLACK = 1e-9
"""A figure on a limit is believed, whatever unit it was read in. [-]"""


def implausible(taken: Sequence[Pull | LeakdownReading], ignition: Ignition | None) -> list[Fault]:
    """
    Find figures that no such engine shows in the unit they are said to be in.

    Parameters
    ----------
    taken : sequence of Pull or LeakdownReading
        The readings.
    ignition : Ignition or None
        None when not known.

    Returns
    -------
    list of Fault
        Empty when they can be believed.
    """
    figures = [
        figure
        for row in taken
        for figure in ((row.first, row.final) if isinstance(row, Pull) else (row.supply, row.held))
    ]
    single = [fault for figure in figures if figure is not None and (fault := beyond_belief(figure)) is not None]
    median = implausible_median(taken, ignition)
    return single if median is None else [*single, median]


def implausible_of_day(key: str, figure: Measured | None) -> Fault | None:
    """
    Find a figure of the day, or of one row, that is hard to believe.

    Parameters
    ----------
    key : str
        A key of `DAY_BELIEVED`; any other figure is believed.
    figure : Measured or None
        What was written.

    Returns
    -------
    Fault or None
        None when it can be believed, or was not written.
    """
    if figure is None or key not in DAY_BELIEVED:
        return None
    low, high, name, who = DAY_BELIEVED[key]
    unit = find_unit(name, _OF_DAY[key])
    if to_si(low, unit) * (1 - _SLACK) <= figure.value <= to_si(high, unit) * (1 + _SLACK):
        return None
    return Fault(
        str(figure),
        f"{who} {low:g} to {high:g} {name} (common practice)",
        "check the figure and its unit; say --confirm-unit if it is meant",
    )


def beyond_belief(figure: Reading) -> Fault | None:
    """
    Find a single figure that no engine shows on the starter.

    Parameters
    ----------
    figure : Reading
        The figure.

    Returns
    -------
    Fault or None
        None when it can be believed.
    """
    if figure.pressure <= _pa(LARGEST_FINAL) * (1 + _SLACK):
        return None
    return Fault(
        str(figure),
        BEYOND_BELIEF,
        "check the figure and its unit; say --confirm-unit if it is meant",
    )


def implausible_median(taken: Sequence[Pull | LeakdownReading], ignition: Ignition | None) -> Fault | None:
    """
    Find a series whose middle final no such engine shows.

    Parameters
    ----------
    taken : sequence of Pull or LeakdownReading
        The readings.
    ignition : Ignition or None
        None when not known.

    Returns
    -------
    Fault or None
        None when it can be believed. One dead cylinder is believed: it does not move the median.
    """
    pulls = [row for row in taken if isinstance(row, Pull) and row.final is not None and not row.drift]
    dry = [row for row in pulls if row.kind is Kind.DRY] or pulls
    finals = [row.final for row in dry if row.final is not None]
    if not finals:
        return None
    low, high = PLAUSIBLE_MEDIAN[ignition]
    median = statistics.median(figure.pressure for figure in finals)
    if _pa(low) * (1 - _SLACK) <= median <= _pa(high) * (1 + _SLACK):
        return None
    unit = gauge_unit(find_unit(finals[0].unit, Dimension.PRESSURE))
    return Fault(
        f"a median final of {from_si(median, unit):g} {unit.name}",
        believed_finals(ignition),
        "check the unit (--unit, or the header); say --confirm-unit if the figures are meant as they are",
    )


def believed_finals(ignition: Ignition | None) -> str:
    """
    Say between which finals an engine is believed.

    Parameters
    ----------
    ignition : Ignition or None
        None when not known.

    Returns
    -------
    str
        What a builder would say; not a whole sentence.
    """
    low, high = PLAUSIBLE_MEDIAN[ignition]
    return f"{_ENGINES[ignition]} engine shows {low:g} to {high:g} psi on the starter"


def _pa(psi: float) -> float:
    return to_si(psi, find_unit("psi", Dimension.PRESSURE))


FAR_ABOVE = 2.0
"""A final so many times the middle of the others is asked about. [-]"""
IN_LINE = (0.6, 1.6)
"""Between these shares of that middle a figure would be in line, were it in another unit. [-]"""
NEARLY_ONE_UNIT = 0.1
"""Units that differ by a smaller share are not told apart by what an engine shows. [-]"""
_MISTAKEN = ("psi", "bar", "kg/cm2", "kPa")
"""Units that are taken for one another."""


def beside_others(pull: Pull, before: Sequence[Pull], gauge: Gauge | None) -> Fault | None:
    """
    Find a final that is hard to believe beside the gauge's face, or beside what other cylinders read.

    Parameters
    ----------
    pull : Pull
        What was typed.
    before : sequence of Pull
        Pulls of the same kind.
    gauge : Gauge or None
        The gauge, where it is known.

    Returns
    -------
    Fault or None
        None when it can be believed. A low final is believed, unless it would be in line in another unit.
    """
    final = pull.final
    if final is None:
        return None
    face = gauge.range if gauge else None
    if face is not None and final.pressure > face.value * (1 + _SLACK):
        return Fault(str(final), f"the gauge goes to {face}", "read it again, with its unit")
    others = [row.final.pressure for row in before if row.final is not None and row.cylinder != pull.cylinder]
    middle = statistics.median(others) if others else 0.0
    if middle < _pa(PLAUSIBLE_MEDIAN[None][0]):
        return None
    told = f"{from_si(middle, gauge_unit(find_unit(final.unit, Dimension.PRESSURE))):.4g} {final.unit}"
    if not IN_LINE[0] * middle * (1 - _SLACK) <= final.pressure <= IN_LINE[1] * middle * (1 + _SLACK):
        figure = from_si(final.pressure, gauge_unit(find_unit(final.unit, Dimension.PRESSURE)))
        own = gauge_unit(find_unit(final.unit, Dimension.PRESSURE)).factor
        for name in _MISTAKEN:
            # Bar and kg/cm2 are 2 % apart: taking one for the other puts nothing out of line.
            if abs(find_unit(name, Dimension.PRESSURE).factor / own - 1) < NEARLY_ONE_UNIT:
                continue
            meant = to_si(figure, gauge_unit(find_unit(name, Dimension.PRESSURE)))
            if IN_LINE[0] * middle < meant < IN_LINE[1] * middle:
                why = f"the others read about {told}, and {figure:g} {name} would be in line with them"
                return Fault(str(final), why, "check the unit")
    if final.pressure > FAR_ABOVE * middle * (1 + _SLACK):
        return Fault(str(final), f"the others read about {told}", "read it again, with its unit")
    return None


def odd_among(rows: Sequence[Pull | LeakdownReading]) -> Iterator[tuple[Pull, Fault]]:
    """
    Find the finals of a whole test that are hard to believe beside its other cylinders.

    Parameters
    ----------
    rows : sequence of Pull or LeakdownReading
        The test; dry and wet pulls are each held against their own.

    Yields
    ------
    (Pull, Fault)
        As `beside_others` has it.
    """
    for row in rows:
        if isinstance(row, Pull):
            same = [each for each in rows if isinstance(each, Pull) and each.kind is row.kind]
            if (fault := beside_others(row, same, None)) is not None:
                yield row, fault
