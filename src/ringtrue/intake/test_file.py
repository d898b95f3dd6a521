"""The test file, a TOML file: the day, the gauge and the conditions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.compression import CheckValve, Conditions, Gauge
from ringtrue.errors import Fault, GaugeRefused, InputRefused
from ringtrue.intake.fields import Fields, only_tables, parse_toml, read_text
from ringtrue.measure.gauges import accuracy
from ringtrue.units import Dimension, parse_measured, parse_number

if TYPE_CHECKING:
    from ringtrue.quantities import Measured

LEAST_BAROMETER, MOST_BAROMETER = 40_000.0, 115_000.0
"""Air where an engine can be cranked: about 7,000 m up, and the deepest mines. [Pa]"""


WORST_REPEATABILITY = 0.2
"""A gauge that repeats no better than this share of the reading measures nothing. [-]"""


@dataclass(frozen=True, slots=True)
class Day:
    """
    What a test file says.

    Parameters
    ----------
    date, by : str
        ISO date and who; empty when not said.
    run_since_build : Measured or None
        Distance [m] or running time [s].
    gauge : Gauge or None
        None when there is no such table.
    conditions : Conditions
        The day.
    """

    date: str = ""
    by: str = ""
    run_since_build: Measured | None = None
    gauge: Gauge | None = None
    conditions: Conditions = field(default_factory=Conditions)


def read_day(path: Path) -> Day:
    """
    Read a test file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Day
        What it says.

    Raises
    ------
    GaugeRefused
        It cannot be used; every fault is told at once.
    """
    text = read_text(path, GaugeRefused)
    try:
        return parse_day(text)
    except GaugeRefused as error:
        raise error.at(path.name) from None


def parse_day(text: str) -> Day:
    """
    Read a test file from its text.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    Day
        What it says.

    Raises
    ------
    GaugeRefused
        It cannot be used; every fault is told at once.
    """
    document = parse_toml(text, GaugeRefused)
    found: list[Fault] = []
    only_tables(document, ("test", "gauge", "conditions"), found)
    test = Fields(document.get("test", {}), "[test]", found)
    day = Day(
        date=test.day("date"),
        by=test.text("by", example="initials"),
        run_since_build=_run(test),
        gauge=gauge_of(Fields(document["gauge"], "[gauge]", found)) if "gauge" in document else None,
        conditions=_conditions(Fields(document.get("conditions", {}), "[conditions]", found)),
    )
    test.nothing_else()
    if found:
        raise GaugeRefused(*found)
    return day


def parse_run(text: str) -> Measured:
    """
    Read what an engine has run: a distance or a running time.

    Parameters
    ----------
    text : str
        For example "500 mile" or "25 h".

    Returns
    -------
    Measured
        Metres or seconds, beside the text.

    Raises
    ------
    InputRefused
        It is neither.
    """
    last: InputRefused | None = None
    for dimension in (Dimension.DISTANCE, Dimension.DURATION):
        try:
            run = parse_measured(text, dimension)
        except InputRefused as error:
            last = error
            continue
        if run.value < 0:
            break
        return run
    given = last.faults[0].given if last else f"“{text}”"
    raise InputRefused.of(
        given, "this is a distance or a running time", 'type for example "500 mile", "800 km" or "25 h"'
    )


def _run(test: Fields) -> Measured | None:
    value = test.raw("run_since_build")
    if value is None:
        return None
    try:
        return parse_run(str(value))
    except InputRefused as error:
        for fault in error.faults:
            test.fault("run_since_build", fault.given, fault.why, fault.instead)
        return None


def parse_gauge(fields: Mapping[str, str]) -> Gauge:
    """
    Read a gauge from fields as they were typed.

    Parameters
    ----------
    fields : mapping of str to str
        As in a test file's table ``[gauge]``; empty ones are left out.

    Returns
    -------
    Gauge
        The gauge.

    Raises
    ------
    GaugeRefused
        A field cannot be used; every fault is told at once.
    """
    found: list[Fault] = []
    table = Fields({key: value for key, value in fields.items() if value}, "", found)
    table.text("name", needed=True, example="shop gauge")
    gauge = gauge_of(table)
    if found:
        raise GaugeRefused(*found)
    return gauge


def gauge_of(table: Fields) -> Gauge:
    """
    Read a gauge from a table, and keep its faults.

    Parameters
    ----------
    table : Fields
        The table.

    Returns
    -------
    Gauge
        What the table says; its faults are in the table's list.
    """
    gauge = Gauge(
        name=table.text("name", example="shop gauge") or "gauge",
        range=table.gauge_pressure("range"),
        resolution=table.gauge_pressure("resolution"),
        grade=_grade(table),
        check_valve=table.choice("check_valve", CheckValve),
        adapter_volume=table.measured("adapter_volume", Dimension.VOLUME),
        hose_volume=table.measured("hose_volume", Dimension.VOLUME),
        opening_pressure=table.gauge_pressure("opening_pressure"),
        repeatability=_repeatability(table),
    )
    for key in ("range", "resolution"):
        figure = getattr(gauge, key)
        if figure is not None and figure.value <= 0:
            table.fault(key, str(figure), f"{key} is above zero", "read it off the dial")
    for key in ("adapter_volume", "hose_volume", "opening_pressure"):
        figure = getattr(gauge, key)
        if figure is not None and figure.value < 0:
            table.fault(key, str(figure), f"{key} is not below zero", "correct it, or leave the line out")
    if gauge.grade and gauge.range is None and not table.has("range"):
        table.fault(
            "range",
            "",
            "a grade is a share of the range, and the range is missing",
            'add for example range = "300 psi"',
        )
    if gauge.range and gauge.resolution and gauge.resolution.value > gauge.range.value / 2:
        table.fault(
            "resolution",
            str(gauge.resolution),
            f"no dial of {gauge.range} has such steps",
            "write the smallest step you can read",
        )
    table.nothing_else()
    return gauge


def _grade(table: Fields) -> str:
    value = table.raw("grade")
    if value is None or value == "" or isinstance(value, bool):
        return ""
    text = str(value).strip()
    try:
        accuracy(text)
    except GaugeRefused as error:
        for fault in error.faults:
            table.fault("grade", fault.given, fault.why, fault.instead)
        return ""
    return text


def _repeatability(table: Fields) -> float | None:
    value = table.raw("repeatability")
    if value is None:
        return None
    share: float | None = None
    if isinstance(value, str):
        try:
            share = parse_number(value.removesuffix("%").strip()) / (100.0 if value.endswith("%") else 1.0)
        except InputRefused:
            share = None
    else:
        share = table.number("repeatability")
    if share is None or not 0 < share < WORST_REPEATABILITY:
        table.fault(
            "repeatability",
            str(value),
            "this is a share of the reading above 0 and below 20 %",
            'write for example "0.6 %"',
        )
        return None
    return share


def _conditions(table: Fields) -> Conditions:
    conditions = Conditions(
        altitude=table.measured("altitude", Dimension.LENGTH),
        barometer=table.measured("barometer", Dimension.PRESSURE),
        inlet_air=table.measured("inlet_air", Dimension.TEMPERATURE),
        oil=table.measured("oil", Dimension.TEMPERATURE),
        cranking_speed=table.measured("cranking_speed", Dimension.ROTATION),
        battery=table.measured("battery", Dimension.VOLTAGE),
    )
    air = conditions.barometer
    if air is not None and not LEAST_BAROMETER <= air.value <= MOST_BAROMETER:
        table.fault(
            "barometer",
            str(air),
            "no barometer shows that on the spot",
            'write the air pressure as it is there, for example "1003 hPa"',
        )
    for key in ("cranking_speed", "battery"):
        figure = getattr(conditions, key)
        if figure is not None and figure.value <= 0:
            table.fault(key, str(figure), f"{key.replace('_', ' ')} is above zero", "correct it, or leave the line out")
    table.nothing_else()
    return conditions
