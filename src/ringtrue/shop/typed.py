"""What a builder types at the engine, read: a pull in one line, the cylinders, their order."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ringtrue.compression import Pull, Reading
from ringtrue.engine import MOST_CYLINDERS
from ringtrue.errors import InputRefused, ReadingImpossible
from ringtrue.intake import first_above_final
from ringtrue.quantities import PaGauge
from ringtrue.units import DecimalMark, Unit, parse_gauge_pressure, parse_number

NOT_SEEN = ("-", "?", "x")
MOST_STROKES = 200

_SPOILED = re.compile(r"^(?:spoiled|s)(|[-+.,0-9].*)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Typed:
    """
    What a builder typed for one pull.

    Parameters
    ----------
    first, final : Reading or None
        None when nobody saw it.
    spoiled : bool
        The pull began part-way up compression.
    strokes : int or None
        How many compression strokes.
    """

    first: Reading | None
    final: Reading | None
    spoiled: bool
    strokes: int | None


def parse_typed(text: str, unit: Unit, mark: DecimalMark = DecimalMark.ASK) -> Typed:
    """
    Read what was typed for one pull: the first, the final, and perhaps the strokes.

    Parameters
    ----------
    text : str
        ``95 150``; ``- 150`` when nobody saw the first; ``s 150`` or ``s60 150`` when it was spoiled; a third number
        is the count of compression strokes.
    unit : Unit
        The unit of the gauge.
    mark : DecimalMark
        What the decimal mark is.

    Returns
    -------
    Typed
        The figures.

    Raises
    ------
    InputRefused
        It cannot be used; the message says what to type.
    ReadingImpossible
        The first is above the final, or a figure is below zero.
    """
    words = text.replace(", ", " ").split()
    how = "type the first and the final, for example 95 150; - 150 when nobody saw the first; s 150 when it was spoiled"
    if len(words) not in {2, 3}:
        raise InputRefused.of(f"read “{text.strip()}”", "a pull has a first and a final figure", how)
    spoiled = _SPOILED.match(words[0])
    first_text = spoiled[1] if spoiled else words[0]
    first = None if not first_text or first_text in NOT_SEEN else _reading(first_text, unit, mark)
    if words[1] in NOT_SEEN:
        raise InputRefused.of(
            f"read “{text.strip()}”", "a pull without its final says nothing", "crank it again, or type skip"
        )
    final = _reading(words[1], unit, mark)
    strokes = None
    if len(words) == 3:  # noqa: PLR2004 - first, final, strokes
        count = parse_number(words[2])
        if not (count.is_integer() and 1 <= count <= MOST_STROKES):
            why = f"the strokes are a whole number from 1 to {MOST_STROKES}"
            raise InputRefused.of(f"read “{words[2]}”", why, "type for example 95 150 6, or leave it out")
        strokes = int(count)
    fault = first_above_final(Pull(cylinder="", first=first, final=final))
    if fault is not None:
        raise ReadingImpossible(fault)
    return Typed(first, final, bool(spoiled), strokes)


def _reading(text: str, unit: Unit, mark: DecimalMark) -> Reading:
    figure = parse_gauge_pressure(text, unit=unit, mark=mark)
    return Reading(PaGauge(figure.value), figure.written, figure.unit)


def engine_typed(text: str) -> str:
    """
    Read under which name the book is to file an engine.

    Parameters
    ----------
    text : str
        A reference, or a name.

    Returns
    -------
    str
        The same.

    Raises
    ------
    InputRefused
        There is none.
    """
    if not text:
        raise InputRefused.of("", "the book files a test under its engine", "type a name or your reference")
    return text


def cylinders_typed(text: str) -> tuple[str, ...]:
    """
    Read how many cylinders there are, or their names.

    Parameters
    ----------
    text : str
        "6", or names parted by blanks.

    Returns
    -------
    tuple of str
        Their names.

    Raises
    ------
    InputRefused
        There are none, too many, or one twice.
    """
    names = tuple(text.replace(",", " ").split())
    if len(names) == 1 and names[0].isascii() and names[0].isdigit():
        names = tuple(str(number) for number in range(1, int(names[0][:3]) + 1))
    answered = {name.casefold() for name in names} & {"yes", "no", "done", "stop", "help"}
    if not 1 <= len(names) <= MOST_CYLINDERS or len(set(names)) < len(names) or answered:
        why = f"an engine has 1 to {MOST_CYLINDERS} cylinders, each with its own name"
        raise InputRefused.of(f"read “{text}”", why, "type for example 6, or 1 2 3 4 5 6")
    return names


def order_of(text: str, cylinders: tuple[str, ...]) -> tuple[str, ...]:
    """
    Read the order in which the cylinders are to be pulled.

    Parameters
    ----------
    text : str
        Names parted by blanks or commas; empty for the usual order.
    cylinders : tuple of str
        The engine's cylinders in the usual order.

    Returns
    -------
    tuple of str
        Every cylinder once.

    Raises
    ------
    InputRefused
        A cylinder is missing, unknown or named twice.
    """
    names = tuple(text.replace(",", " ").split())
    if names and sorted(names) != sorted(cylinders):
        why = "an order names every cylinder once"
        raise InputRefused.of(f"--order “{text}”", why, f"type {' '.join(cylinders)} in the order you want")
    return names or cylinders
