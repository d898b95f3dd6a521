"""
A figure with its unit, from text to SI and from SI to text.

The text stays beside the figure as it was written. Gauge and absolute pressure never mix unseen: an absolute pressure
becomes a gauge reading only where the barometer of the day is known.
"""

from __future__ import annotations

import re

from ringtrue.errors import NumberRefused, ReadingImpossible, UnitRefused
from ringtrue.quantities import Measured, PaAbs, as_gauge
from ringtrue.units.numbers import BLANKS, LONGEST, DecimalMark, parse_number, told
from ringtrue.units.table import SPELLINGS, Dimension, Unit, find_unit, normal, units_of

_LONGEST_FIGURE = LONGEST + 30
_AROUND = BLANKS + "\t\r\n"
_FRACTION = re.compile(
    rf"(?P<sign>[+\-\u2212]?)(?:(?P<whole>[0-9]{{1,4}})(?:[{BLANKS}]+|-))?(?P<top>[0-9]{{1,3}})/(?P<bottom>[0-9]{{1,3}})"
)
_STARTS_UNIT = re.compile(r"[^\W\d_]|[°º˚\"”″“%/]")
_EXAMPLES = {
    Dimension.PRESSURE: "151 psi",
    Dimension.LENGTH: "92 mm",
    Dimension.VOLUME: "71 cc",
    Dimension.TEMPERATURE: "80 C",
    Dimension.ROTATION: "190 rpm",
    Dimension.VOLTAGE: "12.4 V",
    Dimension.ANGLE: "8 deg",
    Dimension.DISTANCE: "500 mile",
    Dimension.DURATION: "25 h",
}


def to_si(value: float, unit: Unit) -> float:
    """
    Turn a figure into SI.

    Parameters
    ----------
    value : float
        The figure. [in the unit]
    unit : Unit
        Its unit.

    Returns
    -------
    float
        [Pa, m, m3, K, rad/s, V, rad or s]; a pressure keeps its zero, gauge or absolute.

    Examples
    --------
    >>> round(to_si(1.0, find_unit("psi", Dimension.PRESSURE)), 3)
    6894.757
    """
    return value * unit.factor + unit.offset


def from_si(value: float, unit: Unit) -> float:
    """
    Turn a figure in SI into a unit.

    Parameters
    ----------
    value : float
        [Pa, m, m3, K, rad/s, V, rad or s]; a pressure on the zero of the unit, gauge or absolute.
    unit : Unit
        The unit wanted. For a gauge pressure that was written in an absolute unit, its `gauge_unit`.

    Returns
    -------
    float
        [in the unit]

    Examples
    --------
    >>> from_si(1.05e6, find_unit("bar", Dimension.PRESSURE))
    10.5
    """
    return (value - unit.offset) / unit.factor


def gauge_unit(unit: Unit) -> Unit:
    """
    Return the unit in which a gauge pressure is shown that was written in this one.

    Parameters
    ----------
    unit : Unit
        A unit of pressure.

    Returns
    -------
    Unit
        Psi for psia, bar for bar abs; the unit itself when it is not absolute.

    Examples
    --------
    >>> gauge_unit(find_unit("psia", Dimension.PRESSURE)).name
    'psi'
    """
    if not unit.absolute:
        return unit
    return next(each for each in units_of(unit.dimension) if not each.absolute and unit.name.startswith(each.name))


def written(value: float, unit: Unit, *, decimals: int | None = None) -> str:
    """
    Write a figure in a unit, rounded as is usual for it.

    Parameters
    ----------
    value : float
        As in `from_si`. [SI]
    unit : Unit
        The unit to show.
    decimals : int or None
        Digits after the point; None for what is usual in the unit.

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> written(1.041e6, find_unit("psi", Dimension.PRESSURE))
    '151.0 psi'
    """
    return f"{from_si(value, unit):z.{unit.decimals if decimals is None else decimals}f} {unit.name}"


def parse_measured(
    text: str,
    dimension: Dimension,
    *,
    unit: Unit | None = None,
    mark: DecimalMark = DecimalMark.ASK,
    comma_seen: bool = False,
    where: str = "",
) -> Measured:
    """
    Read a figure with its unit.

    Parameters
    ----------
    text : str
        ``92 mm``, ``0.050 in``, ``3-1/2"``; the number alone where `unit` says in what.
    dimension : Dimension
        What is measured there.
    unit : Unit or None
        The unit that the column, the setting or the gauge names.
    mark : DecimalMark
        As in `parse_number`.
    comma_seen : bool
        As in `parse_number`.
    where : str
        File, row and column, or the field, for the message.

    Returns
    -------
    Measured
        Value in SI, the number as it was written, the name of its unit. A pressure keeps its zero: of readings and
        gauges, which are gauge pressures, `parse_gauge_pressure` makes sure.

    Raises
    ------
    NumberRefused
        There is no number, or it could be two different ones.
    UnitRefused
        The unit is missing, unknown, of the wrong kind, or not the one of the column.
    ReadingImpossible
        A temperature or an absolute pressure below its zero.

    Notes
    -----
    Common fractions are understood in lengths only: ``3 1/2 in``, ``3-1/2 in``, ``1/2 in``.

    Examples
    --------
    >>> parse_measured("92 mm", Dimension.LENGTH)
    Measured(value=0.092, written='92', unit='mm')
    """
    number, spelled = _split(text, dimension, where)
    if not number:
        example = _EXAMPLES[dimension]
        if unit is not None:
            example = f"{example.split(maxsplit=1)[0]} {unit.name}"
        raise NumberRefused.of(
            told(text), f"{dimension.with_article} needs a number and a unit", f"type it as {example}", where
        )
    figure = _number(number, dimension, mark=mark, comma_seen=comma_seen, where=where)
    own = find_unit(spelled, dimension, where=where) if spelled else unit
    if own is None:
        names = [f"{number} {each.name}" for each in units_of(dimension) if not each.absolute]
        raise UnitRefused.of(
            told(text), f"{dimension.with_article} needs its unit", f"type {' or '.join(names[:3])}", where
        )
    if unit is not None and own != unit:
        raise UnitRefused.of(
            told(text),
            f"it is in {own.name}, and {unit.name} is said for this place",
            f"write the figure in {unit.name}, or say {own.name} for the whole place",
            where,
        )
    value = to_si(figure, own)
    if value < 0 and (own.absolute or dimension is Dimension.TEMPERATURE):
        zero = "absolute zero" if dimension is Dimension.TEMPERATURE else "vacuum"
        raise ReadingImpossible.of(told(text), f"nothing is below {zero}", "type the figure that was read", where)
    return Measured(value, number, own.name)


