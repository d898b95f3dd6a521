"""
The units of the trade, with every way they are spelled on gauges and build sheets.

Factors are exact by definition where the unit has one: the international inch (25.4 mm) and pound (0.453 592 37 kg),
the kilogram-force by the standard acceleration of free fall (9.806 65 m/s2), the conventional millimetre of mercury
(13 595.1 kg/m3 under that acceleration). NIST SP 811, appendix B, lists the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from ringtrue.errors import UnitRefused
from ringtrue.units.numbers import told

_INCH = 0.0254
_FREE_FALL = 9.806_65
_PSI = 0.453_592_37 * _FREE_FALL / _INCH**2
_MM_MERCURY = 13_595.1 * _FREE_FALL / 1000
_LONGEST_UNIT = 30


class Dimension(StrEnum):
    """What kind of thing a figure measures."""

    PRESSURE = "pressure"
    LENGTH = "length"
    VOLUME = "volume"
    TEMPERATURE = "temperature"
    ROTATION = "cranking speed"
    VOLTAGE = "voltage"
    ANGLE = "angle"
    DISTANCE = "distance"
    DURATION = "duration"

    @property
    def with_article(self) -> str:
        """The word with its article, for sentences."""
        return f"an {self}" if self is Dimension.ANGLE else f"a {self}"


@dataclass(frozen=True, slots=True)
class Unit:
    """
    A unit, and how it becomes SI: value in SI = figure x factor + offset.

    Parameters
    ----------
    name : str
        The one spelling in which it is written back.
    dimension : Dimension
        What it measures.
    factor : float
        SI units in one of this unit: Pa, m, m3, K, rad/s, V, rad, m, s.
    offset : float
        SI value at the unit's zero; not 0 for degrees Celsius and Fahrenheit only.
    absolute : bool
        A pressure counted from vacuum, not from the surrounding air.
    decimals : int
        Digits after the point that are usual when it is shown.
    """

    name: str
    dimension: Dimension
    factor: float
    offset: float = 0.0
    absolute: bool = False
    decimals: int = 0


def _pressure(name: str, factor: float, decimals: int) -> Unit:
    return Unit(name, Dimension.PRESSURE, factor, decimals=decimals)


# A pressure unit is followed by its spellings without "gauge" or "absolute".
_PRESSURES: tuple[tuple[Unit, str, str], ...] = (
    (
        _pressure("psi", _PSI, 1),
        "psia",
        "psi|lb/in2|lbs/in2|lbf/in2|lb/sqin|lbs/sqin|lbf/sqin|lbpersqin|poundspersquareinch",
    ),
    (_pressure("kPa", 1e3, 0), "kPa abs", "kpa|kilopascal|kn/m2"),
    (_pressure("bar", 1e5, 2), "bar abs", "bar|bars"),
    (
        _pressure("kg/cm2", _FREE_FALL * 1e4, 2),
        "kg/cm2 abs",
        "kg/cm2|kgf/cm2|kp/cm2|kgcm2|kgfcm2|kg/sqcm|kgpersqcm|kgpercm2",
    ),
    (_pressure("MPa", 1e6, 3), "MPa abs", "mpa|megapascal"),
    (_pressure("hPa", 1e2, 0), "hPa abs", "hpa|hectopascal"),
    (_pressure("mbar", 1e2, 0), "mbar abs", "mbar|mbars|mb|millibar|millibars"),
    (_pressure("Pa", 1.0, 0), "Pa abs", "pa|pascal|n/m2"),
    (_pressure("inHg", 25.4 * _MM_MERCURY, 2), "inHg abs", 'inhg|inchhg|incheshg|inchesofmercury|inchofmercury|"hg'),
    (_pressure("mmHg", _MM_MERCURY, 0), "mmHg abs", "mmhg|mmofmercury"),
)
_GAUGE = ("", "g", "gauge", "gage")
_ABSOLUTE = ("a", "abs", "absolute")

# The technical atmosphere is one kgf/cm2; "a" behind it would say absolute, and means something else elsewhere.
_TECHNICAL_ATMOSPHERE = "at|atü|atu"

_OTHERS: tuple[tuple[Unit, str], ...] = (
    (Unit("mm", Dimension.LENGTH, 1e-3, decimals=2), "mm|millimetre|millimetres|millimeter|millimeters"),
    (Unit("in", Dimension.LENGTH, _INCH, decimals=3), "in|inch|inches|\"|''"),
    (Unit("thou", Dimension.LENGTH, _INCH / 1000, decimals=1), "thou|thous|mil|mils|thousandths"),
    (Unit("cm", Dimension.LENGTH, 1e-2, decimals=2), "cm|centimetre|centimetres|centimeter|centimeters"),
    (Unit("um", Dimension.LENGTH, 1e-6), "um|µm|micron|microns|micrometre|micrometres"),
    (Unit("m", Dimension.LENGTH, 1.0), "m|metre|metres|meter|meters"),
    (Unit("ft", Dimension.LENGTH, 0.3048), "ft|foot|feet"),
    (Unit("cc", Dimension.VOLUME, 1e-6, decimals=1), "cc|ccm|cm3|cucm|cubiccentimetre|cubiccentimetres"),
    (Unit("ml", Dimension.VOLUME, 1e-6, decimals=1), "ml|millilitre|millilitres|milliliter|milliliters"),
    (Unit("in3", Dimension.VOLUME, _INCH**3, decimals=2), "in3|cuin|cuinch|cuinches|cubicinch|cubicinches|cid"),
    (Unit("L", Dimension.VOLUME, 1e-3, decimals=3), "l|litre|litres|liter|liters|dm3"),
    (Unit("C", Dimension.TEMPERATURE, 1.0, 273.15), "c|°c|degc|degsc|celsius|degreesc|degreescelsius|degcelsius"),
    (
        Unit("F", Dimension.TEMPERATURE, 5 / 9, 459.67 * 5 / 9),
        "f|°f|degf|degsf|fahrenheit|degreesf|degreesfahrenheit|degfahrenheit",
    ),
    (Unit("K", Dimension.TEMPERATURE, 1.0), "k|kelvin"),
    (
        Unit("rpm", Dimension.ROTATION, math.tau / 60),
        "rpm|rev/min|revs/min|r/min|1/min|/min|min-1|revspermin|upm|u/min",
    ),
    (Unit("V", Dimension.VOLTAGE, 1.0, decimals=1), "v|volt|volts|vdc"),
    (Unit("deg", Dimension.ANGLE, math.pi / 180), "deg|degs|degree|degrees|°|degca|°ca|crankdeg|crankdegrees"),
    (Unit("mile", Dimension.DISTANCE, 1609.344), "mile|miles|mi"),
    (Unit("km", Dimension.DISTANCE, 1e3), "km|kms|kilometre|kilometres|kilometer|kilometers"),
    (Unit("h", Dimension.DURATION, 3600.0, decimals=1), "h|hr|hrs|hour|hours"),
    (Unit("min", Dimension.DURATION, 60.0), "min|mins|minute|minutes"),
    (Unit("s", Dimension.DURATION, 1.0), "s|sec|secs|second|seconds"),
)

# What people write that is no unit, or could be two.
_NOT_QUITE: dict[Dimension, dict[str, tuple[str, str]]] = {
    Dimension.PRESSURE: {
        **dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), ("a weight is not a pressure", "write psi")),
        **dict.fromkeys(("kg", "kgs", "kgf", "kilo", "kilos", "kp"), ("a weight is not a pressure", "write kg/cm2")),
        **dict.fromkeys(
            ("atm", "atms", "atmosphere", "atmospheres", "ata"),
            ("an atmosphere is 1.013 bar to one and 1 kg/cm2 to another", "write bar or kg/cm2"),
        ),
    },
    Dimension.TEMPERATURE: dict.fromkeys(
        ("deg", "°", "degs", "degree", "degrees"), ("it does not say degrees of which scale", "write C or F")
    ),
}

_ALIKE = str.maketrans(
    {
        "²": "2",
        "³": "3",
        "℃": "°c",
        "℉": "°f",
        "º": "°",
        "˚": "°",
        "”": '"',
        "″": '"',
        "“": '"',
        "\u2019": "'",
        "\u2032": "'",
    }
)
_IDLE = str.maketrans(dict.fromkeys(" \t\u00a0\u2007\u2009\u202f.()[]^·", ""))


def normal(text: str) -> str:
    """
    Bring the spellings of one unit together: case, blanks, dots, brackets and raised figures do not matter.

    Parameters
    ----------
    text : str
        A unit as somebody wrote it.

    Returns
    -------
    str
        The key under which the table knows it.
    """
    return text.translate(_ALIKE).translate(_IDLE).casefold()


def _table() -> dict[Dimension, dict[str, Unit]]:
    table: dict[Dimension, dict[str, Unit]] = {dimension: {} for dimension in Dimension}
    pressures = table[Dimension.PRESSURE]
    for unit, absolute_name, spellings in _PRESSURES:
        absolute = Unit(absolute_name, unit.dimension, unit.factor, absolute=True, decimals=unit.decimals)
        for spelling in spellings.split("|"):
            pressures.update((normal(spelling + ending), unit) for ending in _GAUGE)
            pressures.update((normal(spelling + ending), absolute) for ending in _ABSOLUTE)
        if unit.name == "kg/cm2":
            pressures.update((normal(spelling), unit) for spelling in _TECHNICAL_ATMOSPHERE.split("|"))
    for unit, spellings in _OTHERS:
        table[unit.dimension].update((normal(spelling), unit) for spelling in spellings.split("|"))
    return table


SPELLINGS = _table()
"""Every spelling of every unit, by what it measures."""


def units_of(dimension: Dimension) -> tuple[Unit, ...]:
    """
    List the units of one kind.

    Parameters
    ----------
    dimension : Dimension
        What they measure.

    Returns
    -------
    tuple of Unit
        Each once, the most usual first.

    Examples
    --------
    >>> [unit.name for unit in units_of(Dimension.DISTANCE)]
    ['mile', 'km']
    """
    return tuple(dict.fromkeys(SPELLINGS[dimension].values()))


def find_unit(text: str, dimension: Dimension, *, where: str = "") -> Unit:
    """
    Find the unit that a person means.

    Parameters
    ----------
    text : str
        The unit as it was written: ``PSI``, ``kgf/cm²``, ``cu. in.``.
    dimension : Dimension
        What is being measured there.
    where : str
        File, row and column, or the field, for the message.

    Returns
    -------
    Unit
        The unit, with the spelling in which it is written back.

    Raises
    ------
    UnitRefused
        The spelling is not known, or is a unit of something else.

    Notes
    -----
    Upper and lower case are the same here, so ``mpa`` is megapascal. A pressure without a word about its zero
    is gauge pressure; one with ``a`` or ``abs`` is absolute.

    Examples
    --------
    >>> find_unit("KGF/CM²", Dimension.PRESSURE).name
    'kg/cm2'
    """
    key = normal(text)
    if (unit := SPELLINGS[dimension].get(key)) is not None:
        return unit
    why, instead = _reason(key, dimension)
    raise UnitRefused.of(told(text), why, instead, where)


def _reason(key: str, dimension: Dimension) -> tuple[str, str]:
    usual = _one_of([unit.name for unit in units_of(dimension) if not unit.absolute][:5])
    if not key:
        return f"{dimension.with_article} needs its unit", f"write {usual}"
    if len(key) > _LONGEST_UNIT:
        return f"this is no unit of {dimension}", f"write {usual}"
    if (told_apart := _NOT_QUITE.get(dimension, {}).get(key)) is not None:
        return told_apart
    for other in Dimension:
        if unit := SPELLINGS[other].get(key):
            return (
                f"the unit {unit.name} is one of {other}, and {dimension.with_article} is wanted here",
                f"write {usual}",
            )
    from difflib import get_close_matches

    near = get_close_matches(key, SPELLINGS[dimension], n=6, cutoff=0.6)
    names = list(dict.fromkeys(SPELLINGS[dimension][each].name for each in near))[:3]
    return f"this is no unit of {dimension}", f"write {_one_of(names)}" if names else f"write {usual}"


def _one_of(names: list[str]) -> str:
    return " or ".join(filter(None, (", ".join(names[:-1]), names[-1])))
