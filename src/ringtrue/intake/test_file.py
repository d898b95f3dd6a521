"""The test file, a TOML file: the day, the gauge and the conditions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.compression import CheckValve, Conditions, Gauge
from ringtrue.errors import Fault, GaugeRefused, InputRefused
from ringtrue.intake.fields import LARGEST_FILE, Fields, only_tables, parse_toml, shown
from ringtrue.intake.files import decode, named, read_bytes
from ringtrue.intake.plausible import implausible_of_day
from ringtrue.measure.gauges import accuracy
from ringtrue.units import DecimalMark, Dimension, parse_measured, parse_number

if TYPE_CHECKING:
    from ringtrue.quantities import Measured

LEAST_BAROMETER, MOST_BAROMETER = 40_000.0, 115_000.0
"""Air where an engine can be cranked: about 7,000 m up, and the lowest land with some weather. [Pa]"""

LOWEST, HIGHEST = -1_000.0, 7_000.0
"""Where those barometers hang. [m]"""

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


def read_day(path: Path, *, confirmed: bool = False) -> Day:
    """
    Read a test file.

    Parameters
    ----------
    path : Path
        The file.
    confirmed : bool
        Its figures are meant as they are, plausible or not.

    Returns
    -------
    Day
        What it says.

    Raises
    ------
    GaugeRefused
        It cannot be used; every fault is told at once.
    """
    raw = read_bytes(path, GaugeRefused, largest=LARGEST_FILE)
    with named(path.name, GaugeRefused):
        return parse_day(decode(raw, GaugeRefused), confirmed=confirmed)


def parse_day(text: str, *, confirmed: bool = False) -> Day:
    """
    Read a test file from its text.

    Parameters
    ----------
    text : str
        TOML.
    confirmed : bool
        Its figures are meant as they are, plausible or not.

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
        conditions=_conditions(Fields(document.get("conditions", {}), "[conditions]", found), confirmed=confirmed),
    )
    test.nothing_else()
    if found:
        raise GaugeRefused(*found)
    return day


def parse_run(text: str, mark: DecimalMark = DecimalMark.ASK, *, comma_seen: bool = False) -> Measured:
    """
    Read what an engine has run: a distance or a running time.

    Parameters
    ----------
    text : str
        For example "500 mile" or "25 h".
    mark : DecimalMark
        The decimal mark.
    comma_seen : bool
        Another figure beside it has a decimal comma.

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
            run = parse_measured(text, dimension, mark=mark, comma_seen=comma_seen)
        except InputRefused as error:
            last = error
            continue
        if run.value < 0:
            break
        return run
    given = last.faults[0].given if last else f"“{text}”"
    raise InputRefused.of(
        given,
        "what an engine has run is a distance or a running time, with its unit",
        'type for example "500 mile", "800 km" or "25 h"',
    )


def _run(test: Fields) -> Measured | None:
    value = test.raw("run_since_build")
    if value is None:
        return None
    try:
        return parse_run(value if isinstance(value, str) else shown(value))
    except InputRefused as error:
        test.keep("run_since_build", error)
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
    gauge = gauge_of(table, name_needed=True)
    if found:
        raise GaugeRefused(*found)
    return gauge


def gauge_of(table: Fields, *, name_needed: bool = False) -> Gauge:
    """
    Read a gauge from a table, and keep its faults.

    Parameters
    ----------
    table : Fields
        The table.
    name_needed : bool
        A gauge without a name is a fault.

    Returns
    -------
    Gauge
        What the table says; its faults are in the table's list.
    """
    gauge = Gauge(
        name=table.text("name", needed=name_needed, example="shop gauge") or "gauge",
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
            table.fault(
                key, str(figure), f"{key.replace('_', ' ')} is not below zero", "correct it, or leave the line out"
            )
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
    if value is None:
        return ""
    text = value.strip() if isinstance(value, str) else shown(value)
    try:
        if text:
            accuracy(text)
    except GaugeRefused as error:
        table.fault("grade", shown(value), error.faults[0].why, error.faults[0].instead)
        return ""
    return text


def _repeatability(table: Fields) -> float | None:
    value = table.raw("repeatability")
    if value is None:
        return None
    text = value.strip() if isinstance(value, str) else shown(value)
    try:
        share = parse_number(text.removesuffix("%")) / (100.0 if text.endswith("%") else 1.0)
    except InputRefused:
        share = 0.0
    if 0 < share < WORST_REPEATABILITY:
        return share
    table.fault(
        "repeatability",
        shown(value),
        "this is a share of the reading above 0 and below 20 %",
        'write for example "0.6 %"',
    )
    return None


def parse_conditions(fields: Mapping[str, str], *, confirmed: bool = False) -> Conditions:
    """
    Read conditions as they were typed.

    Parameters
    ----------
    fields : mapping of str to str
        As in a test file's table ``[conditions]``; empty ones are left out.
    confirmed : bool
        They are meant as they are, plausible or not.

    Returns
    -------
    Conditions
        The day.

    Raises
    ------
    GaugeRefused
        A field cannot be used; every fault is told at once, each in the place of its field's name.
    """
    found: list[Fault] = []
    typed = Fields({key: value for key, value in fields.items() if value}, "", found)
    conditions = _conditions(typed, confirmed=confirmed)
    if found:
        raise GaugeRefused(*found)
    return conditions


def _conditions(table: Fields, *, confirmed: bool) -> Conditions:
    conditions = Conditions(
        altitude=table.measured("altitude", Dimension.LENGTH, ("m", "ft")),
        barometer=table.measured("barometer", Dimension.PRESSURE, ("hPa", "inHg", "mmHg")),
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
    height = conditions.altitude
    if height is not None and not LOWEST <= height.value <= HIGHEST:
        table.fault(
            "altitude",
            str(height),
            "no engine is cranked at that height",
            'write how far above the sea it stands, for example "120 m" or "400 ft"',
        )
    for key in ("cranking_speed", "battery"):
        figure = getattr(conditions, key)
        if figure is not None and figure.value <= 0:
            table.fault(key, str(figure), f"{key.replace('_', ' ')} is above zero", "correct it, or leave the line out")
        elif not confirmed:
            _ask(table, key, figure)
    if not confirmed:
        for key in ("inlet_air", "oil"):
            _ask(table, key, getattr(conditions, key))
    table.nothing_else()
    return conditions


def _ask(table: Fields, key: str, figure: Measured | None) -> None:
    doubt = implausible_of_day(key, figure)
    if doubt is not None:
        table.fault(key, doubt.given, doubt.why, doubt.instead)
