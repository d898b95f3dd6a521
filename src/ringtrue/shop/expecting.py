"""What an engine should show on its starter: sheet, gauge and day in, an expectation in a unit out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ringtrue.compression import Conditions, Expectation, Gauge
from ringtrue.engine import BuildSheet
from ringtrue.errors import CannotExpect, CannotWrite, Fault, InputRefused
from ringtrue.intake import Day, parse_conditions, read_day, read_sheet
from ringtrue.shop.judging import usual_unit
from ringtrue.shop.workplace import write_file
from ringtrue.units import Dimension, Unit, find_unit, gauge_unit
from ringtrue.wording import Expected, input_units

_FOUR_STROKE = 4

# What is said in two ways: the one that tells more, the other, and how they are called.
_TWICE = (
    ("barometer", "altitude", "the barometer", "the altitude"),
    ("cranking_speed", "battery", "the cranking speed", "the battery's voltage"),
)


@dataclass(frozen=True, slots=True)
class EngineAndWords:
    """
    An engine, and what the person says of gauge and day.

    Parameters
    ----------
    sheet : Path
        The build sheet.
    test : Path or None
        The test file: its gauge and its conditions are taken.
    gauge : Gauge or None
        A gauge of the register; wins over the test file's.
    said : mapping of str to str
        Conditions as they were typed, by the name of the field; win over the test file's. Empty ones are left out.
    unit : str
        Pressure unit to tell it in; empty when not said.
    usual_unit : str
        The shop's unit; empty when not settled.
    confirmed : bool
        The day's figures are meant as they are, plausible or not.
    """

    sheet: Path
    test: Path | None = None
    gauge: Gauge | None = None
    said: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    usual_unit: str = ""
    confirmed: bool = False


@dataclass(frozen=True, slots=True)
class ExpectedEngine:
    """
    An expectation, and what it was made for.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    gauge : Gauge or None
        The gauge.
    conditions : Conditions
        The day.
    found : Expectation
        What physics found.
    unit : Unit
        Unit of pressures.
    warnings : tuple of str
        What the person should know of what was said.
    """

    sheet: BuildSheet
    gauge: Gauge | None
    conditions: Conditions
    found: Expectation
    unit: Unit
    warnings: tuple[str, ...]

    @property
    def units(self) -> dict[str, Unit]:
        """Units in which the inputs are told, by key."""
        return input_units(self.gauge, self.conditions, self.unit)

    @property
    def words(self) -> Expected:
        """The expectation in words."""
        return Expected(self.found, self.unit, self.units)


def expect_engine(words: EngineAndWords) -> ExpectedEngine:
    """
    Work out what an engine should show on its starter.

    Parameters
    ----------
    words : EngineAndWords
        The engine and what is said with it.

    Returns
    -------
    ExpectedEngine
        The expectation.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or the sheet lacks what it takes.
    InputRefused
        Sheet, test file or what was typed cannot be used; all their faults are told at once.
    """
    sheet, day, typed, unit = _read(words)
    gauge = words.gauge or day.gauge
    conditions, warnings = together(day.conditions, typed)
    shown = unit or usual_unit(gauge, words.usual_unit) or find_unit("psi", Dimension.PRESSURE)
    found = _expect(words, sheet, gauge, conditions)
    return ExpectedEngine(sheet, gauge, conditions, found, gauge_unit(shown), warnings)


def expect_sheet(
    sheet: BuildSheet, usual: str, gauge: Gauge | None = None, conditions: Conditions | None = None
) -> ExpectedEngine:
    """
    Work out what an engine of the book should show on its starter.

    Parameters
    ----------
    sheet : BuildSheet
        The engine.
    usual : str
        The shop's unit of pressures; empty when not settled.
    gauge : Gauge or None
        The gauge.
    conditions : Conditions or None
        The day; None where nothing is said of it.

    Returns
    -------
    ExpectedEngine
        The expectation.

    Raises
    ------
    CannotExpect
        The engine is a two-stroke, or the sheet lacks what it takes.
    """
    from ringtrue.physics import expect

    day = conditions or Conditions()
    shown = usual_unit(gauge, usual) or find_unit("psi", Dimension.PRESSURE)
    return ExpectedEngine(sheet, gauge, day, expect(sheet, gauge, day), gauge_unit(shown), ())


def write_tornado(expected: ExpectedEngine, path: Path) -> None:
    """
    Draw what moves the final most.

    Parameters
    ----------
    expected : ExpectedEngine
        The expectation.
    path : Path
        Ends in ``.svg``.

    Raises
    ------
    CannotWrite
        It does not, or cannot be written.
    """
    from ringtrue.report.tornado_figure import tornado_svg, tornado_view

    must_be_a_drawing(path)
    view = tornado_view(expected.words, expected.sheet.name)
    write_file(path, tornado_svg(view, "tornado").encode())


def must_be_a_drawing(path: Path) -> None:
    """
    Refuse a file that is no drawing, before anything is worked out.

    Parameters
    ----------
    path : Path
        What was named.

    Raises
    ------
    CannotWrite
        It does not end in ``.svg``.
    """
    if path.suffix.casefold() != ".svg":
        raise CannotWrite.of(f"“{path}”", "the drawing is an SVG file", "name a file that ends in .svg")


def _read(words: EngineAndWords) -> tuple[BuildSheet, Day, Conditions, Unit | None]:
    """Read all that was handed over, and tell all its faults at once."""
    refused: list[InputRefused] = []
    sheet, day, typed, unit = None, Day(), Conditions(), None
    try:
        sheet, _ = read_sheet(words.sheet)
    except InputRefused as error:
        refused.append(error)
    if words.test is not None:
        try:
            day = read_day(words.test, confirmed=words.confirmed)
        except InputRefused as error:
            refused.append(error)
    try:
        typed = typed_conditions(words.said, confirmed=words.confirmed)
    except InputRefused as error:
        refused.append(error)
    try:
        unit = find_unit(words.unit, Dimension.PRESSURE, where="--unit") if words.unit else None
    except InputRefused as error:
        refused.append(error)
    if refused or sheet is None:
        raise type(refused[0])(*(fault for error in refused for fault in error.faults))
    return sheet, day, typed, unit


# Lengths and pressures have many units; these two are never in thousandths of an inch, nor in psi.
_EXAMPLES = {
    "altitude": '"1500 m" or "4900 ft"',
    "barometer": '"1003 hPa" or "29.6 inHg"',
}


def typed_conditions(said: Mapping[str, str], *, confirmed: bool = False) -> Conditions:
    """
    Read conditions as they were typed behind options.

    Parameters
    ----------
    said : mapping of str to str
        By the name of the field; empty ones are left out.
    confirmed : bool
        They are meant as they are, plausible or not.

    Returns
    -------
    Conditions
        What was typed.

    Raises
    ------
    GaugeRefused
        Some cannot be used; every fault is told at once, each in the place of its option.
    """
    try:
        return parse_conditions(said, confirmed=confirmed)
    except InputRefused as error:
        raise type(error)(*(_as_option(fault) for fault in error.faults)) from None


def option_of(key: str) -> str:
    """
    Name the option behind which a condition is typed.

    Parameters
    ----------
    key : str
        Name of the field.

    Returns
    -------
    str
        As it is typed.

    Examples
    --------
    >>> option_of("inlet_air")
    '--inlet-air'
    """
    return f"--{key.replace('_', '-')}"


def _as_option(fault: Fault) -> Fault:
    """Say of what was typed behind an option what is said of a line in a file."""
    example = _EXAMPLES.get(fault.where)
    instead = fault.instead.replace("leave the line out", "leave it out")
    return replace(fault, where=option_of(fault.where), instead=f"type for example {example}" if example else instead)


def together(day: Conditions, typed: Conditions) -> tuple[Conditions, tuple[str, ...]]:
    """
    Lay what was typed over the test file's conditions; where one thing is said twice, keep what tells more.

    Parameters
    ----------
    day, typed : Conditions
        Of the test file, and typed.

    Returns
    -------
    tuple of (Conditions, tuple of str)
        What holds, and what the person should know of it.
    """
    keys = ("altitude", "barometer", "inlet_air", "oil", "cranking_speed", "battery")
    merged = {key: getattr(typed, key) or getattr(day, key) for key in keys}
    warnings = []
    for more, less, telling, lesser in _TWICE:
        if merged[more] is None or merged[less] is None:
            continue
        if getattr(typed, more) is None and getattr(typed, less) is not None:
            warnings.append(f"{telling} of the test file, {merged[more]}, is left aside: {lesser} was typed")
            merged[more] = None
        elif getattr(typed, less) is not None or more == "barometer":
            warnings.append(f"{lesser}, {merged[less]}, is left aside: {telling} tells more")
    return Conditions(**merged), tuple(warnings)


def _expect(words: EngineAndWords, sheet: BuildSheet, gauge: Gauge | None, conditions: Conditions) -> Expectation:
    from ringtrue.physics import expect

    try:
        return expect(sheet, gauge, conditions)
    except InputRefused as error:
        faults = [_placed(fault, words) for fault in error.faults]
        if isinstance(error, CannotExpect) and sheet.cycle == _FOUR_STROKE:
            faults.append(
                Fault(
                    "",
                    "judging and recording go on without an expectation",
                    f"type ringtrue judge FILE --sheet {words.sheet}",
                )
            )
        raise type(error)(*faults) from None


def _placed(fault: Fault, words: EngineAndWords) -> Fault:
    """Name the file, the gauge or the option that a fault stands in."""
    table, _, key = fault.where.partition(" ")
    if table == "[conditions]" and words.said.get(key):
        return replace(fault, where=option_of(key))
    if table == "[gauge]" and words.gauge is not None:
        return replace(fault, where=f"gauge {words.gauge.name}, {key}")
    of_the_day = table in {"[conditions]", "[gauge]"} and words.test is not None
    name = words.test.name if of_the_day and words.test is not None else words.sheet.name
    return fault.at(name) if fault.where else replace(fault, where=name)