def parse_gauge_pressure(
    text: str,
    *,
    unit: Unit | None = None,
    barometer: PaAbs | None = None,
    mark: DecimalMark = DecimalMark.ASK,
    comma_seen: bool = False,
    where: str = "",
) -> Measured:
    """
    Read a pressure above the surrounding air, as a compression gauge shows it.

    Parameters
    ----------
    text : str
        ``151 psi``, ``10,4 bar``, ``165.7 psia``; the number alone where `unit` says in what.
    unit : Unit or None
        The unit that the column, the setting or the gauge names.
    barometer : PaAbs or None
        Pressure of the surrounding air on that day at that place; only absolute units need it. [Pa]
    mark : DecimalMark
        As in `parse_number`.
    comma_seen : bool
        As in `parse_number`.
    where : str
        File, row and column, or the field, for the message.

    Returns
    -------
    Measured
        Value in Pa gauge; number and unit as they were written, so an absolute unit stays named beside a gauge value.

    Raises
    ------
    NumberRefused
        There is no number, or it could be two different ones.
    UnitRefused
        The unit is missing, unknown, of the wrong kind, not the one of the column, or absolute with no barometer known.
    ReadingImpossible
        The pressure is below that of the surrounding air.

    Examples
    --------
    >>> parse_gauge_pressure("10,5 bar")
    Measured(value=1050000.0, written='10,5', unit='bar')
    """
    measured = parse_measured(text, Dimension.PRESSURE, unit=unit, mark=mark, comma_seen=comma_seen, where=where)
    own = find_unit(measured.unit, Dimension.PRESSURE)
    if not own.absolute:
        if measured.value < 0:
            raise ReadingImpossible.of(
                told(text), "a compression gauge shows nothing below zero", "type the figure that was read", where
            )
        return measured
    shown = gauge_unit(own).name
    if barometer is None:
        raise UnitRefused.of(
            told(text),
            f"the unit {own.name} is counted from vacuum, and the barometer of the day is not known",
            f"give the barometer in the conditions of the test, or type what a gauge shows, in {shown}",
            where,
        )
    value = as_gauge(PaAbs(measured.value), barometer)
    if value < 0:
        raise ReadingImpossible.of(
            told(text),
            f"that is below the surrounding air, which is at {written(barometer, own)}",
            f"check the barometer, or type what a gauge shows, in {shown} (0 {shown} if the needle did not move)",
            where,
        )
    return Measured(value, measured.written, measured.unit)


def _split(text: str, dimension: Dimension, where: str) -> tuple[str, str]:
    """Part number and unit: the longest ending that is known as a unit, else all from the first letter on."""
    stripped = text.strip(_AROUND)
    if len(stripped) > _LONGEST_FIGURE:
        raise NumberRefused.of(
            told(stripped),
            "this is too long for a number and its unit",
            f"type the number and its unit, such as {_EXAMPLES[dimension]}",
            where,
        )
    if stripped.isascii() and stripped.isdecimal():
        return stripped, ""
    for known in (SPELLINGS[dimension], *SPELLINGS.values()):
        for start, first in enumerate(stripped):
            before = stripped[start - 1] if start else " "
            if first in BLANKS or first == "." or before.isalpha() or (first.isdigit() and before not in BLANKS):
                continue
            if normal(stripped[start:]) in known:
                return stripped[:start].rstrip(_AROUND), stripped[start:]
    found = _STARTS_UNIT.search(stripped)
    # No unit has a figure in it that the table does not know: then the number itself is misspelled.
    if found is None or found.start() == 0 or any(each.isnumeric() for each in stripped[found.start() :]):
        return stripped, ""
    return stripped[: found.start()].rstrip(_AROUND), stripped[found.start() :]


def _number(number: str, dimension: Dimension, *, mark: DecimalMark, comma_seen: bool, where: str) -> float:
    found = _FRACTION.fullmatch(number)
    if found is not None and dimension is not Dimension.LENGTH:
        raise NumberRefused.of(
            told(number), "fractions are for lengths only", f"type it as {_EXAMPLES[dimension]}", where
        )
    if found is None:
        return parse_number(number, mark=mark, comma_seen=comma_seen, where=where)
    whole, top, bottom = int(found["whole"] or 0), int(found["top"]), int(found["bottom"])
    if bottom == 0 or (found["whole"] is not None and top >= bottom):
        raise NumberRefused.of(
            told(number),
            "the part behind the whole number has to be less than one",
            "type it as 3 1/2 or 3.5",
            where,
        )
    length = whole + top / bottom
    return length if found["sign"] in {"", "+"} else -length
