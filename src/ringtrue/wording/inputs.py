"""What an expectation rests on, in trade words: the name of each input, its range, and how a builder measures it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ringtrue.compression import Conditions, Gauge, InputEffect
from ringtrue.quantities import Measured
from ringtrue.units import Dimension, Unit, find_unit
from ringtrue.wording.bands import digits_for


@dataclass(frozen=True, slots=True)
class Scale:
    """
    In what an input is told: value in SI = figure x factor + offset.

    Parameters
    ----------
    unit : str
        Its unit, or what stands for one; empty for a plain number.
    factor : float
        SI in one of it.
    offset : float
        SI at its zero.
    """

    unit: str
    factor: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class _Kinds:
    """A choice: all kinds, the one with the lowest final, the one with the highest."""

    all: str
    lowest: str
    highest: str


@dataclass(frozen=True, slots=True)
class _Words:
    """How one input is told: its name, its scale or its kinds, and how it is measured."""

    title: str
    scale: Scale | None = None
    kinds: _Kinds = _Kinds("", "", "")
    measure: str = ""


_MM = Scale("mm", 1e-3)
_CC = Scale("cc", 1e-6)
_MM2 = Scale("mm2", 1e-6)
_DEGREES = Scale("deg", math.pi / 180)
_CELSIUS = Scale("C", 1.0, 273.15)
_TIMES = Scale("times")
_NUMBER = Scale("")

_INPUTS: Mapping[str, _Words] = MappingProxyType(
    {
        "heat_law": _Words("heat law of the walls", kinds=_Kinds("any of three laws", "lowest", "highest")),
        "heat_factor": _Words("heat lost to the walls", _TIMES),
        "compression_ratio": _Words(
            "compression ratio",
            _NUMBER,
            measure="Measure the chamber with a burette, deck clearance and crushed gasket with a gauge, and write the "
            "volumes on the build sheet in place of the ratio",
        ),
        "intake_closing": _Words(
            "intake closing",
            _DEGREES,
            measure="With a degree wheel on the crank and a dial gauge on the intake valve, find where the valve meets "
            'its seat, and write it as intake_closes with quoted_at_lift = "0 mm"',
        ),
        "quoted_lift": _Words(
            "lift the cam card counts at",
            _MM,
            measure="Find out at which lift the cam card quotes its angles, and whether at the tappet or at the valve; "
            "write it as quoted_at_lift and quoted_at, with the rocker ratio",
        ),
        "lobe_shape": _Words("lobe shape (exponent)", _NUMBER),
        "check_valve": _Words(
            "place of the check valve",
            # At the gauge, the hose joins the chamber: that is always the lower one.
            kinds=_Kinds("plug end or gauge end", "gauge end", "plug end"),
            measure="Look at which end of the hose the check valve sits, and describe the gauge with check_valve = "
            '"plug end" or "gauge end"',
        ),
        "adapter_volume": _Words(
            "adapter volume",
            _CC,
            measure="Fill the adapter from a syringe, from its thread to the check valve, and describe the gauge with "
            "its adapter_volume",
        ),
        "hose_volume": _Words(
            "hose volume",
            _CC,
            measure="Fill the hose from a syringe, from the check valve to the dial, and describe the gauge with its "
            "hose_volume; dry it before it is used",
        ),
        "opening_pressure": _Words("check valve's opening pressure", Scale("")),
        "check_area": _Words("passage of the check valve", _MM2),
        "hose_heat": _Words("heat lost by the hose", _TIMES),
        "barometer": _Words(
            "barometer",
            Scale("hPa", 100.0),
            measure="Read a barometer on the spot, not reduced to sea level, and give it as --barometer or in the test "
            "file",
        ),
        "inlet_air": _Words(
            "inlet air",
            _CELSIUS,
            measure="Hold a thermometer where the engine draws its air, and give it as --inlet-air or in the test file",
        ),
        "wall": _Words(
            "cylinder walls",
            _CELSIUS,
            measure="Read the temperature of the oil before cranking, and give it as --oil or in the test file",
        ),
        "speed": _Words(
            "cranking speed",
            Scale("rpm", math.pi / 30),
            measure="Take the cranking speed, plugs out and throttle open, with a tachometer or by counting turns in a "
            "film, and give it as --cranking-speed or in the test file",
        ),
        "ring_leak": _Words(
            "leak past the rings",
            _MM2,
            measure="Take a leak-down reading of a sound cylinder through a known restrictor",
        ),
        "run_up": _Words("turn until up to speed", _DEGREES),
        "start": _Words("where the crank stood", _DEGREES),
        "valve_flow": _Words("valves' flow coefficient", _NUMBER),
        "intake_valve": _Words("diameter of intake valve", _MM),
        "intake_lift": _Words("lift of intake valve", _MM),
        "rod": _Words("length of rod", _MM),
    }
)


def input_title(key: str) -> str:
    """
    Name an input.

    Parameters
    ----------
    key : str
        Its key.

    Returns
    -------
    str
        In trade words, for the inside of a sentence.

    Raises
    ------
    KeyError
        No such input: a fault of the program, not of what a person typed.

    Examples
    --------
    >>> input_title("wall")
    'cylinder walls'
    """
    return _INPUTS[key].title


def how_to_measure(key: str) -> str:
    """
    Say how a builder measures an input.

    Parameters
    ----------
    key : str
        Its key.

    Returns
    -------
    str
        A sentence without its full stop; empty for an input that no builder measures.

    Raises
    ------
    KeyError
        No such input: a fault of the program, not of what a person typed.
    """
    return _INPUTS[key].measure


def input_units(gauge: Gauge | None, conditions: Conditions, pressure: Unit) -> dict[str, Unit]:
    """
    Find the units in which a person writes what an expectation rests on.

    Parameters
    ----------
    gauge : Gauge or None
        The gauge, as it was described.
    conditions : Conditions
        The day, as it was written.
    pressure : Unit
        The unit of the gauge's readings.

    Returns
    -------
    dict of str to Unit
        By key of the input; what nobody wrote is told in the unit that is usual for it.
    """
    figures: tuple[tuple[str, Measured | None, Dimension], ...] = (
        ("barometer", conditions.barometer, Dimension.PRESSURE),
        ("inlet_air", conditions.inlet_air or conditions.oil, Dimension.TEMPERATURE),
        ("wall", conditions.oil or conditions.inlet_air, Dimension.TEMPERATURE),
        ("speed", conditions.cranking_speed, Dimension.ROTATION),
        ("adapter_volume", None if gauge is None else gauge.adapter_volume, Dimension.VOLUME),
        ("hose_volume", None if gauge is None else gauge.hose_volume, Dimension.VOLUME),
    )
    found = {key: find_unit(figure.unit, dimension) for key, figure, dimension in figures if figure is not None}
    return {**found, "opening_pressure": pressure}


def input_ends(effect: InputEffect, units: Mapping[str, Unit]) -> tuple[float, float, str] | None:
    """
    Return the two ends of an input's range as a person writes them.

    Parameters
    ----------
    effect : InputEffect
        What it does.
    units : mapping of str to Unit
        From `input_units`.

    Returns
    -------
    tuple of (float, float, str) or None
        Both ends and their unit; None for a choice among kinds.

    Raises
    ------
    KeyError
        No such input: a fault of the program, not of what a person typed.
    """
    scale = _INPUTS[effect.key].scale
    if scale is None:
        return None
    if (unit := units.get(effect.key)) is not None:
        scale = Scale(unit.name, unit.factor, unit.offset)
    low, high = ((end - scale.offset) / scale.factor for end in (effect.at_low, effect.at_high))
    return low, high, scale.unit


def input_range(effect: InputEffect, units: Mapping[str, Unit]) -> str:
    """
    Write the 90 % range of an input.

    Parameters
    ----------
    effect : InputEffect
        What it does.
    units : mapping of str to Unit
        From `input_units`.

    Returns
    -------
    str
        Both ends with one unit; the kinds where it is a choice.

    Raises
    ------
    KeyError
        No such input: a fault of the program, not of what a person typed.

    Examples
    --------
    >>> speed = InputEffect("speed", False, 15.5, 28.3, 1.2e6, 1.3e6, 0.1, "assumed")
    >>> input_range(speed, {})
    '148 to 270 rpm'
    """
    if (ends := input_ends(effect, units)) is None:
        return _INPUTS[effect.key].kinds.all
    low, high, unit = ends
    digits = max(digits_for(high - low), 0)
    if effect.key == "intake_closing":
        return _about_bottom(low, high, digits)
    shown = f"{low:z.{digits}f}" if low == high else f"{low:z.{digits}f} to {high:z.{digits}f}"
    return f"{shown} {unit}".strip()


def input_end_texts(effect: InputEffect, units: Mapping[str, Unit]) -> tuple[str, str]:
    """
    Write the two ends of an input's range for the two ends of a bar.

    Parameters
    ----------
    effect : InputEffect
        What it does.
    units : mapping of str to Unit
        From `input_units`.

    Returns
    -------
    tuple of (str, str)
        Where the final is lowest, and where it is highest.

    Raises
    ------
    KeyError
        No such input: a fault of the program, not of what a person typed.
    """
    if (ends := input_ends(effect, units)) is None:
        kinds = _INPUTS[effect.key].kinds
        return kinds.lowest, kinds.highest
    low, high, unit = ends
    digits = max(digits_for(high - low), 0)
    first, last = (f"{each:z.{digits}f} {unit}".strip() for each in (low, high))
    return (first, last) if effect.low <= effect.high else (last, first)


def _about_bottom(low: float, high: float, digits: int) -> str:
    """Write an angle after bottom dead centre; one before it is negative."""
    if high < 0:
        return f"{-high:.{digits}f} to {-low:.{digits}f} deg before BDC"
    if low < 0:
        return f"{-low:.{digits}f} deg before to {high:.{digits}f} deg after BDC"
    return f"{low:.{digits}f} to {high:.{digits}f} deg after BDC"
